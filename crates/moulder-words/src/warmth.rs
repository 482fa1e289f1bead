//! The warmth of a bed in words and figures, in the owner's units.

use std::fmt::Write;

use moulder_solve::month_log::SOWING_C;

use moulder::Forecast;
use moulder::Units;
use moulder::internals::text::rounding::rounded;

/// A temperature difference in K in the owner's [`degrees`], not rounded.
///
/// ```
/// use moulder::Units;
/// use moulder_words::warmth::difference;
///
/// assert!((difference(1.5, Units::Us) - 2.7).abs() < 1e-12);
/// ```
#[must_use]
pub fn difference(kelvin: f64, units: Units) -> f64 {
    match units {
        Units::Metric | Units::UkGarden => kelvin,
        Units::Us => kelvin * 1.8,
    }
}

/// A temperature as a bare number for a column, in [`degrees`]: to a tenth.
///
/// ```
/// use moulder::Units;
/// use moulder_words::warmth::temperature_figure;
///
/// assert_eq!(temperature_figure(10.0, Units::Metric), "10.0");
/// assert_eq!(temperature_figure(10.0, Units::Us), "50.0");
/// ```
#[must_use]
pub fn temperature_figure(celsius: f64, units: Units) -> String {
    rounded(temperature(celsius, units), 1)
}

/// A temperature in degC in the owner's [`degrees`], not rounded.
#[must_use]
pub fn temperature(celsius: f64, units: Units) -> f64 {
    match units {
        Units::Metric | Units::UkGarden => celsius,
        Units::Us => difference(celsius, units) + 32.0,
    }
}

/// A temperature difference as a bare number for a column, in [`degrees`].
///
/// ```
/// use moulder::Units;
/// use moulder_words::warmth::lift_figure;
///
/// assert_eq!(lift_figure(1.5, Units::Us), "2.7");
/// ```
#[must_use]
pub fn lift_figure(kelvin: f64, units: Units) -> String {
    rounded(difference(kelvin, units), 1)
}

/// From which temperature on soil is warm enough to sow most vegetables, as people say it.
///
/// ```
/// use moulder::Units;
/// use moulder_words::warmth::sowing_warmth;
///
/// assert_eq!(sowing_warmth(Units::Metric), "10 degC");
/// assert_eq!(sowing_warmth(Units::Us), "50 degF");
/// ```
#[must_use]
pub fn sowing_warmth(units: Units) -> String {
    let figure = temperature_figure(SOWING_C, units);
    let figure = figure.strip_suffix(".0").unwrap_or(&figure);
    format!("{figure} {}", degrees(units))
}

/// The degrees of the owner.
#[must_use]
pub const fn degrees(units: Units) -> &'static str {
    match units {
        Units::Metric | Units::UkGarden => "degC",
        Units::Us => "degF",
    }
}

/// How much warmer than open ground the root zone is: in its first two months, in the rest of
/// the first year, and later, as far as the forecast goes; equal periods are put together.
///
/// Each is the largest difference of a month's means. None for day zero alone.
#[must_use]
pub fn warmth_in_a_sentence(forecast: &Forecast) -> Option<String> {
    let last = forecast.months.last()?.month;
    let stands = |after: u32, to: u32| {
        let rows = forecast.months.iter();
        let lifts_c: Vec<f64> = rows
            .filter(|row| after < row.month && row.month <= to)
            .map(|row| row.root_zone_lift_c)
            .collect();
        (!lifts_c.is_empty()).then(|| against_open_ground(&lifts_c, forecast.units))
    };
    let first = stands(0, 2)?;
    let (second, third) = (stands(2, 12), stands(12, u32::MAX));
    let like_first = |span: &Option<_>| span.as_ref().is_none_or(|span| *span == first);
    let (when, rest) = if like_first(&second) && like_first(&third) {
        (whole(last), Vec::new())
    } else if like_first(&second) {
        ("In its first year".to_owned(), vec![("later", third)])
    } else {
        let rest = if last <= 12 {
            let when = if last == 12 {
                "in the rest of the first year"
            } else {
                "in the months after"
            };
            vec![(when, second)]
        } else if second == third {
            vec![("after that", third)]
        } else {
            vec![("in the rest of the first year", second), ("later", third)]
        };
        ("In its first two months".to_owned(), rest)
    };
    let (how, joined) = first;
    let mut said = format!("{when} the root zone is {how} {joined} open ground at the same depth");
    for (when, span) in rest {
        if let Some((how, _)) = span {
            let _ = write!(said, ", {when} {how}");
        }
    }
    said.push('.');
    Some(said)
}

/// The whole of a forecast of that many months.
fn whole(months: u32) -> String {
    match months {
        1 => "In its first month".to_owned(),
        2 => "In its first two months".to_owned(),
        12 => "In its first year".to_owned(),
        months => format!("In all {months} months"),
    }
}

/// How the root zone stands to open ground, and the word that joins the two: "about as
/// warm" and "as", "up to about 0.5 degC warmer" and "than".
fn against_open_ground(lifts_c: &[f64], units: Units) -> (String, &'static str) {
    let most = lifts_c.iter().copied().fold(0.0, f64::max);
    let least = lifts_c.iter().copied().fold(0.0, f64::min);
    match (halves(most, units), halves(-least, units)) {
        (None, None) => ("about as warm".to_owned(), "as"),
        (Some(warmer), None) => (format!("up to about {warmer} warmer"), "than"),
        (None, Some(colder)) => (format!("up to about {colder} colder"), "than"),
        (Some(warmer), Some(colder)) => (
            format!("up to about {warmer} warmer and {colder} colder"),
            "than",
        ),
    }
}

/// A difference to half a degree; none where that is 0.
fn halves(kelvin: f64, units: Units) -> Option<String> {
    let halves = (difference(kelvin, units) * 2.0).round();
    (halves >= 1.0).then(|| {
        let text = format!("{:.1}", halves / 2.0);
        let text = text.strip_suffix(".0").unwrap_or(&text);
        format!("{text} {}", degrees(units))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_sides_of_open_ground_are_told() {
        let told = |lifts_c: &[f64], units| against_open_ground(lifts_c, units).0;
        assert_eq!(told(&[0.24, -0.2], Units::Metric), "about as warm");
        assert_eq!(
            told(&[0.3, 1.1], Units::UkGarden),
            "up to about 1 degC warmer"
        );
        assert_eq!(told(&[0.3, 1.1], Units::Us), "up to about 2 degF warmer");
        assert_eq!(told(&[-0.8], Units::Metric), "up to about 1 degC colder");
        assert_eq!(
            told(&[1.4, -0.6], Units::Metric),
            "up to about 1.5 degC warmer and 0.5 degC colder"
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
