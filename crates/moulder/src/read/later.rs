//! Readings and additions.

use jiff::civil::Date;

use super::given::{Fields, Given};
use super::walk::Walk;
use crate::bed::{Addition, Placement, Reading};
use crate::fault::FaultCode;
use crate::read::field::{ADDED, READING};

impl Walk<'_> {
    /// Tape measure readings, in order of date; none after a fault.
    pub(super) fn readings(
        &mut self,
        file: &Fields<'_>,
        filled: Option<Date>,
        (rim_m, trench_m): (Option<f64>, f64),
        mound: bool,
    ) -> Option<Vec<Reading>> {
        let Some(given) = file.get("reading") else {
            return Some(Vec::new());
        };
        let nodes = self.list(&given);
        let mut readings: Vec<Option<Reading>> = Vec::new();
        for (node, path) in &nodes {
            let Some(fields) = self.open(&READING, node, path) else {
                continue;
            };
            let on = self.since(&fields, filled);
            let below_m = fields
                .get("below-rim")
                .map(|given| self.signed_quantity(&given));
            let [height_m, give_or_take_m] = ["height", "give-or-take"]
                .map(|name| fields.get(name).map(|given| self.quantity(&given)));
            let note = fields.get("note").map(|given| self.text(&given));
            self.one_height(&fields, mound);
            let height_m = height_m.flatten().or_else(|| Some(rim_m? - below_m??));
            if let (Some(given), Some(height_m)) = (fields.get("below-rim"), height_m)
                && height_m < -trench_m
            {
                self.fault(
                    FaultCode::DoesNotFit,
                    &given,
                    "deeper below the rim than the bed has room".to_owned(),
                    "measure from the rim straight down to the soil",
                );
            }
            readings.push(on.zip(height_m).map(|(on, height_m)| Reading {
                on,
                height_m,
                give_or_take_m: give_or_take_m.flatten(),
                note: note.flatten(),
            }));
        }
        let mut readings: Vec<Reading> = readings.into_iter().collect::<Option<_>>()?;
        readings.sort_by_key(|reading| reading.on);
        Some(readings)
    }

    /// A reading gives one height, and a mound has no rim to measure from.
    fn one_height(&mut self, fields: &Fields<'_>, mound: bool) {
        match (fields.get("below-rim"), fields.get("height")) {
            (None, None) => {
                let either = ["below-rim", "height"].map(|name| READING.field(name));
                let examples = either.iter().flatten().filter(|field| {
                    // A mound has no rim.
                    !(mound && field.name == "below-rim")
                });
                let help: Vec<String> = examples.map(|field| field.example.to_owned()).collect();
                let meant = fields
                    .meant
                    .iter()
                    .any(|name| name == "below-rim" || name == "height");
                if !meant {
                    self.found(
                        FaultCode::MissingField,
                        fields.at,
                        &fields.path_of("below-rim"),
                        fields.section.in_words.to_owned(),
                        if mound { "height" } else { "below-rim" },
                        help,
                    );
                }
            }
            (Some(below), None) if mound => self.fault(
                FaultCode::DoesNotFit,
                &below,
                "a mound has no rim to measure from".to_owned(),
                "give \"height\" instead",
            ),
            (Some(_), Some(height)) => self.fault(
                FaultCode::DoesNotFit,
                &height,
                "\"below-rim\" and \"height\" are both given".to_owned(),
                "keep the one that was measured",
            ),
            _ => {}
        }
    }

    /// Additions, in order of date; none after a fault.
    pub(super) fn additions(
        &mut self,
        file: &Fields<'_>,
        filled: Option<Date>,
    ) -> Option<Vec<Addition>> {
        let Some(given) = file.get("added") else {
            return Some(Vec::new());
        };
        let mut added: Vec<Option<Addition>> = Vec::new();
        for (node, path) in &self.list(&given) {
            let Some(fields) = self.open(&ADDED, node, path) else {
                continue;
            };
            let on = self.since(&fields, filled);
            let ingredient = self.ingredient_of(&fields, Placement::InPlace);
            if let Some(given) = fields.get("note") {
                self.text(&given);
            }
            let both = on.zip(ingredient);
            added.push(both.map(|(on, ingredient)| Addition { on, ingredient }));
        }
        let mut added: Vec<Addition> = added.into_iter().collect::<Option<_>>()?;
        added.sort_by_key(|added| added.on);
        Some(added)
    }

    /// A date not before the filling; none after a fault.
    pub(super) fn since(&mut self, fields: &Fields<'_>, filled: Option<Date>) -> Option<Date> {
        let given = fields.get("on")?;
        let on = self.date(&given)?;
        if let Some(filled) = filled
            && on < filled
        {
            self.before(&given, on, filled);
            return None;
        }
        Some(on)
    }

    fn before(&mut self, given: &Given<'_>, on: Date, filled: Date) {
        self.fault(
            FaultCode::BeforeFilling,
            given,
            on.to_string(),
            filled.to_string(),
        );
    }
}
