//! Climates: the name of a place, its degrees, or twelve months of the user's own.

use super::given::{Fields, Given};
use super::walk::Walk;
use crate::fault::FaultCode;
use crate::fault::notice;
use crate::library::climates::Climate;
use crate::library::places::in_degrees;
use crate::quantity::units::Units;
use crate::read::field::{CLIMATE, Kind, SPOT, SPOT_DEGREES};
use crate::text::limit;
use crate::text::month::MONTHS;
use crate::tree::Value;

/// A height this far above or below all that is known around is doubted; m. Judgement.
const HEIGHT_OFF_M: f64 = 300.0;
/// This far, it is refused; m. Judgement: no garden stands on a peak alone.
const NO_SUCH_HEIGHT_M: f64 = 1000.0;
/// Metres in a foot (exact).
const FOOT_M: f64 = 0.3048;

/// Whether months of one's own have no such field.
fn is_of_spot(key: &str) -> bool {
    key == "at" || key == "height"
}

/// A height above the sea in the owner's units.
fn height_text(height_m: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{:.0} ft", height_m / FOOT_M),
        _ => format!("{height_m:.0} m"),
    }
}

impl Walk<'_> {
    /// The climate.
    pub(super) fn climate(&mut self, given: &Given<'_>) -> Option<Climate> {
        match &given.node.value {
            Value::Text(name) => self.named(given, name),
            Value::Table(entries) if entries.iter().any(|entry| is_of_spot(&entry.key)) => {
                self.spot(given)
            }
            Value::Table(_) => self.own_months(given),
            _ => {
                self.wrong_kind(given, "the name of a place, or a table");
                None
            }
        }
    }

    /// A station on the list, or a town.
    fn named(&mut self, given: &Given<'_>, name: &str) -> Option<Climate> {
        let name = self.plain(given, name, limit::NAME_CHARACTERS)?;
        match self.library.sought(&name) {
            Ok(climate) => Some(climate),
            Err(none) => {
                let (code, expected, help) = none.told();
                self.fault_with(code, given, name, expected, help);
                None
            }
        }
    }

    /// A place by its degrees.
    fn spot(&mut self, given: &Given<'_>) -> Option<Climate> {
        let fields = self.open(&SPOT, given.node, &given.path)?;
        let at = fields.get("at").and_then(|given| self.degrees(&given));
        let height = fields.get("height");
        let height_m = match &height {
            Some(given) => Some(self.signed_quantity(given)?),
            None => None,
        };
        let name = fields.get("name").map(|given| self.text(&given));
        let at = at?;
        let degrees = in_degrees(at[0], at[1]);
        let name = name.unwrap_or_else(|| Some(degrees.clone()))?;
        // Before what such a height would make of the climate.
        if let (Some(given), Some(height_m)) = (&height, height_m)
            && let Ok(around) = self.library.at_spot(at, None, &name)
        {
            self.is_height_there(given, height_m, around.heights_around_m)?;
        }
        let found = match self.library.at_spot(at, height_m, &name) {
            Ok(found) => found,
            Err(none) => {
                let (code, expected, help) = none.told();
                self.fault_with(code, given, degrees, expected, help);
                return None;
            }
        };
        if let (None, Some(estimate)) = (height_m, &found.climate.estimate) {
            let height = height_text(estimate.height_m, self.units);
            let source = "the height of the nearest town or station, or of the land around";
            self.assume(fields.path_of("height"), height, source);
        }
        Some(found.climate)
    }

    /// Whether there is land of about that height.
    fn is_height_there(
        &mut self,
        given: &Given<'_>,
        height_m: f64,
        (low_m, high_m): (f64, f64),
    ) -> Option<()> {
        let units = self.units;
        let text = |height_m| height_text(height_m, units);
        let beyond_m = (low_m - height_m).max(height_m - high_m);
        if beyond_m > NO_SUCH_HEIGHT_M {
            let found = format!("the height is {}", text(height_m));
            let expected = format!(
                "land, towns and stations within 60 km lie between {} and {}",
                text(low_m),
                text(high_m)
            );
            self.fault(FaultCode::DoesNotFit, given, found, expected);
            return None;
        }
        if beyond_m > HEIGHT_OFF_M {
            self.note(
                notice::HEIGHT_OFF,
                None,
                vec![
                    ("given", text(height_m)),
                    ("low", text(low_m)),
                    ("high", text(high_m)),
                ],
            );
        }
        Some(())
    }

    /// Latitude and longitude.
    fn degrees(&mut self, given: &Given<'_>) -> Option<[f64; 2]> {
        let Value::List(nodes) = &given.node.value else {
            self.wrong_kind(given, "a list of two numbers of degrees, north and east");
            return None;
        };
        let [latitude, longitude] = nodes.as_slice() else {
            let found = match nodes.len() {
                1 => "1 value".to_owned(),
                count => format!("{count} values"),
            };
            let expected = "2, degrees north and degrees east";
            self.fault(FaultCode::WrongLength, given, found, expected);
            return None;
        };
        let latitude = self.number_in(&given.entry(0, latitude), SPOT_DEGREES[0]);
        let longitude = self.number_in(&given.entry(1, longitude), SPOT_DEGREES[1]);
        Some([latitude?, longitude?])
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
            estimate: None,
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
