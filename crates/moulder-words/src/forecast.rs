//! A forecast in a plain sentence.

use moulder::Date;

use crate::figure::height::reading;
use crate::parts::heights_adding_up_m;
use crate::surprise::in_a_forecast;
use moulder::Bed;
use moulder::Interval;
use moulder::Units;
use moulder::internals::text::phrase::joined;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::parameter::ingredients;
use moulder::months::MonthIntervals;
use moulder::{Forecast, Month};

/// The sentence about a nominal run without an interval.
pub const NO_BAND: &str = "One run with the best figures, no range: printed advice differs by \
a factor of three, so take this as the middle of a wide range.";

/// Where the surface stands after six months and the causes, and where at the end where that is
/// later: the mean, with the 80 % interval.
///
/// Sentences without line breaks. None when the forecast has day zero only.
#[must_use]
pub fn in_a_sentence(forecast: &Forecast) -> Option<String> {
    let row = half_year(forecast)?;
    let mut text = given_in_a_sentence(forecast).map_or_else(String::new, |said| said + " ");
    text.push_str(&by_then(forecast, row));
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
    if forecast.intervals.is_empty() {
        return NO_BAND.to_owned();
    }
    if let Some(given) = &forecast.given {
        let tape = match given.count {
            1 => "the reading".to_owned(),
            count => format!("the {count} readings"),
        };
        return format!(
            "Reckoned from {} beds like it, each counted by how well it agrees with {tape}; figures \
             are their means, and a range leaves out one such bed in ten at either end. As filled, \
             without the tape: --as-filled.",
            forecast.ensemble_size
        );
    }
    reckoned_from(forecast.ensemble_size)
}

/// What figures and ranges are reckoned from.
pub(crate) fn reckoned_from(ensemble_size: u32) -> String {
    format!(
        "Reckoned from {ensemble_size} beds like it, each with other weather, another fill and \
         other rates of settling and rot, as far as these are not known; figures are their \
         means, and a range leaves out one such bed in ten at either end."
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
            "These are {made} beds in place of {usual}, for a bed of {} ingredients takes long \
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

/// The row six months after filling or after the last reading, or the last before; not day zero.
fn half_year(forecast: &Forecast) -> Option<&Month> {
    let months = forecast.months.iter();
    let since = forecast
        .given
        .as_ref()
        .map_or(forecast.filled, |given| given.last_on);
    let seen = months.clone().take_while(|row| row.date <= since).count();
    let until = seen.saturating_sub(1) + 6;
    months
        .take(until + 1)
        .next_back()
        .filter(|row| row.month > 0)
}

/// What the tape said last, and whether readings are a surprise; none for a bed as filled.
fn given_in_a_sentence(forecast: &Forecast) -> Option<String> {
    let given = forecast.given.as_ref()?;
    let units = forecast.units;
    let height_m = given.last_height_m;
    let stands = match forecast.rim_m.map(|rim_m| rim_m - height_m) {
        Some(below_m) if reads_as_nothing(below_m, units) => "level with the rim".to_owned(),
        Some(below_m) if below_m > 0.0 => format!("{} below the rim", reading(below_m, units)),
        Some(below_m) => format!("{} above the rim", reading(-below_m, units)),
        None => format!("{} high", reading(height_m, units)),
    };
    let of = match given.count {
        1 => String::new(),
        count => format!(", the last of {count} readings"),
    };
    let said = format!("Measured on {}{of}: {stands}.", spoken_date(given.last_on));
    Some(in_a_forecast(given).map_or(said.clone(), |surprise| format!("{said} {surprise}")))
}

/// The intervals of a month; none for the nominal run alone.
#[must_use]
pub fn bands_of<'a>(forecast: &'a Forecast, row: &Month) -> Option<&'a MonthIntervals> {
    forecast
        .intervals
        .iter()
        .find(|bands| bands.month == row.month)
}

/// Where the surface stands by a day, with its range, and what was laid on.
fn by_then(forecast: &Forecast, row: &Month) -> String {
    let units = forecast.units;
    let day = spoken_date(row.date);
    let bands = bands_of(forecast, row);
    let (expected, range) = if let Some(below_m) = row.below_rim_m {
        let band = bands.and_then(|bands| bands.below_rim_m);
        let range = band.and_then(|band| depths(&band, below_m, units));
        (below_the_rim(below_m, units), range)
    } else {
        // What was added on the day of filling is there at the start.
        let at_start_m = forecast.months.first().map_or(0.0, |row| row.added_m);
        let lower_m = row.settlement_m - row.added_m + at_start_m;
        let band = bands.map(|bands| bands.lowered_m.map(|m| m + at_start_m));
        let range = band.and_then(|band| depths(&band, lower_m, units));
        (than_when_built(lower_m, units), range)
    };
    let range = range.map_or_else(String::new, |range| {
        format!("; 8 in 10 such {}: {range}", plural_of(forecast))
    });
    format!("By {day} expect it {expected}{range}.")
}

/// "beds", or "mounds" for what has no rim.
#[must_use]
pub const fn plural_of(forecast: &Forecast) -> &'static str {
    if forecast.rim_m.is_some() {
        "beds"
    } else {
        "mounds"
    }
}

/// "about 29 cm below the rim", "level with the rim", "about 3 cm above the rim".
pub(crate) fn below_the_rim(below_m: f64, units: Units) -> String {
    if reads_as_nothing(below_m, units) {
        "about level with the rim".to_owned()
    } else if below_m > 0.0 {
        format!("about {} below the rim", reading(below_m, units))
    } else {
        format!("about {} above the rim", reading(-below_m, units))
    }
}

/// How far a mound lies below where it was when built.
pub(crate) fn than_when_built(lower_m: f64, units: Units) -> String {
    if reads_as_nothing(lower_m, units) {
        "as high as when built".to_owned()
    } else if lower_m > 0.0 {
        format!("about {} lower than when built", reading(lower_m, units))
    } else {
        format!("about {} higher than when built", reading(-lower_m, units))
    }
}

/// The range of a depth beside its mean: "23 to 38", with the direction where an end lies on the
/// other side; none where both ends read the same.
pub(crate) fn depths(band: &Interval, mean_m: f64, units: Units) -> Option<String> {
    let (low_m, high_m) = (band.lower, band.upper);
    if reading(low_m, units) == reading(high_m, units) {
        return None;
    }
    let bare = |m: f64| bare_reading(m.abs(), units);
    let (above, below) = ("above", "below");
    let side = |m: f64| if m < 0.0 { above } else { below };
    let is_near = |m: f64| reads_as_nothing(m, units);
    Some(if mean_m >= 0.0 && (low_m >= 0.0 || is_near(low_m)) {
        format!("{} to {}", bare(low_m), bare(high_m))
    } else if mean_m < 0.0 && (high_m <= 0.0 || is_near(high_m)) {
        format!("{} to {}", bare(high_m), bare(low_m))
    } else {
        format!(
            "{} {} to {} {}",
            bare(low_m),
            side(low_m),
            bare(high_m),
            side(high_m)
        )
    })
}

/// A reading without its unit.
fn bare_reading(height_m: f64, units: Units) -> String {
    let told = reading(height_m, units);
    told.rsplit_once(' ')
        .map_or(told.clone(), |(bare, _)| bare.to_owned())
}

/// What has sunk by then, and why: parts that add up.
fn causes(row: &Month, forecast: &Forecast) -> Option<String> {
    let (units, has_wood) = (forecast.units, forecast.has_wood);
    if reads_as_nothing(row.settlement_m, units) || row.settlement_m < 0.0 {
        return None;
    }
    let split = &row.parts;
    let parts_m = [
        split.mechanical_m,
        split.fines_migration_m,
        split.nonwoody_decay_m,
        split.wood_decay_m,
    ];
    let told_m = heights_adding_up_m(row.settlement_m, &parts_m, units);
    let names = [
        "settling",
        "soil sifting down",
        "soft stuff rotting",
        "wood rotting",
    ];
    let mut named: Vec<(f64, &str)> = told_m.iter().copied().zip(names).collect();
    let wood_waits = reads_as_nothing(told_m[3], units);
    named.retain(|(fall_m, _)| !reads_as_nothing(*fall_m, units));
    named.sort_by(|a, b| b.0.total_cmp(&a.0));
    let parts: Vec<String> = named
        .iter()
        .map(|(fall_m, cause)| {
            if *fall_m < 0.0 {
                format!("{cause} gave {} back", reading(-fall_m, units))
            } else {
                format!("{} is {cause}", reading(*fall_m, units))
            }
        })
        .collect();
    if parts.is_empty() {
        return None;
    }
    let at_start_m = forecast.months.first().map_or(0.0, |row| row.added_m);
    let added_m = row.added_m - at_start_m;
    let laid_on = if reads_as_nothing(added_m, units) {
        String::new()
    } else {
        format!(", and {} laid on since", reading(added_m, units))
    };
    let wood = if wood_waits && has_wood {
        "; wood has hardly begun to go"
    } else {
        ""
    };
    Some(format!(
        "It has sunk {} by then{laid_on}: {}{wood}.",
        reading(row.settlement_m, units),
        joined(&parts, "and")
    ))
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
    use super::depths;
    use moulder::{Interval, Units};

    #[test]
    fn a_range_says_its_direction_where_it_has_two() {
        let metric = |lower, upper, mean| {
            let band = Interval {
                lower,
                upper,
                ..Interval::known(mean)
            };
            depths(&band, mean, Units::Metric)
        };
        assert_eq!(metric(0.291, 0.408, 0.35).unwrap(), "29 to 41");
        assert_eq!(metric(0.291, 0.293, 0.292), None);
        assert_eq!(metric(0.001, 0.05, 0.03).unwrap(), "0 to 5");
        assert_eq!(metric(-0.05, -0.02, -0.03).unwrap(), "2 to 5");
        assert_eq!(metric(-0.05, 0.02, -0.01).unwrap(), "5 above to 2 below");
    }
}
