//! A forecast in a plain sentence.

use moulder::Date;

use crate::figure::height::{reading, span};
use moulder::Bed;
use moulder::Units;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::parameter::ingredients;
use moulder::months::MonthIntervals;
use moulder::{Forecast, Month};

/// The sentence about a nominal run without an interval.
pub const NO_BAND: &str = "The middle line alone, without a band: printed advice differs by \
a factor of three, so take this as the middle of a wide range.";

/// The settlement after six months and its causes, and the settlement at the end where that is
/// later.
///
/// With an ensemble the 80 % interval is given beside the nominal run.
///
/// Sentences without line breaks. None when the forecast has day zero only.
#[must_use]
pub fn in_a_sentence(forecast: &Forecast) -> Option<String> {
    let row = half_year(forecast)?;
    let mut text = by_then(forecast, row);
    if let Some(causes) = causes(row, forecast) {
        text.push(' ');
        text.push_str(&causes);
    }
    let last = forecast.months.last()?;
    if last.month > row.month {
        text.push(' ');
        text.push_str(&by_then(forecast, last));
    }
    Some(text)
}

/// The sentence about the uncertainty of a forecast.
#[must_use]
pub fn how_sure(forecast: &Forecast) -> String {
    let Some(off) = forecast.discrepancy_sd else {
        return NO_BAND.to_owned();
    };
    format!(
        "The range holds four in five of {} draws of all that is uncertain in the fill, the \
         figures and the weather, and in the laws themselves: these are taken to be off by \
         some {:.0} % in how fast it sinks.",
        forecast.ensemble_size,
        100.0 * off
    )
}

/// The sentence about an ensemble smaller than usual, since the bed has many ingredients; none
/// for other beds.
#[must_use]
pub fn fewer_draws(bed: &Bed, forecast: &Forecast) -> Option<String> {
    let (made, usual) = (
        forecast.ensemble_size,
        Realisations::default().ensemble_size,
    );
    let is_fewer = made < usual && made == Realisations::usual_count(bed);
    is_fewer.then(|| {
        format!(
            "These are {made} draws in place of {usual}, for a bed of {} ingredients takes long \
             to forecast: --draws {usual} makes as many as usual.",
            ingredients(bed).len()
        )
    })
}

/// The probability that the surface lies deeper below the rim than asked, after six months and
/// at the end; none where nothing was asked, or for day zero alone.
#[must_use]
pub fn chance_in_a_sentence(forecast: &Forecast) -> Option<String> {
    let asked = reading(forecast.deeper_than_m?, forecast.units);
    let row = half_year(forecast)?;
    let last = forecast.months.last()?;
    let chance = |row: &Month| {
        let chance = bands_of(forecast, row)?.chance_deeper?;
        let day = spoken_date(row.date);
        Some(format!("{} % by {day}", (chance * 100.0).round()))
    };
    let mut chances = vec![chance(row)?];
    if last.month > row.month {
        chances.push(chance(last)?);
    }
    Some(format!(
        "The chance that it lies more than {asked} below the rim is {}.",
        chances.join(" and ")
    ))
}

/// The row after six months, or the last before; not day zero.
fn half_year(forecast: &Forecast) -> Option<&Month> {
    let early = forecast.months.iter().take_while(|row| row.month <= 6);
    early.last().filter(|row| row.month > 0)
}

/// The intervals of a month; none for the nominal run alone.
#[must_use]
pub fn bands_of<'a>(forecast: &'a Forecast, row: &Month) -> Option<&'a MonthIntervals> {
    forecast
        .intervals
        .iter()
        .find(|bands| bands.month == row.month)
}

/// How far the surface has moved by a day, and how it stands to the rim.
fn by_then(forecast: &Forecast, row: &Month) -> String {
    let units = forecast.units;
    // What was added on the day of filling is there at the start.
    let at_start_m = forecast.months.first().map_or(0.0, |row| row.added_m);
    let added_m = row.added_m - at_start_m;
    let fallen_m = row.settlement_m - added_m;
    let moved = if reads_as_nothing(fallen_m, units) {
        "where it was".to_owned()
    } else if fallen_m > 0.0 {
        format!("about {} lower", reading(fallen_m, units))
    } else {
        format!("about {} higher", reading(-fallen_m, units))
    };
    let laid_on = if reads_as_nothing(added_m, units) {
        String::new()
    } else {
        format!(
            " ({} sunk, {} laid on since)",
            reading(row.settlement_m, units),
            reading(added_m, units)
        )
    };
    let day = spoken_date(row.date);
    let stands = stands(row, units);
    let Some(bands) = bands_of(forecast, row) else {
        return format!("By {day} expect the surface {moved}{laid_on}, {stands}.");
    };
    let range = between(
        bands.lowered_m.lower + at_start_m,
        bands.lowered_m.upper + at_start_m,
        units,
    );
    // The direction is given once where it is the same.
    let middle = if range.ends_with(" lower") {
        moved.strip_suffix(" lower").unwrap_or(&moved)
    } else {
        &moved
    };
    format!("By {day} expect the surface {range}, most likely {middle}{laid_on}: {stands}.")
}

/// From where to where the surface has moved.
pub(crate) fn between(low_m: f64, high_m: f64, units: Units) -> String {
    if reads_as_nothing(low_m, units) && reads_as_nothing(high_m, units) {
        "where it was".to_owned()
    } else if low_m >= 0.0 || reads_as_nothing(low_m, units) {
        format!("{} lower", span(low_m.abs(), high_m, units))
    } else if high_m <= 0.0 || reads_as_nothing(high_m, units) {
        format!("{} higher", span(high_m.abs(), -low_m, units))
    } else {
        format!(
            "between {} higher and {} lower",
            reading(-low_m, units),
            reading(high_m, units)
        )
    }
}

/// How the surface stands to the rim, or to the ground.
fn stands(row: &Month, units: Units) -> String {
    match row.below_rim_m {
        Some(below) if reads_as_nothing(below, units) => "level with the rim".to_owned(),
        Some(below) if below > 0.0 => format!("{} below the rim", reading(below, units)),
        Some(below) => format!("still {} above the rim", reading(-below, units)),
        None if row.height_m < 0.0 => {
            format!("{} below the ground", reading(-row.height_m, units))
        }
        None => format!("{} high", reading(row.height_m, units)),
    }
}

fn causes(row: &Month, forecast: &Forecast) -> Option<String> {
    let (units, has_wood) = (forecast.units, forecast.has_wood);
    if reads_as_nothing(row.settlement_m, units) || row.settlement_m < 0.0 {
        return None;
    }
    let split = &row.parts;
    let mut named: Vec<(f64, &str)> = vec![
        (split.mechanical_m, "settling"),
        (split.fines_migration_m, "soil sifting down"),
        (split.nonwoody_decay_m, "soft stuff rotting"),
        (split.wood_decay_m, "wood rotting"),
    ];
    let wood_waits = reads_as_nothing(split.wood_decay_m, units);
    named.retain(|(fall_m, _)| *fall_m > 0.0 && !reads_as_nothing(*fall_m, units));
    named.sort_by(|a, b| b.0.total_cmp(&a.0));
    let parts: Vec<String> = named
        .iter()
        .map(|(fall_m, cause)| format!("{} is {cause}", reading(*fall_m, units)))
        .collect();
    let listed = match parts.as_slice() {
        [] => return None,
        [only] => only.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    };
    let wood = if wood_waits && has_wood {
        "; wood has hardly begun to go"
    } else {
        ""
    };
    // Beside an interval "that" would be ambiguous.
    let whole = if forecast.intervals.is_empty() {
        "that".to_owned()
    } else {
        format!("the {}", reading(row.settlement_m, units))
    };
    Some(format!("Of {whole}, {listed}{wood}."))
}

/// Whether it is less than the step of a tape measure.
fn reads_as_nothing(height_m: f64, units: Units) -> bool {
    let text = reading(height_m, units);
    text.starts_with("0 ") || text.starts_with("-0 ")
}

/// The months of a year as they are said in dates and on charts.
pub const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// A date as it is spoken: "14 Sep 2026".
///
/// ```
/// use moulder::date;
/// use moulder_words::forecast::spoken_date;
///
/// assert_eq!(spoken_date(date(2026, 9, 14)), "14 Sep 2026");
/// ```
#[must_use]
pub fn spoken_date(date: Date) -> String {
    let number = usize::try_from(date.month()).unwrap_or_default();
    let month = MONTHS
        .get(number.wrapping_sub(1))
        .copied()
        .unwrap_or_default();
    format!("{} {month} {}", date.day(), date.year())
}

#[cfg(test)]
mod tests {
    use super::between;
    use moulder::Units;

    #[test]
    fn a_range_says_its_direction_once() {
        let metric = |low_m, high_m| between(low_m, high_m, Units::Metric);
        assert_eq!(metric(0.291, 0.408), "29 to 41 cm lower");
        assert_eq!(metric(0.291, 0.293), "29 cm lower");
        assert_eq!(metric(0.001, 0.05), "0 to 5 cm lower");
        assert_eq!(metric(-0.05, -0.02), "2 to 5 cm higher");
        assert_eq!(metric(-0.05, 0.02), "between 5 cm higher and 2 cm lower");
        assert_eq!(metric(-0.002, 0.002), "where it was");
    }
}
