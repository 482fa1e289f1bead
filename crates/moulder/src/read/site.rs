//! The fields that bed files and plan files have in common.

use jiff::civil::Date;

use super::given::{Fields, Given};
use super::outline::Outline;
use super::walk::Walk;
use crate::bed::site::BedSite;
use crate::fault::FaultCode;
use crate::library::climates::Climate;
use crate::quantity::units::Units;
use crate::read::field::FORMAT;
use crate::tree::Value;

/// What was read of the common fields; none where it is faulty.
pub(super) struct SiteFields {
    name: Option<String>,
    units: Option<Units>,
    seen: Vec<&'static str>,
    pub(super) filled: Option<Date>,
    pub(super) climate: Option<Climate>,
    pub(super) outline: Option<Outline>,
}

impl SiteFields {
    /// The site, unless a part of it is faulty.
    pub(super) fn whole(self) -> Option<BedSite> {
        let outline = self.outline?;
        Some(BedSite {
            name: self.name?,
            filled: self.filled?,
            climate: self.climate?,
            units: self.units?,
            tape_units: self.units?,
            shape: outline.shape,
            rim_m: outline.rim_m,
            trench_m: outline.trench_m,
            stands_on: outline.stands_on,
            near_wall: outline.near_wall,
            boards: outline.boards,
            seen: self.seen,
            defaults: Vec::new(),
        })
    }
}

impl Walk<'_> {
    /// The common fields.
    pub(super) fn site(&mut self, fields: &Fields<'_>) -> SiteFields {
        if let Some(given) = fields.get("format") {
            self.format(&given);
        }
        let units = self.own_units(fields);
        if let Some(given) = fields.get("measures") {
            self.own_measures(&given);
        }
        let name = fields
            .get("name")
            .map_or_else(|| Some("unnamed bed".to_owned()), |given| self.text(&given));
        SiteFields {
            name,
            units,
            filled: fields.get("filled").and_then(|given| self.date(&given)),
            climate: fields.get("climate").and_then(|given| self.climate(&given)),
            outline: fields.get("bed").and_then(|given| self.outline(&given)),
            seen: fields
                .get("seen")
                .map_or_else(Vec::new, |given| self.seen(&given)),
        }
    }

    /// The owner's units; suggestions use them from here on.
    fn own_units(&mut self, fields: &Fields<'_>) -> Option<Units> {
        let units = match fields.get("units") {
            Some(given) => self.word(&given).map(|word| match word {
                "us" => Units::Us,
                "uk-garden" => Units::UkGarden,
                _ => Units::Metric,
            }),
            None => Some(Units::default()),
        };
        self.units = units.unwrap_or_default();
        units
    }

    /// The version of the format.
    fn format(&mut self, given: &Given<'_>) {
        match &given.node.value {
            Value::Whole(FORMAT) | Value::Broken => {}
            Value::Whole(other) => self.fault_with(
                FaultCode::UnknownFormat,
                given,
                other.to_string(),
                format!("form {FORMAT}"),
                vec![given.field.example.to_owned()],
            ),
            _ => self.wrong_kind(given, "a whole number"),
        }
    }
}
