//! The warmth of a bed in words and figures, in the owner's units.

use std::fmt::Write;

use crate::bed::Units;
use crate::forecast::Forecast;

/// A difference of temperature in K, in the owner's degrees.
fn difference(kelvin: f64, units: Units) -> f64 {
    match units {
        Units::Metric | Units::UkGarden => kelvin,
        Units::Us => kelvin * 1.8,
    }
}

/// A temperature as a bare number for a column, in [`degrees`]: to a tenth.
///
/// ```
/// use moulder::bed::Units;
/// use moulder::warmth_text::temperature_figure;
///
/// assert_eq!(temperature_figure(10.0, Units::Metric), "10.0");
/// assert_eq!(temperature_figure(10.0, Units::Us), "50.0");
/// ```
#[must_use]
pub fn temperature_figure(celsius: f64, units: Units) -> String {
    tenths(match units {
        Units::Metric | Units::UkGarden => celsius,
        Units::Us => difference(celsius, units) + 32.0,
    })
}

/// A difference of temperatures as a bare number for a column, in [`degrees`].
///
/// ```
/// use moulder::bed::Units;
/// use moulder::warmth_text::lift_figure;
///
/// assert_eq!(lift_figure(1.5, Units::Us), "2.7");
/// ```
#[must_use]
pub fn lift_figure(kelvin: f64, units: Units) -> String {
    tenths(difference(kelvin, units))
}

/// The degrees of the owner.
#[must_use]
pub const fn degrees(units: Units) -> &'static str {
    match units {
        Units::Metric | Units::UkGarden => "degC",
        Units::Us => "degF",
    }
}

/// How much warmer than open ground the root zone is: in its first two months, in the
/// rest of the first year, and later, as far as the forecast goes.
///
/// Each is the largest difference of a month's means. None for day zero alone.
#[must_use]
pub fn warmth_in_a_sentence(forecast: &Forecast) -> Option<String> {
    let stands = |after: u32, to: u32| {
        let rows = forecast.months.iter();
        let lifts_c: Vec<f64> = rows
            .filter(|row| after < row.month && row.month <= to)
            .map(|row| row.root_zone_lift_c)
            .collect();
        (!lifts_c.is_empty()).then(|| against_open_ground(&lifts_c, forecast.units))
    };
    let (how, joined) = stands(0, 2)?;
    let when = match forecast.months.last()?.month {
        1 => "month",
        _ => "two months",
    };
    let mut said = format!(
        "In its first {when} the root zone is {how} {joined} open ground at the same depth"
    );
    for (after, to, when) in [
        (2, 12, "in the rest of the first year"),
        (12, u32::MAX, "later"),
    ] {
        if let Some((how, _)) = stands(after, to) {
            let _ = write!(said, ", {when} {how}");
        }
    }
    said.push('.');
    Some(said)
}

/// How the root zone stands to open ground, and the word that joins the two: "about as
/// warm" and "as", "up to 0.5 degC warmer" and "than".
fn against_open_ground(lifts_c: &[f64], units: Units) -> (String, &'static str) {
    let most = lifts_c.iter().copied().fold(0.0, f64::max);
    let least = lifts_c.iter().copied().fold(0.0, f64::min);
    match (halves(most, units), halves(-least, units)) {
        (None, None) => ("about as warm".to_owned(), "as"),
        (Some(warmer), None) => (format!("up to {warmer} warmer"), "than"),
        (None, Some(colder)) => (format!("up to {colder} colder"), "than"),
        (Some(warmer), Some(colder)) => {
            (format!("up to {warmer} warmer and {colder} colder"), "than")
        }
    }
}

/// A difference to half a degree; none where that is nothing.
fn halves(kelvin: f64, units: Units) -> Option<String> {
    let halves = (difference(kelvin, units) * 2.0).round();
    (halves >= 1.0).then(|| {
        let text = format!("{:.1}", halves / 2.0);
        let text = text.strip_suffix(".0").unwrap_or(&text);
        format!("{text} {}", degrees(units))
    })
}

/// To a tenth; a rounded nothing has no sign.
fn tenths(value: f64) -> String {
    let text = format!("{value:.1}");
    if text == "-0.0" {
        "0.0".to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_sides_of_open_ground_are_told() {
        let told = |lifts_c: &[f64], units| against_open_ground(lifts_c, units).0;
        assert_eq!(told(&[0.24, -0.2], Units::Metric), "about as warm");
        assert_eq!(told(&[0.3, 1.1], Units::UkGarden), "up to 1 degC warmer");
        assert_eq!(told(&[0.3, 1.1], Units::Us), "up to 2 degF warmer");
        assert_eq!(told(&[-0.8], Units::Metric), "up to 1 degC colder");
        assert_eq!(
            told(&[1.4, -0.6], Units::Metric),
            "up to 1.5 degC warmer and 0.5 degC colder"
        );
    }

    /// Freezing and the Fahrenheit scale (exact by definition).
    #[test]
    fn degrees_of_both_scales() {
        assert_eq!(temperature_figure(0.0, Units::Us), "32.0");
        assert_eq!(temperature_figure(-40.0, Units::Us), "-40.0");
        assert_eq!(temperature_figure(-0.01, Units::Metric), "0.0");
    }
}
