//! Draws: how many, of which seed, and how they are worked at side by side.

use crate::forecast::error::ForecastError;
use crate::forecast::watcher::{Go, Watcher};
use crate::text::limit::SAMPLES_LIMIT;

/// Which draws to make, and what to ask of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Draws {
    /// How many; 0 for the middle line alone, at most [`SAMPLES_LIMIT`].
    pub count: u32,
    /// Seed of the draws: the same seed, the same draws.
    pub seed: u64,
    /// A depth below the rim to tell the chance of; m.
    pub deeper_than_m: Option<f64>,
}

impl Default for Draws {
    /// A hundred draws, whose points lie within about a tenth of the band's width of
    /// those of very many.
    fn default() -> Self {
        Self {
            count: 100,
            seed: 1,
            deeper_than_m: None,
        }
    }
}

/// Draws worked at between two looks at the watcher.
pub(crate) const BLOCK: u32 = 16;

/// Runs each draw and takes in what comes of it, in order of the draws' numbers. The
/// watcher is told how many are done, block by block.
///
/// # Errors
///
/// Those of the runs, no draw at all, too many draws, or a watcher that stops it.
pub(crate) fn in_blocks<T: Send>(
    draws: Draws,
    watcher: &mut dyn Watcher,
    run: &(dyn Fn(u32) -> Result<T, ForecastError> + Sync),
    take: &mut dyn FnMut(&T),
) -> Result<(), ForecastError> {
    if draws.count == 0 || draws.count > SAMPLES_LIMIT {
        return Err(ForecastError::TooManyDraws { asked: draws.count });
    }
    let mut done = 0;
    while done < draws.count {
        if watcher.done(done, draws.count) == Go::Stop {
            return Err(ForecastError::Stopped);
        }
        let next = draws.count.min(done + BLOCK);
        for outcome in in_order(done..next, &run) {
            take(&outcome?);
        }
        done = next;
    }
    watcher.done(done, draws.count);
    Ok(())
}

/// What comes of some draws, in order of their numbers.
#[cfg(feature = "parallel")]
pub(crate) fn in_order<T: Send>(
    numbers: core::ops::Range<u32>,
    run: &(dyn Fn(u32) -> T + Sync),
) -> Vec<T> {
    use rayon::iter::{IntoParallelIterator as _, ParallelIterator as _};

    numbers.into_par_iter().map(run).collect()
}

/// What comes of some draws, in order of their numbers.
#[cfg(not(feature = "parallel"))]
pub(crate) fn in_order<T>(numbers: core::ops::Range<u32>, run: &dyn Fn(u32) -> T) -> Vec<T> {
    numbers.map(run).collect()
}
