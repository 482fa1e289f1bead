//! The carbon ledger of a bed in words, in the owner's units.

use crate::amount_text::weight;
use crate::ledger::{Ledger, LedgerRow};
use crate::sentence::spoken_date;

/// How much of the carbon is left at the end, in what, and what was given off. None for day
/// zero alone.
#[must_use]
pub fn carbon_in_sentences(ledger: &Ledger) -> Option<String> {
    let last = last_row(ledger)?;
    let units = ledger.units;
    let left = &last.left;
    let parts: Vec<String> = [
        (left.wood_kg, "in wood"),
        (left.soft_kg, "in soft stuff"),
        (left.soil_kg, "in soil and compost that came with the fill"),
        (left.humus_kg, "in humus made in the bed"),
    ]
    .into_iter()
    .filter(|(kg, _)| *kg > 0.0)
    .map(|(kg, place)| format!("{} {place}", weight(kg, units)))
    .collect();
    let listed = match parts.as_slice() {
        [rest @ .., last] if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        parts => parts.concat(),
    };
    Some(format!(
        "By {} about {} of the {} of carbon put in is left: {listed}. {} of carbon dioxide has \
         been given off.",
        spoken_date(&last.date),
        percent(last.left_share),
        weight(last.put_in_kg, units),
        weight(last.released_co2_kg, units)
    ))
}

/// What burning the wood on the day of filling would have given off, and how much of its
/// carbon the bed still holds after a year and at the end. None without wood, or for day
/// zero alone.
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
            Some(format!("{share} after {}", time(row.month)))
        })
        .collect();
    Some(format!(
        "Burnt on the day of filling, its wood would have given off {} of carbon dioxide at \
         once, ash and charcoal left aside. Of that carbon the wood in the bed still holds {}. \
         Humus made of it is not in that: all humus is counted as the bed's.",
        weight(burning.co2_kg, ledger.units),
        held.join(" and ")
    ))
}

/// The upper screen for methane and nitrous oxide, beside the smoke of burning the wood. None
/// without soft stuff.
#[must_use]
pub fn gases_in_sentences(ledger: &Ledger) -> Option<String> {
    let screen = ledger.screen.as_ref()?;
    let units = ledger.units;
    let co2e = &screen.co2e_kg;
    let smoke = ledger.burning.as_ref().map_or_else(String::new, |burning| {
        format!(
            " The smoke of burning its wood would have come to about {}.",
            weight(burning.smoke_co2e_kg, units)
        )
    });
    Some(format!(
        "Methane and nitrous oxide are not forecast. An upper screen for them: had its {} of \
         soft stuff gone through a compost works, inventories would book as much warming as \
         about {} of carbon dioxide ({} to {}).{smoke}",
        weight(screen.soft_wet_kg, units),
        weight(co2e.best, units),
        weight(co2e.low, units),
        weight(co2e.high, units)
    ))
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
