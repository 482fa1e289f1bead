//! What is told once something was written into a bed file.

use moulder::Date;

use crate::common::bed_file::ReadBed;
use crate::common::feed::FeedArguments;
use crate::common::number::realisations;
use crate::common::packs::PackArguments;
use crate::common::shelf::ShelfArguments;
use crate::common::short_answer::{in_lines, short_answer};
use crate::print::look::Look;
use crate::trouble::Trouble;

/// Seed of the realisations: that of `moulder answer` where nothing else is said.
const SEED: u64 = 1;

/// What to expect of the bed now: the short answer.
pub(crate) fn after_writing(
    read: &ReadBed,
    shelf: &ShelfArguments,
    today: Date,
    draws: u32,
    look: Look,
) -> Result<String, Trouble> {
    let packs = PackArguments::default();
    let material = packs.material(shelf)?;
    let draws = realisations(draws, SEED);
    let (told, _) = read.run(look, |bed, watch| {
        let feed = FeedArguments::default();
        short_answer(bed, (&material, &packs), &feed, draws, today, watch)
    })?;
    Ok(in_lines(&told))
}
