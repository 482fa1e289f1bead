//! The short answer about one bed.

use moulder::Date;
use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::forecast::calendar::{month_day, months_to};
use moulder::internals::forecast::progress::Progress;
use moulder::internals::library::material::Material;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::{TopUpRule, TopUpTrigger, TopUps, forecast_and_top_ups};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_words::answer::ShortAnswer;

use crate::common::feed::FeedArguments;
use crate::common::packs::PackArguments;
use crate::print::lines::{listed, plain};

/// Where the words of a line begin; characters.
pub(crate) const TEXT: usize = 10;
/// Months from today that are looked ahead.
const YEAR: u32 = 12;

/// The answer about a bed today, and the top-ups it rests on: up to the rim before each spring.
pub(crate) fn short_answer(
    bed: &Bed,
    (material, packs): (&Material, &PackArguments),
    feed: &FeedArguments,
    draws: Realisations,
    today: Date,
    progress: &Progress<'_>,
) -> Result<(ShortAnswer, TopUps), Error> {
    let measured = bed.readings().last().map(|last| last.on);
    let as_of = today.max(bed.filled()).max(measured.unwrap_or(today));
    let months = months_to(bed.filled(), month_day(as_of, YEAR + 1))?.min(MONTHS_LIMIT);
    let trigger = TopUpTrigger::before_spring(bed.climate().latitude_deg);
    let rule = TopUpRule {
        from: Some(as_of),
        ..packs.rule(material, trigger, months)
    };
    let (forecast, topups) = forecast_and_top_ups(bed, &rule, draws, progress)?;
    let feeding = feed.doses(bed, as_of, draws, progress)?;
    let answer = ShortAnswer::new(bed, &forecast, &topups, &feeding, as_of);
    Ok((answer, topups))
}

/// An answer in lines.
pub(crate) fn in_lines(told: &ShortAnswer) -> String {
    let lines = told
        .lines
        .iter()
        .map(|(word, about)| listed(word, about, TEXT));
    plain(&told.title) + &lines.collect::<String>()
}
