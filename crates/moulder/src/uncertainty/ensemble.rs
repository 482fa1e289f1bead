//! Ensembles of realisations, and how they are run.

use core::ops::Range;
use core::sync::atomic::{AtomicBool, AtomicU32, Ordering};
#[cfg(feature = "parallel")]
use std::sync::Mutex;

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::progress::Progress;
use crate::text::limit::{SAMPLES_LIMIT, USUAL_SAMPLES};
use crate::uncertainty::parameter::ingredients;

/// Size and seed of an ensemble.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Realisations {
    /// Number of realisations; 0 for the nominal run alone, at most [`SAMPLES_LIMIT`].
    pub ensemble_size: u32,
    /// Seed: the same seed, the same realisations.
    pub seed: u64,
    /// A depth below the rim whose chance is reported; m.
    pub deeper_than_m: Option<f64>,
}

/// Most realisations times ingredients by default: the cost of a realisation grows with the
/// ingredients.
const MOST_WORK: u32 = 12_800;
/// Least default number: quantiles of fewer would rest on a handful.
const LEAST: u32 = 20;

impl Realisations {
    /// Default number of realisations for a bed in commands of many parts: 64, or 12,800 over
    /// the number of ingredients where there are more than 200, at least 20.
    #[must_use]
    pub fn usual_count(bed: &Bed) -> u32 {
        let made_of = u32::try_from(ingredients(bed).len()).unwrap_or(u32::MAX);
        (MOST_WORK / made_of.max(1)).clamp(LEAST, USUAL_SAMPLES)
    }
}

impl Default for Realisations {
    /// 64 realisations: their quantiles lie within about a twentieth of the interval's width of
    /// those of very many.
    fn default() -> Self {
        Self {
            ensemble_size: USUAL_SAMPLES,
            seed: 1,
            deeper_than_m: None,
        }
    }
}

/// Realisations run side by side before their results are taken in, in order.
const BLOCK: u32 = 16;

/// Runs the realisations of an ensemble and takes in the results in order.
///
/// # Errors
///
/// Those of the runs, no realisation, too many, or [`Error::Stopped`].
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

/// Runs every number of a range and takes in the results in order. `progress` is called once a
/// run, from whichever thread it ran in.
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
    // A growing ensemble reported its first realisations before.
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

/// Results in order of number.
#[cfg(feature = "parallel")]
pub(crate) fn in_order<T: Send>(numbers: Range<u32>, run: &(dyn Fn(u32) -> T + Sync)) -> Vec<T> {
    let slots: Vec<Mutex<Option<T>>> = numbers.clone().map(|_| Mutex::new(None)).collect();
    side_by_side(slots.len(), &|at| {
        let number = numbers.start + u32::try_from(at).unwrap_or(u32::MAX);
        let outcome = run(number);
        if let Ok(mut slot) = slots[at].lock() {
            *slot = Some(outcome);
        }
    });
    let slots = slots.into_iter();
    slots
        .filter_map(|slot| slot.into_inner().ok().flatten())
        .collect()
}

/// Runs each of so many, in the threads of the calling pool. Apart from [`in_order`], so that the
/// machinery of threads is compiled once and not for every type of a result.
#[cfg(feature = "parallel")]
fn side_by_side(count: usize, run: &(dyn Fn(usize) + Sync)) {
    use rayon::iter::{IntoParallelIterator as _, ParallelIterator as _};

    (0..count).into_par_iter().for_each(run);
}

/// Results in order of number.
#[cfg(not(feature = "parallel"))]
pub(crate) fn in_order<T>(numbers: Range<u32>, run: &dyn Fn(u32) -> T) -> Vec<T> {
    numbers.map(run).collect()
}
