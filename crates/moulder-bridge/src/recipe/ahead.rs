//! A bed today, a year ahead: what short answers and first sheets are made from.

use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::forecast::calendar::{month_day, months_to};
use moulder::internals::forecast::progress::Progress;
use moulder::internals::quantity::amount::volume;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::{
    Buying, TopUpRule, TopUpTrigger, TopUps, forecast_and_top_ups, pooled_orders,
};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::{Date, Forecast};
use moulder_words::answer::{ShortAnswer, part_of_month};
use moulder_words::topup::{money, packs_in_words};

use super::feed::doses;

/// Months from today that are looked ahead.
const YEAR: u32 = 12;
/// Packs from which a load of loose material is told beside them.
const MANY_PACKS: u32 = 20;

/// The day of which an answer tells: today, or that of filling or of the last reading where that is
/// later.
#[must_use]
pub fn as_of(bed: &Bed, today: Date) -> Date {
    let measured = bed.readings().last().map(|last| last.on);
    today.max(bed.filled()).max(measured.unwrap_or(today))
}

/// A bed today, a year ahead.
#[derive(Debug)]
pub struct Ahead {
    /// The day.
    pub as_of: Date,
    /// A year from it on.
    pub forecast: Forecast,
    /// Top-ups up to the rim before each spring.
    pub topups: TopUps,
}

/// The rule by which a bed is topped up, for such a trigger and so many months.
pub type Rule<'r> = dyn Fn(TopUpTrigger, u32) -> TopUpRule + 'r;

/// A bed a year ahead, topped up by a rule.
///
/// # Errors
///
/// As [`forecast_and_top_ups`].
pub fn ahead(
    bed: &Bed,
    rule: &Rule<'_>,
    draws: Realisations,
    today: Date,
    progress: &Progress<'_>,
) -> Result<Ahead, Error> {
    let as_of = as_of(bed, today);
    let months = months_to(bed.filled(), month_day(as_of, YEAR + 1))?.min(MONTHS_LIMIT);
    let trigger = TopUpTrigger::before_spring(bed.climate().latitude_deg);
    let rule = rule(trigger, months).as_of(as_of);
    let (forecast, topups) = forecast_and_top_ups(bed, &rule, draws, progress)?;
    Ok(Ahead {
        as_of,
        forecast,
        topups,
    })
}

/// The answer about a bed today, and the top-ups it rests on: up to the rim before each spring.
///
/// # Errors
///
/// As [`ahead`] and [`doses`].
pub fn short_answer(
    bed: &Bed,
    rule: &Rule<'_>,
    feed_share: Option<f64>,
    draws: Realisations,
    today: Date,
    progress: &Progress<'_>,
) -> Result<(ShortAnswer, TopUps), Error> {
    let ahead = ahead(bed, rule, draws, today, progress)?;
    let feeding = doses(bed, ahead.as_of, draws, feed_share, progress)?;
    let answer = ShortAnswer::new(bed, &ahead.forecast, &ahead.topups, &feeding, ahead.as_of);
    Ok((answer, ahead.topups))
}

/// What is bought for beds at once, first.
///
/// # Errors
///
/// As [`pooled_orders`].
pub fn one_order(buying: &Buying, beds: &[Bed], planned: &[TopUps]) -> Result<String, Error> {
    let orders = pooled_orders(planned, buying)?;
    let (Some(order), Some(of)) = (orders.first(), planned.first()) else {
        return Ok("nothing within a year".to_owned());
    };
    let units = of.units;
    let count: u32 = beds.iter().map(Bed::count).sum();
    let whom = match count {
        1 => String::new(),
        2 => " for both beds".to_owned(),
        count => format!(" for all {count} beds"),
    };
    let loose = if order.bought > MANY_PACKS {
        format!(", {} loose", volume(order.laid_m3, units))
    } else {
        String::new()
    };
    let cost = order
        .cost
        .map_or_else(String::new, |cost| format!(", {}", money(cost)));
    Ok(format!(
        "{} of {}{whom} {}{loose}{cost}",
        packs_in_words(&buying.ways, &order.packs, units),
        of.material,
        part_of_month(order.date),
    ))
}
