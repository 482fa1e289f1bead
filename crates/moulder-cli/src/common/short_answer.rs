//! The short answer about beds, as it is printed.

use moulder::Date;
use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::forecast::progress::Progress;
use moulder::internals::library::material::Material;
use moulder::internals::topup::{Buying, TopUps};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_bridge::recipe::ahead;
use moulder_words::answer::ShortAnswer;

use crate::common::feed::FeedArguments;
use crate::common::packs::PackArguments;
use crate::print::lines::{listed, plain};
use crate::trouble::Trouble;

/// Where the words of a line begin; characters.
pub(crate) const TEXT: usize = 10;

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
    ahead::short_answer(bed, &rule, feed.share(), draws, today, progress)
}

/// What is bought for beds at once, first.
pub(crate) fn one_order(
    buying: &Buying,
    beds: &[Bed],
    planned: &[TopUps],
) -> Result<String, Trouble> {
    have_prices(buying)?;
    ahead::one_order(buying, beds, planned).map_err(|error| Trouble::of_error("", &error))
}

/// Refuses several ways to buy of which the cheapest cannot be told.
pub(crate) fn have_prices(buying: &Buying) -> Result<(), Trouble> {
    if buying.ways.len() > 1 && buying.ways.iter().any(|way| way.price.is_none()) {
        let said = "It takes the price of each pack to choose: --sold-in \"40 L at 5.98\".";
        return Err(Trouble::bad_option("--sold-in", said.to_owned()));
    }
    Ok(())
}

/// An answer in lines.
pub(crate) fn in_lines(told: &ShortAnswer) -> String {
    let lines = told
        .lines
        .iter()
        .map(|(word, about)| listed(word, about, TEXT));
    plain(&told.title) + &lines.collect::<String>()
}
