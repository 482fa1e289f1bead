//! Draws: how many, of which seed, and how they are worked at side by side.

use crate::bed::Bed;
use crate::forecast::error::ForecastError;
use crate::forecast::watcher::{Go, Watcher};
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
    ///
    /// ```
    /// # use moulder::library::materials::Catalogue;
    /// # use moulder::read::read_toml;
    /// # use moulder::library::climates::Stations;
    /// # let text = r#"
    /// # format = 1
    /// # filled = 2026-03-14
    /// # climate = "Cambridge UK"
    /// # [bed]
    /// # shape = "round"
    /// # across = "1.2 m"
    /// # rim = "50 cm"
    /// # [[layer]]
    /// # put = [{ material = "loamy topsoil", amount = "45 cm" }]
    /// # "#;
    /// # let bed = read_toml(text, &Catalogue::built_in(), &Stations::built_in())?;
    /// use moulder::uncertainty::draws::Realisations;
    ///
    /// assert_eq!(Realisations::usual_count(&bed), 100);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
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

/// Draws worked at between two looks at the watcher.
pub(crate) const BLOCK: u32 = 16;

/// Runs each draw and takes in what comes of it, in order of the draws' numbers. The
/// watcher is told how many are done, block by block.
///
/// # Errors
///
/// Those of the runs, no draw at all, too many draws, or a watcher that stops it.
pub(crate) fn in_blocks<T: Send>(
    draws: Realisations,
    watcher: &mut dyn Watcher,
    run: &(dyn Fn(u32) -> Result<T, ForecastError> + Sync),
    take: &mut dyn FnMut(&T),
) -> Result<(), ForecastError> {
    if draws.ensemble_size == 0 || draws.ensemble_size > SAMPLES_LIMIT {
        return Err(ForecastError::TooManyDraws {
            asked: draws.ensemble_size,
        });
    }
    let mut done = 0;
    while done < draws.ensemble_size {
        if watcher.done(done, draws.ensemble_size) == Go::Stop {
            return Err(ForecastError::Stopped);
        }
        let next = draws.ensemble_size.min(done + BLOCK);
        for outcome in in_order(done..next, &run) {
            take(&outcome?);
        }
        done = next;
    }
    watcher.done(done, draws.ensemble_size);
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
