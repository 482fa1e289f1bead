//! Top-ups in words, in the owner's units.
//!
//! ```
//! # use moulder::internals::library::Library;
//! # use moulder::internals::read::read_toml;
//! # use moulder::internals::forecast::progress::unwatched;
//! # let text = r#"
//! # format = 1
//! # filled = 2026-03-14
//! # climate = "Cambridge UK"
//! # [bed]
//! # shape = "round"
//! # across = "1.2 m"
//! # rim = "50 cm"
//! # [[layer]]
//! # put = [{ material = "woody prunings", amount = "300 L" }]
//! # [[layer]]
//! # put = [{ material = "loamy topsoil", amount = "25 cm" }]
//! # "#;
//! # let library = Library::built_in();
//! # let bed = read_toml(text, &library)?;
//! # let soil = library.find_material("loamy topsoil").ok_or("no topsoil")?;
//! use moulder::internals::topup::{TopUpRule, nominal_top_ups};
//! use moulder_words::topup::{plural, sum_in_words};
//!
//! let topups = nominal_top_ups(&bed, &TopUpRule::usual(&bed, soil, 24), &unwatched)?;
//! assert!(!sum_in_words(&topups).is_empty());
//! assert_eq!(plural("bag", 2), "bags");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use crate::forecast::spoken_date;
use moulder::internals::ledger::saving::Saving;
use moulder::internals::quantity::amount::{volume, weight};
use moulder::internals::quantity::height::reading;
use moulder::internals::quantity::units::Units;
use moulder::internals::text::month::MONTHS;
use moulder::internals::text::phrase::joined;
use moulder::internals::topup::overfill::{Allowance, Overfill};
use moulder::internals::topup::{REFILL_ROOM_M, TopUpTrigger, TopUps};

/// When it is topped up, and with what.
#[must_use]
pub fn policy_in_words(topups: &TopUps) -> String {
    let units = topups.units;
    let mark = mark(topups);
    let when = match &topups.trigger {
        TopUpTrigger::Months(months) => {
            let names: Vec<&str> = months
                .iter()
                .filter_map(|month| MONTHS.get(usize::from(*month).checked_sub(1)?).copied())
                .collect();
            format!("each {}, up to {mark}", joined(&names, "and"))
        }
        TopUpTrigger::BelowRimM(below_m) => format!(
            "whenever it has sunk more than {} below {mark}, up to {mark}",
            reading(*below_m, units)
        ),
        TopUpTrigger::SoilDepthM(soil_m) => format!(
            "whenever the growing soil is thinner than {}, up to that",
            reading(*soil_m, units)
        ),
    };
    let sold = &topups.package;
    format!(
        "Topped up {when}, with {} in {} of {}.",
        topups.material,
        plural(&sold.name, 2),
        volume(sold.volume_m3, units)
    )
}

/// What it comes to: how much over all, what it costs, and how it stands in the end.
#[must_use]
pub fn sum_in_words(topups: &TopUps) -> String {
    let units = topups.units;
    let years = time(topups.months);
    let mark = mark(topups);
    let end = stands(topups.below_at_end_m, mark, units);
    let without = stands(topups.below_without_m, mark, units);
    let Some(first) = topups.top_ups.first() else {
        return format!("Within {years} no top-up is due: by then it stands {end}.");
    };
    let kg: f64 = topups.top_ups.iter().map(|topup| topup.laid_kg).sum();
    let cost = topups
        .cost()
        .map_or_else(String::new, |cost| format!(", {} in all", money(cost)));
    let times = match topups.top_ups.len() {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        count => format!("{count} times"),
    };
    format!(
        "Within {years} it is topped up {times}, first on {}: {} laid on, about {}; {} {} to \
         buy{cost}. In the end it stands {end}; without any it would stand {without}.",
        spoken_date(first.date),
        volume(topups.laid_m3(), units),
        weight(kg, units),
        topups.bought(),
        plural(&topups.package.name, topups.bought()),
    )
}

/// Where what was laid on has gone. None where nothing was.
#[must_use]
pub fn restored_in_words(topups: &TopUps) -> Option<String> {
    let units = topups.units;
    let restored = &topups.restored;
    if topups.top_ups.is_empty() {
        return None;
    }
    let below_told = reading(restored.loss_below_m.abs(), units);
    let below = if below_told.starts_with("0 ") {
        String::new()
    } else if restored.loss_below_m > 0.0 {
        format!("; what lies below lost {below_told} more, for they press on it")
    } else {
        format!("; {below_told} of that lies below now, where some has sifted in")
    };
    Some(format!(
        "Of the {} it was raised by, {} remain in the end. The top-ups themselves lost {} by \
         settling, sifting down and rot{below}.",
        reading(restored.raised_m, units),
        reading(restored.restored_m, units),
        reading(restored.own_loss_m, units),
    ))
}

/// From when a refill is worth thinking of. None where that is not within the months.
#[must_use]
pub fn refill_in_words(topups: &TopUps) -> Option<String> {
    let from = topups.refill_from.as_ref()?;
    Some(format!(
        "From {} on, had it not been topped up, there would be {} of room: enough to lift the \
         soil off, put a new layer of wood and greens under it, and buy no soil that year.",
        spoken_date(*from),
        reading(REFILL_ROOM_M, topups.units)
    ))
}

/// How high to heap it.
#[must_use]
pub fn overfill_in_words(overfill: &Overfill, units: Units) -> String {
    format!(
        "To be level with the rim after {}, lay on {} more when you fill it ({}): it then \
         stands {} the rim at the start.{}",
        time(overfill.months),
        reading(overfill.more_m, units),
        volume(overfill.more_m3, units),
        if overfill.above_rim_m >= 0.0 {
            format!("{} above", reading(overfill.above_rim_m, units))
        } else {
            format!("{} below", reading(-overfill.above_rim_m, units))
        },
        slides_in_words(overfill, units)
    )
}

/// That a heap as high does not stay; nothing where it does.
pub(crate) fn slides_in_words(overfill: &Overfill, units: Units) -> String {
    if overfill.above_rim_m > overfill.most_above_rim_m {
        format!(
            " Loose stuff does not stay there: on a bed as wide it slides off beyond about {} \
             above the rim. Heap what stays, and top up later.",
            reading(overfill.most_above_rim_m, units)
        )
    } else {
        String::new()
    }
}

/// What to order beyond the room there is.
#[must_use]
pub fn allowance_in_words(allowance: &Allowance, months: u32, units: Units) -> String {
    let all_m3 = allowance.tipping_m3 + allowance.first_season_m3 + allowance.later_m3;
    format!(
        "As filled it loses {} within {}: {} in the first month, {} in the rest of the first \
         eight, {} later. That is the allowance to order beyond the room there is.",
        volume(all_m3.max(0.0), units),
        time(months),
        volume(allowance.tipping_m3.max(0.0), units),
        volume(allowance.first_season_m3.max(0.0), units),
        volume(allowance.later_m3.max(0.0), units),
    )
}

/// What the fill saves.
#[must_use]
pub fn saving_in_words(saving: &Saving, months: u32, units: Units) -> String {
    let saved = match saving.net_money {
        _ if saving.net_m3 <= 0.0 => "as much or more, so that no soil is saved".to_owned(),
        None => format!("less: {} saved", volume(saving.net_m3, units)),
        Some(net) if net >= 0.0 => {
            format!(
                "less: {} saved, {} in money",
                volume(saving.net_m3, units),
                money(net)
            )
        }
        Some(net) => format!(
            "less: {} saved, though at these prices it costs {} more",
            volume(saving.net_m3, units),
            money(-net)
        ),
    };
    let trips = match saving.trips {
        1 => "a trip".to_owned(),
        trips => format!("{trips} trips"),
    };
    let burnt = if saving.burnt_co2_kg > 0.0 {
        format!(
            " Of the {} of carbon dioxide that burning its wood would have given off, {} are \
             still held in it after {}.",
            weight(saving.burnt_co2_kg, units),
            weight(saving.held_co2_kg, units),
            time(months)
        )
    } else {
        String::new()
    };
    format!(
        "Its wood and garden waste take the room of {} of bought mix; the top-ups of {} take \
         {saved}. {} of loose waste ({}) stay on the site, about {trips} with a trailer.{burnt}",
        volume(saving.mix_m3, units),
        time(months),
        volume(saving.kept_m3, units),
        weight(saving.kept_kg, units),
    )
}

/// Money to the hundredth.
#[must_use]
pub fn money(amount: f64) -> String {
    format!("{amount:.2}")
}

/// A name for so many of them ("bags").
#[must_use]
pub fn plural(name: &str, count: u32) -> String {
    if count == 1 {
        name.to_owned()
    } else {
        format!("{name}s")
    }
}

/// What heights come back to.
pub(crate) fn mark(topups: &TopUps) -> &'static str {
    if topups.has_rim {
        "the rim"
    } else {
        "its first height"
    }
}

fn stands(below_m: f64, mark: &str, units: Units) -> String {
    let text = reading(below_m.abs(), units);
    if text.starts_with("0 ") {
        format!("level with {mark}")
    } else if below_m > 0.0 {
        format!("{text} below {mark}")
    } else {
        format!("{text} above {mark}")
    }
}

/// "a year", "3 years", "7 months".
pub(crate) fn time(months: u32) -> String {
    match (months, months % 12) {
        (12, _) => "a year".to_owned(),
        (1, _) => "a month".to_owned(),
        (_, 0) => format!("{} years", months / 12),
        _ => format!("{months} months"),
    }
}
