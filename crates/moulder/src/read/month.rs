//! Climates: the name of a place, or twelve months of the user's own.

use super::given::{Fields, Given};
use super::walk::Walk;
use crate::fault::FaultCode;
use crate::library::climates::Climate;
use crate::read::field::{CLIMATE, Kind};
use crate::text::limit;
use crate::text::month::MONTHS;
use crate::text::suggestion::suggestions;
use crate::tree::Value;

impl Walk<'_> {
    /// The climate.
    pub(super) fn climate(&mut self, given: &Given<'_>) -> Option<Climate> {
        match &given.node.value {
            Value::Text(name) => self.station(given, name),
            Value::Table(_) => self.own_months(given),
            _ => {
                self.wrong_kind(given, "the name of a place, or a table of months");
                None
            }
        }
    }

    fn station(&mut self, given: &Given<'_>, name: &str) -> Option<Climate> {
        let name = self.plain(given, name, limit::NAME_CHARACTERS)?;
        if let Some(station) = self.library.find_station(&name) {
            return Some(station.climate.clone());
        }
        let names = self.library.stations();
        let help = suggestions(&name, names.map(|station| station.climate.name.as_str()));
        self.fault_with(
            FaultCode::UnknownClimate,
            given,
            name,
            "a place on the list",
            help,
        );
        None
    }

    fn own_months(&mut self, given: &Given<'_>) -> Option<Climate> {
        let fields = self.open(&CLIMATE, given.node, &given.path)?;
        let name = fields
            .get("name")
            .map_or_else(|| Some("own climate".to_owned()), |given| self.text(&given));
        let latitude = fields.get("latitude").and_then(|given| self.number(&given));
        let high = self.months(&fields, "high");
        let low = self.months(&fields, "low");
        let rain = self.months(&fields, "rain");
        if let (Some(high), Some(low), Some(given)) = (&high, &low, fields.get("low")) {
            self.highs_above_lows(&given, high, low);
        }
        Some(Climate {
            name: name?,
            latitude_deg: latitude?,
            high_c: high?,
            low_c: low?,
            rain_mm: rain?,
        })
    }

    /// Twelve numbers; every one given is checked, however many there are.
    fn months(&mut self, fields: &Fields<'_>, name: &str) -> Option<[f64; 12]> {
        let given = fields.get(name)?;
        let Kind::Months(range) = given.field.kind else {
            return None;
        };
        let Value::List(nodes) = &given.node.value else {
            self.wrong_kind(&given, "a list of twelve numbers");
            return None;
        };
        if nodes.len() != 12 {
            let found = match nodes.len() {
                1 => "1 value".to_owned(),
                count => format!("{count} values"),
            };
            let expected = "12, one a month, January first";
            self.fault(FaultCode::WrongLength, &given, found, expected);
        }
        let mut months = [0.0; 12];
        let mut good = nodes.len() == 12;
        for (index, node) in nodes.iter().enumerate() {
            let number = self.number_in(&given.entry(index, node), range);
            match (number, months.get_mut(index)) {
                (Some(number), Some(month)) => *month = number,
                _ => good = false,
            }
        }
        good.then_some(months)
    }

    fn highs_above_lows(&mut self, low_field: &Given<'_>, high: &[f64; 12], low: &[f64; 12]) {
        let Value::List(nodes) = &low_field.node.value else {
            return;
        };
        let months = nodes.iter().zip(MONTHS).zip(high.iter().zip(low));
        for (index, ((node, name), (high, low))) in months.enumerate() {
            if low > high {
                self.fault(
                    FaultCode::DoesNotFit,
                    &low_field.entry(index, node),
                    format!("the low of {name} is {low} and its high is {high}"),
                    "a low cannot lie above the high",
                );
            }
        }
    }
}
