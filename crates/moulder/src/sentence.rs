//! A forecast in a plain sentence.

use std::fmt::Write;

use jiff::civil::Date;

use crate::bed::Units;
use crate::forecast::{Forecast, MonthRow};
use crate::tape::reading;

/// What to say of a middle line that has no band.
pub const NO_BAND: &str = "No band yet: printed advice differs by a factor of three, \
so take this as the middle of a wide range.";

/// What a forecast says: how far the soil has fallen after six months and why, and how
/// far at its end where that is later.
///
/// Sentences without line breaks. Nothing when the forecast has day zero only.
#[must_use]
pub fn in_a_sentence(forecast: &Forecast) -> Option<String> {
    let row = forecast
        .months
        .iter()
        .take_while(|row| row.month <= 6)
        .last()
        .filter(|row| row.month > 0)?;
    let mut text = by_then(forecast, row);
    if let Some(causes) = causes(row, forecast.units, forecast.has_wood) {
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

/// How far the surface has moved by a day, and how it stands to the rim.
fn by_then(forecast: &Forecast, row: &MonthRow) -> String {
    let units = forecast.units;
    // What was laid on the day it was filled is there at the start.
    let at_start_m = forecast.months.first().map_or(0.0, |row| row.added_m);
    let added_m = row.added_m - at_start_m;
    let fallen_m = row.sunk_m - added_m;
    let mut fallen = if reads_as_nothing(fallen_m, units) {
        "where it was".to_owned()
    } else if fallen_m > 0.0 {
        format!("about {} lower", reading(fallen_m, units))
    } else {
        format!("about {} higher", reading(-fallen_m, units))
    };
    if !reads_as_nothing(added_m, units) {
        let _ = write!(
            fallen,
            " ({} sunk, {} laid on since)",
            reading(row.sunk_m, units),
            reading(added_m, units)
        );
    }
    let stands = match row.below_rim_m {
        Some(below) if reads_as_nothing(below, units) => "level with the rim".to_owned(),
        Some(below) if below > 0.0 => format!("{} below the rim", reading(below, units)),
        Some(below) => format!("still {} above the rim", reading(-below, units)),
        None if row.height_m < 0.0 => {
            format!("{} below the ground", reading(-row.height_m, units))
        }
        None => format!("{} high", reading(row.height_m, units)),
    };
    let day = spoken_date(&row.date);
    format!("By {day} expect the surface {fallen}, {stands}.")
}

fn causes(row: &MonthRow, units: Units, has_wood: bool) -> Option<String> {
    if reads_as_nothing(row.sunk_m, units) || row.sunk_m < 0.0 {
        return None;
    }
    let split = &row.split;
    let mut named: Vec<(f64, &str)> = vec![
        (split.settling_m, "settling"),
        (split.sifting_m, "soil sifting down"),
        (split.soft_rot_m, "soft stuff rotting"),
        (split.wood_rot_m, "wood rotting"),
    ];
    let wood_waits = reads_as_nothing(split.wood_rot_m, units);
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
    Some(format!("Of that, {listed}{wood}."))
}

/// Whether a tape would show nothing of it.
fn reads_as_nothing(height_m: f64, units: Units) -> bool {
    let text = reading(height_m, units);
    text.starts_with("0 ") || text.starts_with("-0 ")
}

/// A date as it is spoken: "14 Sep 2026". What is no date stays as it is.
pub(crate) fn spoken_date(date: &str) -> String {
    const MONTHS: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    let spoken = date.parse::<Date>().ok().and_then(|date| {
        let month = MONTHS.get(usize::try_from(date.month()).ok()?.checked_sub(1)?)?;
        Some(format!("{} {month} {}", date.day(), date.year()))
    });
    spoken.unwrap_or_else(|| date.to_owned())
}
