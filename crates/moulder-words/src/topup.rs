//! Top-ups in words, in the owner's units.
//!
//! ```
//! use moulder::{Bed, TopUpRequest, top_ups};
//! use moulder_words::topup::{plural, sum_in_words};
//!
//! let request = TopUpRequest::new("loamy topsoil").months(14).ensemble_size(0);
//! let plans = top_ups(&[Bed::example()], &request)?;
//! assert!(!sum_in_words(&plans[0], false).is_empty());
//! assert_eq!(plural("bag", 2), "bags");
//! # Ok::<(), moulder::Error>(())
//! ```

use crate::figure::amount::{volume, weight};
use crate::figure::height::reading;
use crate::forecast::spoken_date;
use crate::parts::{heights_adding_up_m, volumes_adding_up_m3};
use crate::range::{about_at, stands_at};
use moulder::Units;
use moulder::internals::text::month::MONTHS;
use moulder::internals::text::phrase::joined;
use moulder::internals::topup::REFILL_ROOM_M;
use moulder::internals::topup::overfill::{Allowance, Overfill};
use moulder::months::{Saving, month_day};
use moulder::purchases::TopUp;
use moulder::{Package, TopUpTrigger, TopUps};

/// Whole months in which a fresh bed is not topped up.
const FRESH_MONTHS: u32 = 1;

/// When it is topped up, and with what.
#[must_use]
pub fn policy_in_words(topups: &TopUps) -> String {
    policy_with_ways(topups, core::slice::from_ref(&topups.package))
}

/// The same, with those ways to buy.
#[must_use]
pub fn policy_with_ways(topups: &TopUps, ways: &[Package]) -> String {
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
    let ways = ways.iter().map(|sold| {
        let size = volume(sold.volume_m3, units);
        format!("{} of {size}", plural(&sold.name, 2))
    });
    let ways: Vec<String> = ways.collect();
    let ways: Vec<&str> = ways.iter().map(String::as_str).collect();
    format!(
        "Topped up {when}, with {} in {}.",
        topups.material,
        joined(&ways, "or")
    )
}

/// Packages by way to buy: "2 loads of 1 m3 and 3 bags of 40 L".
#[must_use]
pub fn packs_in_words(ways: &[Package], packs: &[u32], units: Units) -> String {
    let bought = ways.iter().zip(packs).filter(|(_, count)| **count > 0);
    let told: Vec<String> = bought
        .map(|(way, count)| {
            let size = volume(way.volume_m3, units);
            format!("{count} {} of {size}", plural(&way.name, *count))
        })
        .collect();
    let told: Vec<&str> = told.iter().map(String::as_str).collect();
    if told.is_empty() {
        return "nothing".to_owned();
    }
    joined(&told, "and")
}

/// Loose volume that all top-ups take; m3.
pub(crate) fn wanted_m3(topups: &TopUps) -> f64 {
    topups.top_ups.iter().map(|topup| topup.needed_m3).sum()
}

/// Whether orders that beds share bring it anything else than it wants, as one reads it.
#[must_use]
pub fn is_short_of(topups: &TopUps) -> bool {
    let told = |m3: f64| volume(m3, topups.units);
    let differs = |topup: &TopUp| told(topup.needed_m3) != told(topup.laid_m3);
    topups.top_ups.iter().any(differs)
}

/// What shared orders bring of what is wanted, and where that leaves the bed.
pub(crate) fn brought(topups: &TopUps, weight: &str) -> String {
    let end = about_at(topups.below_at_end_m, mark(topups), topups.units);
    let laid_m3 = topups.laid_m3();
    if laid_m3 <= 0.0 {
        return format!("; the orders below bring none of it. In the end it stands {end}");
    }
    format!(
        "; the orders below bring {}, about {weight}. With that it stands {end} in the end",
        volume(laid_m3, topups.units),
    )
}

/// By when: within a time from filling, or by a day where it is planned from later on.
pub(crate) fn by_when(topups: &TopUps) -> String {
    if topups.from > month_day(topups.filled, FRESH_MONTHS + 1) {
        let end = month_day(topups.filled, topups.months);
        format!("By {}", spoken_date(end))
    } else {
        format!("Within {}", time(topups.months))
    }
}

/// The sum: volume, cost, and the final height; what is bought is left out of a bed that shares
/// orders with others.
#[must_use]
pub fn sum_in_words(topups: &TopUps, shares: bool) -> String {
    let units = topups.units;
    let by_when = by_when(topups);
    let mark = mark(topups);
    let end = stands_at(topups.below_at_end_m, mark, units);
    let without = stands_at(topups.below_without_m, mark, units);
    let Some(first) = topups.top_ups.first() else {
        return format!("{by_when} no top-up is due: by then it stands {end}.");
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
    if shares {
        let wanted = format!(
            "{by_when} it is topped up {times}, first on {}, which takes {}",
            spoken_date(first.date),
            volume(wanted_m3(topups), units),
        );
        let weight = weight(kg, units);
        let then = if is_short_of(topups) {
            brought(topups, &weight)
        } else {
            format!(", about {weight}. In the end it stands {end}")
        };
        return format!("{wanted}{then}; without any it would stand {without}.");
    }
    format!(
        "{by_when} it is topped up {times}, first on {}: {} laid on, about {}; {} {} to \
         buy{cost}. In the end it stands {end}; without any it would stand {without}.",
        spoken_date(first.date),
        volume(topups.laid_m3(), units),
        weight(kg, units),
        topups.bought(),
        plural(&topups.package.name, topups.bought()),
    )
}

/// What became of the additions. None where nothing was added.
#[must_use]
pub fn restored_in_words(topups: &TopUps) -> Option<String> {
    let units = topups.units;
    let restored = &topups.restored;
    // A budget may buy nothing of what is needed.
    if reading(restored.raised_m, units).starts_with("0 ") {
        return None;
    }
    let parts_m = [
        restored.restored_m,
        restored.own_loss_m,
        restored.loss_below_m,
    ];
    let told_m = heights_adding_up_m(restored.raised_m, &parts_m, units);
    let below_told = reading(told_m[2].abs(), units);
    let below = if below_told.starts_with("0 ") {
        String::new()
    } else if told_m[2] > 0.0 {
        format!("; what lies below lost {below_told} more, for they press on it")
    } else {
        format!("; {below_told} of that lies below now, where some has sifted in")
    };
    Some(format!(
        "Of the {} it was raised by, {} remain in the end. The top-ups themselves lost {} by \
         settling, sifting down and rot{below}.",
        reading(restored.raised_m, units),
        reading(told_m[0], units),
        reading(told_m[1], units),
    ))
}

/// That nothing is bought for a fresh bed, where a month of top-ups falls in that time. None
/// elsewhere.
#[must_use]
pub fn hold_back_in_words(topups: &TopUps) -> Option<String> {
    let TopUpTrigger::Months(months) = &topups.trigger else {
        return None;
    };
    let fresh = (1..=FRESH_MONTHS).map(|month| month_day(topups.filled, month));
    if topups.from > month_day(topups.filled, FRESH_MONTHS + 1) {
        return None;
    }
    let mut due = fresh.filter(|day| months.contains(&day.month().unsigned_abs()));
    due.next().map(|_| {
        "Nothing is bought in its first eight weeks, when it sinks fastest: hold back some of the \
         soil when you fill it, and lay that on."
            .to_owned()
    })
}

/// From when a refill is worth considering. None where that is not within the months.
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

/// How far to overfill.
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

/// That material piled so high slides off; empty where it does not.
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
    let parts_m3 = [
        allowance.tipping_m3.max(0.0),
        allowance.first_season_m3.max(0.0),
        allowance.later_m3.max(0.0),
    ];
    let all_m3 = parts_m3.iter().sum();
    let told_m3 = volumes_adding_up_m3(all_m3, &parts_m3, units);
    format!(
        "As filled it loses {} within {}: {} in the first month, {} in the rest of the first \
         eight, {} later. That is the allowance to order beyond the room there is: {:.0} % of it.",
        volume(all_m3, units),
        time(months),
        volume(told_m3[0], units),
        volume(told_m3[1], units),
        volume(told_m3[2], units),
        100.0 * all_m3 / allowance.filled_m3.max(f64::MIN_POSITIVE),
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
        "Its wood and garden waste take the room of {} of bought mix; its top-ups take \
         {saved}. {} of loose waste ({}) stay on the site, about {trips} with a trailer.{burnt}",
        volume(saving.mix_m3, units),
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

/// The level that top-ups restore.
pub(crate) fn mark(topups: &TopUps) -> &'static str {
    if topups.has_rim {
        "the rim"
    } else {
        "its first height"
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
