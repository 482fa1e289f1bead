//! The nitrogen of a bed in words.

use jiff::civil::Date;

use crate::amount_text::light_weight;
use crate::forecast::{Forecast, month_day};
use crate::month::MONTHS;
use crate::nitrogen::{NitrogenYear, Suits};

/// Years that are told.
const YEARS_TOLD: usize = 3;
/// Feed that is worth a word; g.
const LEAST_FEED_G: f64 = 0.5;

/// What each of the first three years has for a crop, the months in which it runs short,
/// and the feed that would make up for it. None for less than a year, or where nothing
/// grows.
#[must_use]
pub fn nitrogen_in_a_sentence(forecast: &Forecast) -> Option<String> {
    let told: Vec<String> = forecast
        .nitrogen_years
        .iter()
        .take(YEARS_TOLD)
        .map(|year| of_year(forecast, year))
        .collect();
    if told.is_empty() {
        return None;
    }
    Some(format!(
        "{} Nitrogen is the least certain figure here: watch the leaves, and have the soil \
         tested before you feed much.",
        told.join(" ")
    ))
}

fn of_year(forecast: &Forecast, year: &NitrogenYear) -> String {
    let opens = match year.year {
        1 => "In its first year".to_owned(),
        2 => "In its second".to_owned(),
        3 => "In its third".to_owned(),
        other => format!("In year {other}"),
    };
    let feeds = match year.suits {
        Suits::Hungry => "the bed feeds hungry crops such as cabbages and squash",
        Suits::Modest => "it feeds modest crops such as lettuce and carrots",
        Suits::Peas => "it feeds little but peas and beans",
    };
    match months_named(forecast, &year.short_months) {
        Some(months) if year.feed_g >= LEAST_FEED_G => format!(
            "{opens} {feeds}: {} one finds {:.0} % of the nitrogen it wants and runs short in \
             {months}, which {} of nitrogen in all would make good.",
            forecast.crop.article_and_name(),
            100.0 * year.taken_g_m2 / year.wanted_g_m2,
            light_weight(year.feed_g / 1000.0, forecast.units)
        ),
        _ => format!("{opens} {feeds}."),
    }
}

/// The months in which a crop is short: "May to July", "April and August".
fn months_named(forecast: &Forecast, months: &[u32]) -> Option<String> {
    let filled: Date = forecast.filled.parse().ok()?;
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &month in months {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == month => *last = month,
            _ => runs.push((month, month)),
        }
    }
    // A row stands at the end of its month: the month is the one it began in.
    let name = |row: u32| {
        let number = month_day(filled, row.saturating_sub(1)).month();
        usize::try_from(number - 1)
            .ok()
            .and_then(|index| MONTHS.get(index).copied())
            .unwrap_or_default()
    };
    let told: Vec<String> = runs
        .iter()
        .map(|&(first, last)| {
            if first == last {
                name(first).to_owned()
            } else {
                format!("{} to {}", name(first), name(last))
            }
        })
        .collect();
    match told.as_slice() {
        [] => None,
        [only] => Some(only.clone()),
        [rest @ .., last] => Some(format!("{} and {last}", rest.join(", "))),
    }
}
