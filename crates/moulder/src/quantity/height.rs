//! Heights as a tape reads them, in the owner's units.

use crate::quantity::units::Units;

/// Metres in an inch (exact: international inch, NIST Handbook 44, appendix C).
const INCH_M: f64 = 0.0254;

/// A height as a tape reads it: whole centimetres, or half inches.
///
/// ```
/// use moulder::internals::quantity::units::Units;
/// use moulder::internals::quantity::height::reading;
///
/// assert_eq!(reading(0.3149, Units::Metric), "31 cm");
/// assert_eq!(reading(0.3149, Units::Us), "12 1/2 in");
/// assert_eq!(reading(-0.05, Units::UkGarden), "-2 in");
/// ```
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

/// Two heights as a tape reads them, the lower first; one where they read the same.
///
/// ```
/// use moulder::internals::quantity::units::Units;
/// use moulder::internals::quantity::height::span;
///
/// assert_eq!(span(0.261, 0.384, Units::Metric), "26 to 38 cm");
/// assert_eq!(span(0.261, 0.384, Units::Us), "10 1/2 to 15 in");
/// assert_eq!(span(0.261, 0.264, Units::Metric), "26 cm");
/// ```
#[must_use]
pub fn span(low_m: f64, high_m: f64, units: Units) -> String {
    let (low, high) = (reading(low_m, units), reading(high_m, units));
    if low == high {
        return high;
    }
    let bare = low.trim_end_matches(unit(units)).trim_end();
    format!("{bare} to {high}")
}

/// A height in the owner's unit, as exact as it came: centimetres or inches.
///
/// ```
/// use moulder::internals::quantity::units::Units;
/// use moulder::internals::quantity::height::{in_unit, unit};
///
/// assert!((in_unit(0.254, Units::Us) - 10.0).abs() < 1e-12);
/// assert_eq!(unit(Units::Us), "in");
/// ```
#[must_use]
pub fn in_unit(height_m: f64, units: Units) -> f64 {
    match units {
        Units::Metric => height_m * 100.0,
        Units::Us | Units::UkGarden => height_m / INCH_M,
    }
}

/// A height as a bare number for a column: tenths of a centimetre or of an inch.
///
/// ```
/// use moulder::internals::quantity::units::Units;
/// use moulder::internals::quantity::height::{figure, unit};
///
/// assert_eq!(figure(0.3149, Units::Metric), "31.5");
/// assert_eq!(unit(Units::Metric), "cm");
/// ```
#[must_use]
pub fn figure(height_m: f64, units: Units) -> String {
    let value = in_unit(height_m, units);
    // A rounded nothing is written without a sign.
    let text = format!("{value:.1}");
    if text == "-0.0" {
        "0.0".to_owned()
    } else {
        text
    }
}

/// A height as a bare number no finer than a tape reads: whole centimetres or half inches.
///
/// ```
/// use moulder::internals::quantity::units::Units;
/// use moulder::internals::quantity::height::rough_figure;
///
/// assert_eq!(rough_figure(0.3149, Units::Metric), "31");
/// assert_eq!(rough_figure(0.3149, Units::Us), "12.5");
/// ```
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

/// The step to which a tape is read; m.
#[must_use]
pub(crate) const fn step_m(units: Units) -> f64 {
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

/// The size of a piece: millimetres and centimetres, or inches to a quarter and below
/// an inch to an eighth.
///
/// ```
/// use moulder::internals::quantity::units::Units;
/// use moulder::internals::quantity::height::size;
///
/// assert_eq!(size(0.12, Units::Metric), "12 cm");
/// assert_eq!(size(0.003, Units::Metric), "3 mm");
/// assert_eq!(size(0.12, Units::Us), "4 3/4 in");
/// assert_eq!(size(0.001, Units::Us), "under 1/8 in");
/// ```
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
            // Eighths, but a whole inch and more to the quarter.
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
    // Heights of a bed are far inside the range; anything else is held to it.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "held to a range that an i64 can hold"
    )]
    let rounded = value.clamp(-1e9, 1e9).round() as i64;
    rounded
}
