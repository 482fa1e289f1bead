//! The forecast with its uncertainty: many draws side by side.

use crate::bands::MonthTally;
use crate::bed::Bed;
use crate::blocks::in_blocks;
use crate::discrepancy::Discrepancy;
use crate::forecast::{Forecast, ForecastError, MonthRow, forecast, months_of_sample};
use crate::sample::{SAMPLES_LIMIT, Sample};
use crate::unknowns::{Unknowns, ingredients};
use crate::watcher::{Unwatched, Watcher};

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

/// So many draws where nobody says how many.
const USUAL: u32 = 100;
/// Draws times ingredients, at most, where nobody says how many draws: a draw takes the longer
/// the more a bed is made of.
const MOST_WORK: u32 = 20_000;
/// So many draws at least: a band of fewer would rest on a handful.
const LEAST: u32 = 20;

impl Draws {
    /// How many draws of a bed to make where nobody says how many and much is to be told of
    /// it: a hundred, or of a bed of more than 200 ingredients 20,000 over their number, and
    /// 20 at least.
    ///
    /// ```
    /// # use moulder::{catalogue::Catalogue, read::read_toml, station::Stations};
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
    /// use moulder::uncertain::Draws;
    ///
    /// assert_eq!(Draws::usual_count(&bed), 100);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn usual_count(bed: &Bed) -> u32 {
        let made_of = u32::try_from(ingredients(bed).len()).unwrap_or(u32::MAX);
        (MOST_WORK / made_of.max(1)).clamp(LEAST, USUAL)
    }
}

impl Default for Draws {
    /// A hundred draws, whose points lie within about a tenth of the band's width of
    /// those of very many.
    fn default() -> Self {
        Self {
            count: USUAL,
            seed: 1,
            deeper_than_m: None,
        }
    }
}

/// Forecasts a bed for `months` months with bands: the middle line of
/// [`forecast`], and where four in five draws lie.
///
/// Every uncertain figure is drawn from what is believed of it ([`crate::prior`]): those
/// of laws and materials from their spreads, what the owner told from how well that is
/// told, and years of weather. By how much the laws themselves are off is drawn as well
/// ([`crate::discrepancy`]): it moves the surface, and neither its causes nor the carbon.
///
/// Up to 1000 draws the points are exact (see [`crate::quantile`]); above, figures are
/// counted in bins (heights in tenths of a millimetre). The same draws give the same
/// bytes on every machine and with any number of threads; with the feature `parallel`
/// they are worked at in the threads of the pool that calls.
///
/// The watcher is told how many draws are done, block by block.
///
/// # Errors
///
/// As [`forecast`], and too many draws.
///
/// # Examples
///
/// ```
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
/// use moulder::{catalogue::Catalogue, read::read_toml, station::Stations};
/// use moulder::uncertain::{Draws, forecast_with_bands};
/// use moulder::watcher::Unwatched;
///
/// let bed = read_toml(text, &Catalogue::built_in(), &Stations::built_in())?;
/// let draws = Draws { count: 20, ..Draws::default() };
/// let forecast = forecast_with_bands(&bed, 6, draws, &mut Unwatched)?;
/// let band = forecast.bands[6].height_m;
/// assert!(band.low < band.middle && band.middle < band.high);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn forecast_with_bands(
    bed: &Bed,
    months: u32,
    draws: Draws,
    watcher: &mut dyn Watcher,
) -> Result<Forecast, ForecastError> {
    if draws.count == 0 {
        return forecast(bed, months, watcher);
    }
    if draws.count > SAMPLES_LIMIT {
        return Err(ForecastError::TooManyDraws { asked: draws.count });
    }
    let mut forecast = forecast(bed, months, &mut Unwatched)?;
    let unknowns = Unknowns::of(bed);
    let is_deeper = |row: &MonthRow| {
        let pair = row.below_rim_m.zip(draws.deeper_than_m);
        pair.is_some_and(|(below_m, asked_m)| below_m > asked_m)
    };
    let mut tallies = vec![MonthTally::of(draws.count); forecast.months.len()];
    let one_draw = |number| months_of_draw(bed, &unknowns, draws.seed, number, months);
    in_blocks(draws, watcher, &one_draw, &mut |rows| {
        for (tally, row) in tallies.iter_mut().zip(rows) {
            tally.add(row, is_deeper(row));
        }
    })?;
    forecast.seed = Some(draws.seed);
    forecast.draws = draws.count;
    forecast.deeper_than_m = draws.deeper_than_m.filter(|_| bed.rim_m.is_some());
    let asks = forecast.deeper_than_m.is_some();
    let months = forecast.months.iter().zip(&tallies);
    forecast.bands = months
        .map(|(row, tally)| tally.bands(row, bed.rim_m, asks))
        .collect();
    Ok(forecast)
}

/// Months of one possible truth about a bed: a sample of it under its own years, with
/// laws that are off.
///
/// # Errors
///
/// As [`months_of_sample`].
pub fn months_of_draw(
    bed: &Bed,
    unknowns: &Unknowns,
    seed: u64,
    number: u32,
    months: u32,
) -> Result<Vec<MonthRow>, ForecastError> {
    let sample = Sample::of(bed, unknowns, seed, number);
    let mut rows = months_of_sample(&sample, months)?;
    Discrepancy::of(seed, number, months).apply(&mut rows);
    Ok(rows)
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
