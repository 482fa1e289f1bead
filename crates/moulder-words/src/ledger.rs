//! The carbon ledger of a bed in words, in the owner's units.
//!
//! ```
//! use moulder::Bed;
//! use moulder_words::ledger::carbon_in_sentences;
//!
//! let ledger = Bed::example().forecast().months(12).ensemble_size(0).ledger()?;
//! assert!(carbon_in_sentences(&ledger).is_some_and(|words| words.contains("carbon")));
//! # Ok::<(), moulder::Error>(())
//! ```

use crate::figure::amount::weight;
use crate::forecast::{reckoned_from, spoken_date};
use crate::range::{percents, weights, with_ends};
use moulder::Ledger;
use moulder::months::{LedgerRow, LedgerRowIntervals};

/// The sentence about a nominal run without an interval.
const NO_BAND: &str =
    "One run with the best figures, no range: take them as the middle of a wide one.";

/// The carbon left at the end, in what, and the carbon released. None for day zero alone.
#[must_use]
pub fn carbon_in_sentences(ledger: &Ledger) -> Option<String> {
    let last = last_row(ledger)?;
    let units = ledger.units;
    let left = &last.left;
    let bands = bands_of(ledger, last);
    let kinds = bands.map(|bands| [bands.wood_kg, bands.soft_kg, bands.soil_kg, bands.humus_kg]);
    let parts: Vec<String> = [
        (left.wood_kg, "in wood"),
        (left.soft_kg, "in soft stuff"),
        (left.soil_kg, "in soil and compost that came with the fill"),
        (left.humus_kg, "in humus made in the bed"),
    ]
    .into_iter()
    .enumerate()
    .filter(|(_, (kg, _))| *kg > 0.0)
    .map(|(kind, (kg, place))| {
        let band = kinds.as_ref().and_then(|kinds| kinds.get(kind));
        let range = band.map_or_else(String::new, |band| format!(" ({})", weights(band, units)));
        format!("{}{range} {place}", weight(kg, units))
    })
    .collect();
    let listed = match parts.as_slice() {
        [rest @ .., last] if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        parts => parts.concat(),
    };
    if let Some(bands) = bands {
        return Some(format!(
            "By {} expect {} ({}) of the {} of carbon put in to be left: {listed}. By then {} \
             ({}) of carbon dioxide will have been given off. In brackets: 8 in 10 such beds.",
            spoken_date(last.date),
            percent(last.left_share),
            percents(&bands.left_share),
            weight(last.put_in_kg, units),
            weight(last.released_co2_kg, units),
            weights(&bands.released_co2_kg, units),
        ));
    }
    Some(format!(
        "By {} about {} of the {} of carbon put in is left: {listed}. {} of carbon dioxide has \
         been given off.",
        spoken_date(last.date),
        percent(last.left_share),
        weight(last.put_in_kg, units),
        weight(last.released_co2_kg, units)
    ))
}

/// What burning the wood on the day of filling would have released, and how much of its carbon
/// is left in the bed after a year and at the end. None without wood, or for day zero alone.
#[must_use]
pub fn burning_in_sentences(ledger: &Ledger) -> Option<String> {
    let burning = ledger.burning.as_ref()?;
    let last = last_row(ledger)?;
    let mut told: Vec<&LedgerRow> = ledger.rows.iter().filter(|row| row.month == 12).collect();
    if last.month != 12 {
        told.push(last);
    }
    let held: Vec<String> = told
        .iter()
        .filter_map(|row| {
            let share = percent(row.wood_share?);
            let band = bands_of(ledger, row).and_then(|bands| bands.wood_share);
            let range = band.map_or_else(String::new, |band| format!(" ({})", percents(&band)));
            let share = share + &range;
            Some(format!("{share} after {}", time(row.month)))
        })
        .collect();
    let fire = ledger.intervals.as_ref().and_then(|bands| bands.burning);
    let range = fire.map_or_else(String::new, |fire| {
        format!(" ({})", weights(&fire.co2_kg, ledger.units))
    });
    Some(format!(
        "Burnt on the day of filling, its wood would have given off {}{range} of carbon dioxide at \
         once, ash and charcoal left aside. Of that carbon the wood in the bed still holds {}. \
         Humus made of it is not in that: all humus is counted as the bed's.",
        weight(burning.co2_kg, ledger.units),
        held.join(" and ")
    ))
}

/// The upper screen for methane and nitrous oxide, beside the smoke of burning the wood. None
/// without non-woody material.
#[must_use]
pub fn gases_in_sentences(ledger: &Ledger) -> Option<String> {
    let screen = ledger.screen.as_ref()?;
    let units = ledger.units;
    let co2e = &screen.co2e_kg;
    let fire = ledger.intervals.as_ref().and_then(|bands| bands.burning);
    let smoke = ledger.burning.as_ref().map_or_else(String::new, |burning| {
        format!(
            " The smoke of burning its wood would have come to about {}{}.",
            weight(burning.smoke_co2e_kg, units),
            fire.map_or_else(String::new, |fire| format!(
                " ({})",
                weights(&fire.smoke_co2e_kg, units)
            ))
        )
    });
    Some(format!(
        "Methane and nitrous oxide are not forecast. They are hardly more than this: had its {} of \
         soft stuff gone through a compost works, national accounts of gases would count as \
         much warming for it as for about {} of carbon dioxide{}.{smoke}",
        weight(screen.soft_wet_kg, units),
        weight(co2e.best, units),
        with_ends("", &weight(co2e.low, units), &weight(co2e.high, units)),
    ))
}

/// The sentence about the uncertainty of a ledger.
#[must_use]
pub fn how_sure(ledger: &Ledger) -> String {
    match &ledger.intervals {
        None => NO_BAND.to_owned(),
        Some(bands) => format!(
            "{} Whether the laws themselves hold is not in that.",
            reckoned_from(bands.ensemble_size)
        ),
    }
}

fn bands_of<'a>(ledger: &'a Ledger, row: &LedgerRow) -> Option<&'a LedgerRowIntervals> {
    let rows = &ledger.intervals.as_ref()?.rows;
    rows.iter().find(|bands| bands.month == row.month)
}

fn last_row(ledger: &Ledger) -> Option<&LedgerRow> {
    ledger.rows.last().filter(|row| row.month > 0)
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// "1 year", "10 years", "7 months".
fn time(months: u32) -> String {
    let (count, unit) = if months.is_multiple_of(12) {
        (months / 12, "year")
    } else {
        (months, "month")
    };
    let many = if count == 1 { "" } else { "s" };
    format!("{count} {unit}{many}")
}
