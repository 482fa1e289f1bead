//! Draws worked at side by side, block by block.

use crate::forecast::ForecastError;
use crate::sample::SAMPLES_LIMIT;
use crate::uncertain::{Draws, in_order};
use crate::watcher::{Go, Watcher};

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
