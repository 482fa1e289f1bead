//! Crop and feedings.

use jiff::civil::Date;

use super::given::Fields;
use super::walk::{FORM, Walk};
use crate::bed::Feed;
use crate::library::crop::Crop;
use crate::read::field::FED;

impl Walk<'_> {
    /// The crop; none after a fault.
    pub(super) fn crop(&mut self, file: &Fields<'_>) -> Option<Crop> {
        let Some(given) = file.get("crop") else {
            self.assume(file.path_of("crop"), "hungry", FORM);
            return Some(Crop::default());
        };
        self.word(&given).map(|word| match word {
            "modest" => Crop::Modest,
            "none" => Crop::None,
            _ => Crop::Hungry,
        })
    }

    /// The feedings, in order of date; none after a fault.
    pub(super) fn feedings(
        &mut self,
        file: &Fields<'_>,
        filled: Option<Date>,
    ) -> Option<Vec<Feed>> {
        let Some(given) = file.get("fed") else {
            return Some(Vec::new());
        };
        let mut fed: Vec<Option<Feed>> = Vec::new();
        for (node, path) in &self.list(&given) {
            let Some(fields) = self.open(&FED, node, path) else {
                continue;
            };
            let on = self.since(&fields, filled);
            let nitrogen_kg = fields
                .get("nitrogen")
                .and_then(|given| self.quantity(&given));
            let feed_share = fields
                .get("feed")
                .map_or(Some(None), |given| self.quantity(&given).map(Some));
            let read = on.zip(nitrogen_kg).zip(feed_share);
            fed.push(read.map(|((on, nitrogen_kg), feed_share)| Feed {
                on,
                nitrogen_kg,
                feed_share,
            }));
        }
        let mut fed: Vec<Feed> = fed.into_iter().collect::<Option<_>>()?;
        fed.sort_by_key(|feed| feed.on);
        Some(fed)
    }
}
