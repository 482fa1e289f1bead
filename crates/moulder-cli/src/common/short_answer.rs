//! The short answer about one bed.

use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::forecast::calendar::{month_day, months_to};
use moulder::internals::forecast::progress::Progress;
use moulder::internals::library::material::Material;
use moulder::internals::quantity::amount::volume;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::{
    Buying, TopUpRule, TopUpTrigger, TopUps, forecast_and_top_ups, pooled_orders,
};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::{Date, Forecast};
use moulder_words::answer::{ShortAnswer, part_of_month};
use moulder_words::topup::{money, packs_in_words};

use crate::common::feed::FeedArguments;
use crate::common::packs::PackArguments;
use crate::print::lines::{listed, plain};
use crate::trouble::Trouble;

/// Where the words of a line begin; characters.
pub(crate) const TEXT: usize = 10;
/// Months from today that are looked ahead.
const YEAR: u32 = 12;
/// Packs from which a load of loose material is told beside them.
const MANY_PACKS: u32 = 20;

/// The day of which an answer tells: today, or that of filling or of the last reading where that is
/// later.
pub(crate) fn as_of(bed: &Bed, today: Date) -> Date {
    let measured = bed.readings().last().map(|last| last.on);
    today.max(bed.filled()).max(measured.unwrap_or(today))
}

/// A bed today, a year ahead: what short answers and first sheets are made from.
pub(crate) struct Ahead {
    pub(crate) as_of: Date,
    pub(crate) forecast: Forecast,
    /// Top-ups up to the rim before each spring.
    pub(crate) topups: TopUps,
}

/// A bed a year ahead, topped up by a rule of such a trigger and so many months.
pub(crate) fn ahead(
    bed: &Bed,
    rule: &dyn Fn(TopUpTrigger, u32) -> TopUpRule,
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
pub(crate) fn short_answer(
    bed: &Bed,
    (material, packs): (&Material, &PackArguments),
    feed: &FeedArguments,
    draws: Realisations,
    today: Date,
    progress: &Progress<'_>,
) -> Result<(ShortAnswer, TopUps), Error> {
    let rule = |trigger, months| packs.rule(material, trigger, months);
    let ahead = ahead(bed, &rule, draws, today, progress)?;
    let feeding = feed.doses(bed, ahead.as_of, draws, progress)?;
    let answer = ShortAnswer::new(bed, &ahead.forecast, &ahead.topups, &feeding, ahead.as_of);
    Ok((answer, ahead.topups))
}

/// What is bought for beds at once, first.
pub(crate) fn one_order(
    buying: &Buying,
    beds: &[Bed],
    planned: &[TopUps],
) -> Result<String, Trouble> {
    if buying.ways.len() > 1 && buying.ways.iter().any(|way| way.price.is_none()) {
        let said = "It takes the price of each pack to choose: --sold-in \"40 L at 5.98\".";
        return Err(Trouble::bad_option("--sold-in", said.to_owned()));
    }
    let orders = pooled_orders(planned, buying).map_err(|error| Trouble::of_error("", &error))?;
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

/// An answer in lines.
pub(crate) fn in_lines(told: &ShortAnswer) -> String {
    let lines = told
        .lines
        .iter()
        .map(|(word, about)| listed(word, about, TEXT));
    plain(&told.title) + &lines.collect::<String>()
}
