//! The `[water]` section.

use super::given::{Fields, Given};
use super::walk::{FORM, Walk};
use crate::bed::Irrigation;
use crate::fault::FaultCode;
use crate::read::field::WATER;

/// Irrigation season north and south of the equator, first month and last: common practice, no
/// source.
pub(super) const SEASONS: [(u8, u8); 2] = [(5, 9), (11, 3)];
/// Its source.
const SEASON_SOURCE: &str = "common practice";

/// Share of the rain that passes fleece: our own closure (permeable cloth, off which some of a
/// shower runs).
const FLEECE: f64 = 0.7;
/// Share that enters below the edges of a sheet: our own closure.
const SHEET: f64 = 0.05;

impl Walk<'_> {
    /// Irrigation and cover; none after a fault.
    pub(super) fn watering(
        &mut self,
        given: &Given<'_>,
        latitude_deg: Option<f64>,
    ) -> Option<Irrigation> {
        let fields = self.open(&WATER, given.node, &given.path)?;
        let volume_m3 = if let Some(given) = fields.get("irrigation") {
            self.quantity(&given)
        } else {
            self.assume(fields.path_of("irrigation"), "0 L", FORM);
            self.season_for_nothing(&fields);
            Some(0.0)
        };
        // Without a climate there is a fault already, and either hemisphere will do.
        let season = SEASONS[usize::from(latitude_deg.unwrap_or(0.0) < 0.0)];
        let from = self.month_or(&fields, "from", season.0);
        let to = self.month_or(&fields, "to", season.1);
        let rain_share = if let Some(given) = fields.get("cover") {
            self.word(&given).map(|word| match word {
                "fleece" => FLEECE,
                "sheet" => SHEET,
                _ => 1.0,
            })
        } else {
            self.assume(fields.path_of("cover"), "open", FORM);
            Some(1.0)
        };
        Some(Irrigation {
            litres_per_week: volume_m3? * 1000.0,
            from: from?,
            to: to?,
            rain_share: rain_share?,
        })
    }

    /// A month of the season, or the usual one.
    fn month_or(&mut self, fields: &Fields<'_>, name: &str, usual: u8) -> Option<u8> {
        if let Some(given) = fields.get(name) {
            return self.month(&given);
        }
        // Without irrigation the season has no meaning.
        if fields.has("irrigation") {
            self.assume(fields.path_of(name), usual.to_string(), SEASON_SOURCE);
        }
        Some(usual)
    }

    /// Reports months of irrigation without an amount.
    fn season_for_nothing(&mut self, fields: &Fields<'_>) {
        let meant = fields.meant.iter().any(|name| name == "irrigation");
        let month = fields.get("from").or_else(|| fields.get("to"));
        if let (false, Some(given)) = (meant, month) {
            self.fault(
                FaultCode::DoesNotFit,
                &given,
                "months of watering are given and no water".to_owned(),
                "give \"irrigation\" as well, or leave the months out",
            );
        }
    }

    /// A month by its number.
    fn month(&mut self, given: &Given<'_>) -> Option<u8> {
        self.whole_number(given)
            .and_then(|month| u8::try_from(month).ok())
    }
}
