//! The doses of feed that answers tell.

use moulder::Date;
use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::feeding::{Feeding, feeding};
use moulder::internals::forecast::progress::Progress;
use moulder::internals::uncertainty::ensemble::Realisations;

/// Realisations that doses of feed are found from: it takes a forecast for each change of them.
const FED_FROM: u32 = 16;

/// The doses for the year from a day on, in a feed of that share of nitrogen where one is given:
/// for every answer about a bed the same.
///
/// # Errors
///
/// As [`feeding`].
pub fn doses(
    bed: &Bed,
    from: Date,
    draws: Realisations,
    feed_share: Option<f64>,
    progress: &Progress<'_>,
) -> Result<Feeding, Error> {
    let size = draws.ensemble_size.min(FED_FROM);
    let mut doses = feeding(bed, from, size, draws.seed, progress)?;
    doses.feed_share = feed_share.or(doses.feed_share);
    Ok(doses)
}
