//! Days for a calendar: when to measure a bed, to order and to top up, in words.
//!
//! ```
//! use moulder::{Bed, TopUpRequest, date, top_ups};
//! use moulder_words::calendar::{of_a_bed, own_orders};
//!
//! let bed = Bed::example();
//! let request = TopUpRequest::new("loamy topsoil").months(14).ensemble_size(8);
//! let plans = top_ups(&[bed.clone()], &request)?;
//! let forecast = bed.forecast().months(14).ensemble_size(8).run()?;
//! let orders = own_orders(&plans[0]);
//! let entries = of_a_bed(&bed, &plans[0], &forecast, &orders, bed.filled());
//! assert_eq!(entries[0].on, date(2026, 4, 1));
//! assert!(entries[0].text.contains("Expect about"));
//! # Ok::<(), moulder::Error>(())
//! ```

use std::time::Duration;

use moulder::internals::fault::notice::Severity;
use moulder::months::month_day;
use moulder::purchases::{Buying, PooledOrder, TopUp, TopUpInterval};
use moulder::{Bed, Date, Forecast, Interval, TopUps, Units, date};

use crate::answer::{TURNS, order, order_by};
use crate::figure::amount::{volume, weight};
use crate::forecast::{below_the_rim, depths, spoken_date, than_when_built};
use crate::notice::sentence;
use crate::topup::{money, packs_in_words, plural};

/// A week.
pub(crate) const WEEK: Duration = Duration::from_hours(7 * 24);
/// Weeks after filling when most of the settling is over and a first reading says most (our own
/// closure).
pub(crate) const FIRST_READING_WEEKS: u32 = 4;

/// What is done on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A tape is held to the bed.
    Measure,
    /// What tops it up is ordered.
    Order,
    /// It is topped up.
    TopUp,
}

impl Kind {
    /// One word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Measure => "measure",
            Self::Order => "order",
            Self::TopUp => "topup",
        }
    }
}

/// A day of the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The day.
    pub on: Date,
    /// What is done.
    pub kind: Kind,
    /// The same in a line, with the bed.
    pub title: String,
    /// All that is said of it: dangers first where weight is added, a paragraph a line.
    pub text: String,
}

/// The days to measure a bed and to top it up, in order. The forecast should be that of the bed
/// with its top-ups ([`TopUps::laid_on`]), over the same months; `orders` are those that the bed has
/// a part in.
///
/// It is measured four weeks after filling, when the season turns (1 April, 1 October), and a week
/// before each order; not on the day of its last reading and before, and nothing before `today`.
#[must_use]
pub fn of_a_bed(
    bed: &Bed,
    topups: &TopUps,
    forecast: &Forecast,
    orders: &[Entry],
    today: Date,
) -> Vec<Entry> {
    let first = topups.filled.saturating_add(FIRST_READING_WEEKS * WEEK);
    let end = month_day(topups.filled, topups.months);
    let years = topups.filled.year()..=end.year();
    let turns = years.flat_map(|year| TURNS.map(|month| date(year, month, 1)));
    let before_orders = orders.iter().map(|order| order.on.saturating_sub(WEEK));
    let seen = bed.readings().last().map_or(topups.filled, |last| last.on);
    let days = [first].into_iter().chain(turns).chain(before_orders);
    let is_ahead = |day: &Date| seen < *day && today <= *day && *day <= end;
    let mut days: Vec<Date> = days.filter(is_ahead).collect();
    days.sort_unstable();
    days.dedup();
    let measured = days
        .into_iter()
        .map(|on| measure(topups, forecast, on, orders));
    let laid = topups.top_ups.iter();
    let laid = laid.filter(|topup| topup.laid_m3 > 0.0);
    let mut entries: Vec<Entry> = measured
        .chain(laid.map(|topup| top_up(topups, topup)))
        .collect();
    entries.sort_by_key(|entry| (entry.on, entry.kind));
    entries
}

/// The orders of a bed that buys for itself.
#[must_use]
pub fn own_orders(topups: &TopUps) -> Vec<Entry> {
    let bought = topups.top_ups.iter().filter(|topup| topup.bought > 0);
    let ordered = bought.map(|topup| {
        let on = order_by(topups, topup).unwrap_or(topup.date);
        let what = order(topups, topup);
        let packs = format!(
            "{} {}",
            topup.bought,
            plural(&topups.package.name, topup.bought)
        );
        entry_of_order(
            on,
            topup.date,
            (topup.laid_m3, topup.left_over_m3),
            (&packs, &what),
            &[topups],
        )
    });
    ordered.collect()
}

/// The orders that beds share, and how they are bought; `plans` are theirs.
#[must_use]
pub fn shared_orders(plans: &[TopUps], orders: &[PooledOrder], buying: &Buying) -> Vec<Entry> {
    let bought = orders.iter().filter(|order| order.bought > 0);
    let ordered = bought.filter_map(|order| {
        let mut whom: Vec<usize> = order.beds.iter().map(|(bed, _)| *bed).collect();
        whom.sort_unstable();
        whom.dedup();
        let plans: Vec<&TopUps> = whom.iter().filter_map(|bed| plans.get(*bed)).collect();
        let of = plans.first()?;
        let on = order.order_by.unwrap_or(order.date);
        let packs = packs_in_words(&buying.ways, &order.packs, of.units);
        let cost = order
            .cost
            .map_or_else(String::new, |cost| format!(", {}", money(cost)));
        let what = format!("{packs} {}{cost}", of.material);
        let much = (order.laid_m3, order.left_over_m3);
        Some(entry_of_order(
            on,
            order.date,
            much,
            (&packs, &what),
            &plans,
        ))
    });
    ordered.collect()
}

/// An order of so many packs that hold what is laid on, for beds.
fn entry_of_order(
    on: Date,
    needed: Date,
    (laid_m3, left_over_m3): (f64, f64),
    (packs, what): (&str, &str),
    plans: &[&TopUps],
) -> Entry {
    let (material, units) = match plans {
        [first, ..] => (first.material.as_str(), first.units),
        [] => ("", Units::Metric),
    };
    let names: Vec<String> = plans.iter().map(|topups| name_of(topups)).collect();
    let by = if needed > on {
        format!(", to have it by {}", spoken_date(needed))
    } else {
        String::new()
    };
    let left_over = if left_over_m3 > 0.0 {
        format!(", {} left over", volume(left_over_m3, units))
    } else {
        String::new()
    };
    let mut lines = dangers(plans);
    lines.push(format!(
        "Order {what}{by}: about {} are laid on{left_over}. Look at the last reading first: where a \
         bed stands higher or lower than was expected, it takes less or more.",
        volume(laid_m3, units)
    ));
    if names.len() > 1 {
        lines.push(format!("For {}.", names.join("; ")));
    }
    let whom = match names.as_slice() {
        [only] => only.clone(),
        names => format!("{} beds", names.len()),
    };
    Entry {
        on,
        kind: Kind::Order,
        title: format!("Order {packs} of {material} for {whom}"),
        text: lines.join("\n"),
    }
}

/// A day on which a bed is measured.
fn measure(topups: &TopUps, forecast: &Forecast, on: Date, orders: &[Entry]) -> Entry {
    let how = if topups.has_rim {
        "Hold a tape to it from the rim straight down to the soil, in two or three spots."
    } else {
        "Measure its height from the ground beside it, in two or three spots."
    };
    let expected = expected(topups, forecast, on)
        .map_or_else(String::new, |expected| format!(" Expect {expected}."));
    let is_ordered = |order: &Entry| order.on.saturating_sub(WEEK) == on;
    let why = if orders.iter().any(is_ordered) {
        " The order of next week rests on it."
    } else {
        ""
    };
    Entry {
        on,
        kind: Kind::Measure,
        title: format!("Measure {}", name_of(topups)),
        text: format!(
            "{how}{expected}{why} Write it into the bed file with moulder tape, and make the \
             calendar anew."
        ),
    }
}

/// Where a bed is expected on a day: where it stands before its next top-up if that comes within
/// the month, else as the forecast has it.
fn expected(topups: &TopUps, forecast: &Forecast, on: Date) -> Option<String> {
    let ends = |topup: &&TopUp| {
        let begins = month_day(topups.filled, topup.month.saturating_sub(1));
        begins < on && on <= topup.date
    };
    if let Some(topup) = topups.top_ups.iter().find(ends) {
        let by = if on == topup.date {
            String::new()
        } else {
            format!(" by {}", spoken_date(topup.date))
        };
        return Some(format!("{}{by}", before(topups, topup)));
    }
    let expected = forecast.expected_on(on)?;
    let mut below_m = expected.below_rim_m.unwrap_or(expected.lowered_m);
    if topups.top_ups.iter().any(|topup| topup.date < on) {
        // As much is laid on as it takes, not as was planned: the range is none of it.
        below_m = Interval::known(below_m.mean);
    }
    Some(stands(&below_m, expected.below_rim_m.is_some(), topups))
}

/// Where a bed stands just before a top-up.
fn before(topups: &TopUps, topup: &TopUp) -> String {
    let known = Interval::known(topup.below_before_m);
    let below_m = line_of(topups, topup).map_or(known, |line| line.below_before_m);
    stands(&below_m, topups.has_rim, topups)
}

/// "about 12 cm below the rim (8 in 10 such beds: 9 to 15)".
fn stands(below_m: &Interval, has_rim: bool, topups: &TopUps) -> String {
    let units = topups.units;
    let (told, such) = if has_rim {
        (below_the_rim(below_m.mean, units), "beds")
    } else {
        (than_when_built(below_m.mean, units), "mounds")
    };
    let range = depths(below_m, below_m.mean, units);
    let range = range.map_or_else(String::new, |range| {
        format!(" (8 in 10 such {such}: {range})")
    });
    format!("{told}{range}")
}

/// A day on which a bed is topped up.
fn top_up(topups: &TopUps, topup: &TopUp) -> Entry {
    let units = topups.units;
    let much = volume(topup.laid_m3, units);
    let mut lines = dangers(&[topups]);
    let each = match topups.beds {
        1 => "",
        _ => " on each",
    };
    let held_back = if topup.is_held_back {
        " It takes more, but the budget or --at-most allows no more."
    } else {
        ""
    };
    lines.push(format!(
        "Measure first: expect {}. Then lay on about {much} of {}{each}, about {}.{held_back}",
        before(topups, topup),
        topups.material,
        weight(topup.laid_kg, units),
    ));
    Entry {
        on: topup.date,
        kind: Kind::TopUp,
        title: format!("Top up {}: {much} of {}", name_of(topups), topups.material),
        text: lines.join("\n"),
    }
}

/// The dangers of beds that nobody has seen to, each once, as they are told before answers.
fn dangers(plans: &[&TopUps]) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    for topups in plans {
        let open = topups
            .dangers
            .iter()
            .filter(|notice| notice.severity == Severity::Danger && !notice.acknowledged);
        for notice in open {
            let whom = if plans.len() > 1 {
                format!(", {}", topups.name)
            } else {
                String::new()
            };
            let said = format!("Danger{whom}: {}", sentence(notice));
            if !told.contains(&said) {
                told.push(said);
            }
        }
    }
    told
}

/// The name of a bed, with how many there are like it.
fn name_of(topups: &TopUps) -> String {
    match topups.beds {
        1 => topups.name.clone(),
        count => format!("{} (each of {count})", topups.name),
    }
}

/// The range of a top-up; none for the nominal run alone.
fn line_of<'t>(topups: &'t TopUps, topup: &TopUp) -> Option<&'t TopUpInterval> {
    let lines = topups.intervals.iter().flat_map(|bands| &bands.top_ups);
    lines
        .into_iter()
        .find(|line| topups.order(line) == Some(topup))
}
