//! Heights as text, to the accuracy of a tape measure, in the owner's units.

use crate::quantity::units::Units;
use crate::text::rounding::rounded;

/// Metres in an inch (exact: international inch, NIST Handbook 44, appendix C).
const INCH_M: f64 = 0.0254;

/// A height rounded as a tape measure reading: whole centimetres, or half inches.
#[must_use]
pub fn reading(height_m: f64, units: Units) -> String {
    match units {
        Units::Metric => format!("{} cm", whole(height_m * 100.0)),
        Units::Us | Units::UkGarden => {
            let halves = whole(height_m / INCH_M * 2.0);
            let sign = if halves < 0 { "-" } else { "" };
            let (inches, half) = (halves.abs() / 2, halves.abs() % 2 == 1);
            match (inches, half) {
                (0, true) => format!("{sign}1/2 in"),
                (_, true) => format!("{sign}{inches} 1/2 in"),
                (_, false) => format!("{sign}{inches} in"),
            }
        }
    }
}

/// Two heights as [`reading`] rounds them, the lower first; one where both read the same.
#[must_use]
pub fn span(low_m: f64, high_m: f64, units: Units) -> String {
    let (low, high) = (reading(low_m, units), reading(high_m, units));
    if low == high {
        return high;
    }
    let bare = low.trim_end_matches(unit(units)).trim_end();
    format!("{bare} to {high}")
}

/// A height, unrounded, in [`unit`].
#[must_use]
pub fn in_unit(height_m: f64, units: Units) -> f64 {
    match units {
        Units::Metric => height_m * 100.0,
        Units::Us | Units::UkGarden => height_m / INCH_M,
    }
}

/// A height as a bare number for a table column, to a tenth, in [`unit`].
#[must_use]
pub fn figure(height_m: f64, units: Units) -> String {
    rounded(in_unit(height_m, units), 1)
}

/// A height as a bare number rounded as [`reading`] is: whole centimetres or half inches.
#[must_use]
pub fn rough_figure(height_m: f64, units: Units) -> String {
    match units {
        Units::Metric => whole(height_m * 100.0).to_string(),
        Units::Us | Units::UkGarden => {
            let halves = whole(height_m / INCH_M * 2.0);
            let sign = if halves < 0 { "-" } else { "" };
            let half = if halves % 2 == 0 { "0" } else { "5" };
            format!("{sign}{}.{half}", halves.abs() / 2)
        }
    }
}

/// The step of a tape measure reading; m.
#[must_use]
pub const fn step_m(units: Units) -> f64 {
    match units {
        Units::Metric => 0.01,
        Units::Us | Units::UkGarden => 0.5 * INCH_M,
    }
}

/// The unit of [`figure`].
#[must_use]
pub fn unit(units: Units) -> &'static str {
    match units {
        Units::Metric => "cm",
        Units::Us | Units::UkGarden => "in",
    }
}

/// The unit of [`figure`] where it stands in a sentence ("in in" would be a riddle).
#[must_use]
pub const fn spelt(units: Units) -> &'static str {
    match units {
        Units::Metric => "cm",
        Units::Us | Units::UkGarden => "inches",
    }
}

/// A particle size as text: millimetres and centimetres, or inches to a quarter and below an inch
/// to an eighth.
#[must_use]
pub fn size(particle_size_m: f64, units: Units) -> String {
    match units {
        Units::Metric if particle_size_m < 0.0095 => {
            let halves = whole(particle_size_m * 2000.0);
            format!(
                "{}{} mm",
                halves / 2,
                if halves % 2 == 1 { ".5" } else { "" }
            )
        }
        Units::Metric => format!("{} cm", whole(particle_size_m * 100.0)),
        Units::Us | Units::UkGarden => {
            let inches = particle_size_m / INCH_M;
            // Eighths below an inch, quarters above.
            let eighths = if inches < 1.0 {
                whole(inches * 8.0)
            } else {
                whole(inches * 4.0) * 2
            };
            let part = match eighths % 8 {
                0 => "",
                1 => "1/8",
                2 => "1/4",
                3 => "3/8",
                4 => "1/2",
                5 => "5/8",
                6 => "3/4",
                _ => "7/8",
            };
            match (eighths / 8, part) {
                (0, "") => "under 1/8 in".to_owned(),
                (0, part) => format!("{part} in"),
                (inches, "") => format!("{inches} in"),
                (inches, part) => format!("{inches} {part} in"),
            }
        }
    }
}

/// The nearest whole number, halves away from zero.
fn whole(value: f64) -> i64 {
    // Heights of a bed lie far inside the range; anything else is clamped to it.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "held to a range that an i64 can hold"
    )]
    let rounded = value.clamp(-1e9, 1e9).round() as i64;
    rounded
}

#[cfg(test)]
mod tests {
    use super::*;
    use Units::{Metric, UkGarden, Us};

    #[test]
    fn texts_are_in_the_owners_units() {
        for (text, expected) in [
            (reading(0.3149, Metric), "31 cm"),
            (reading(0.3149, Us), "12 1/2 in"),
            (reading(-0.05, UkGarden), "-2 in"),
            (span(0.261, 0.384, Metric), "26 to 38 cm"),
            (span(0.261, 0.384, Us), "10 1/2 to 15 in"),
            (span(0.261, 0.264, Metric), "26 cm"),
            (figure(0.3149, Metric), "31.5"),
            (figure(0.254, Us), "10.0"),
            (rough_figure(0.3149, Metric), "31"),
            (rough_figure(0.3149, Us), "12.5"),
            (size(0.12, Metric), "12 cm"),
            (size(0.003, Metric), "3 mm"),
            (size(0.12, Us), "4 3/4 in"),
            (size(0.001, Us), "under 1/8 in"),
        ] {
            assert_eq!(text, expected);
        }
    }
}
