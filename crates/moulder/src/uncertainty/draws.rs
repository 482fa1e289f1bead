//! Draws: how many, of which seed, and how they are worked at side by side.

use core::ops::Range;
use core::sync::atomic::{AtomicBool, AtomicU32, Ordering};

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::progress::Progress;
use crate::text::limit::SAMPLES_LIMIT;
use crate::uncertainty::parameter::ingredients;

/// Which draws to make, and what to ask of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Realisations {
    /// How many; 0 for the middle line alone, at most [`SAMPLES_LIMIT`].
    pub ensemble_size: u32,
    /// Seed of the draws: the same seed, the same draws.
    pub seed: u64,
    /// A depth below the rim to tell the chance of; m.
    pub deeper_than_m: Option<f64>,
}

/// So many draws where nobody says how many.
const USUAL: u32 = 100;
/// Draws times ingredients, at most, where nobody says how many draws: a draw takes the longer
/// the more a bed is made of.
const MOST_WORK: u32 = 20_000;
/// So many draws at least: a band of fewer would rest on a handful.
const LEAST: u32 = 20;

impl Realisations {
    /// How many draws of a bed to make where nobody says how many and much is to be told of
    /// it: a hundred, or of a bed of more than 200 ingredients 20,000 over their number, and
    /// 20 at least.
    #[must_use]
    pub fn usual_count(bed: &Bed) -> u32 {
        let made_of = u32::try_from(ingredients(bed).len()).unwrap_or(u32::MAX);
        (MOST_WORK / made_of.max(1)).clamp(LEAST, USUAL)
    }
}

impl Default for Realisations {
    /// A hundred draws, whose points lie within about a tenth of the band's width of
    /// those of very many.
    fn default() -> Self {
        Self {
            ensemble_size: USUAL,
            seed: 1,
            deeper_than_m: None,
        }
    }
}

/// Realisations computed side by side before their results are taken in, in order.
const BLOCK: u32 = 16;

/// Runs the realisations of an ensemble and takes in what comes of each, in order of their
/// numbers.
///
/// # Errors
///
/// Those of the runs, no realisation at all, too many, or a progress function that stops it.
pub(crate) fn run_ensemble<T: Send>(
    ensemble: Realisations,
    progress: &Progress<'_>,
    run: &(dyn Fn(u32) -> Result<T, Error> + Sync),
    take: &mut dyn FnMut(&T),
) -> Result<(), Error> {
    let asked = ensemble.ensemble_size;
    if asked == 0 || asked > SAMPLES_LIMIT {
        return Err(Error::TooManyDraws { asked });
    }
    run_each(0..asked, progress, run, &mut |outcome| take(&outcome))
}

/// Runs every number of a range and takes in what comes of each, in order. The progress
/// function is called once a run, from whichever thread it ran in.
///
/// # Errors
///
/// Those of the runs, and [`Error::Stopped`].
pub(crate) fn run_each<T: Send>(
    numbers: Range<u32>,
    progress: &Progress<'_>,
    run: &(dyn Fn(u32) -> Result<T, Error> + Sync),
    take: &mut dyn FnMut(T),
) -> Result<(), Error> {
    let of = numbers.end;
    let done = AtomicU32::new(numbers.start);
    // Where an ensemble grows, its first realisations were told of before.
    let is_stopped = AtomicBool::new(numbers.start == 0 && progress(0, of).is_break());
    let one = |number| {
        if is_stopped.load(Ordering::Relaxed) {
            return Err(Error::Stopped);
        }
        let outcome = run(number)?;
        let so_far = done.fetch_add(1, Ordering::Relaxed) + 1;
        if progress(so_far, of).is_break() && so_far < of {
            is_stopped.store(true, Ordering::Relaxed);
            return Err(Error::Stopped);
        }
        Ok(outcome)
    };
    let mut from = numbers.start;
    while from < of {
        let until = of.min(from + BLOCK);
        for outcome in in_order(from..until, &one) {
            take(outcome?);
        }
        from = until;
    }
    Ok(())
}

/// What comes of some numbers, in their order.
#[cfg(feature = "parallel")]
pub(crate) fn in_order<T: Send>(numbers: Range<u32>, run: &(dyn Fn(u32) -> T + Sync)) -> Vec<T> {
    use rayon::iter::{IntoParallelIterator as _, ParallelIterator as _};

    numbers.into_par_iter().map(run).collect()
}

/// What comes of some numbers, in their order.
#[cfg(not(feature = "parallel"))]
pub(crate) fn in_order<T>(numbers: Range<u32>, run: &dyn Fn(u32) -> T) -> Vec<T> {
    numbers.map(run).collect()
}
