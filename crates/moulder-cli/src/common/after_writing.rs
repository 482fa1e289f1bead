//! What is told once something was written into a bed file.

use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder_words::forecast::{how_sure, in_a_sentence};

use crate::common::bed_file::ReadBed;
use crate::common::number::realisations;
use crate::print::lines::plain;
use crate::print::look::Look;
use crate::trouble::Trouble;

/// Months ahead, draws and seed: those of `moulder forecast` where nothing else is said.
const MONTHS: u32 = 12;
const DRAWS: u32 = 64;
const SEED: u64 = 1;

/// What to expect of the bed now: the sentences that `moulder forecast` opens with.
pub(crate) fn after_writing(read: &ReadBed, look: Look) -> Result<String, Trouble> {
    let draws = realisations(DRAWS, SEED);
    let forecast = read.run(look, |bed, watch| {
        forecast_with_intervals(bed, MONTHS, draws, watch)
    })?;
    let sentence = in_a_sentence(&forecast).unwrap_or_default();
    Ok(plain(&sentence) + &plain(&how_sure(&forecast)))
}
