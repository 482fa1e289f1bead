//! The forecast with its uncertainty: many draws side by side.

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::band::MonthTally;
use crate::forecast::progress::{Progress, unwatched};
use crate::forecast::row::Month;
use crate::forecast::{Forecast, forecast};
use crate::text::limit::SAMPLES_LIMIT;
use crate::uncertainty::draws::{Realisations, run_ensemble};
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::months_of_draw;

/// Forecasts a bed for `months` months with bands: the middle line of
/// [`forecast`], and where four in five draws lie.
///
/// Every uncertain figure is drawn from what is believed of it ([`crate::uncertainty::prior`]): those
/// of laws and materials from their spreads, what the owner told from how well that is
/// told, and years of weather. By how much the laws themselves are off is drawn as well
/// ([`crate::uncertainty::discrepancy`]): it moves the surface, and neither its causes nor the carbon.
///
/// Up to 1000 draws the points are exact (see [`crate::numeric::quantile`]); above, figures are
/// counted in bins (heights in tenths of a millimetre). The same draws give the same
/// bytes on every machine and with any number of threads; with the feature `parallel`
/// they are worked at in the threads of the pool that calls.
///
/// The progress is told how many draws are done, block by block.
///
/// # Errors
///
/// As [`forecast`], and too many draws.
pub fn forecast_with_bands(
    bed: &Bed,
    months: u32,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Forecast, Error> {
    if ensemble.ensemble_size == 0 {
        return forecast(bed, months, progress);
    }
    if ensemble.ensemble_size > SAMPLES_LIMIT {
        return Err(Error::TooManyDraws {
            asked: ensemble.ensemble_size,
        });
    }
    let mut forecast = forecast(bed, months, &unwatched)?;
    let uncertain = UncertainParameters::of(bed);
    let is_deeper = |row: &Month| {
        let pair = row.below_rim_m.zip(ensemble.deeper_than_m);
        pair.is_some_and(|(below_m, asked_m)| below_m > asked_m)
    };
    let mut tallies = vec![MonthTally::new(ensemble.ensemble_size); forecast.months.len()];
    let one_realisation = |number| months_of_draw(bed, &uncertain, ensemble.seed, number, months);
    run_ensemble(ensemble, progress, &one_realisation, &mut |rows| {
        for (tally, row) in tallies.iter_mut().zip(rows) {
            tally.add(row, is_deeper(row));
        }
    })?;
    forecast.seed = Some(ensemble.seed);
    forecast.ensemble_size = ensemble.ensemble_size;
    forecast.deeper_than_m = ensemble.deeper_than_m.filter(|_| bed.rim_m.is_some());
    let asks = forecast.deeper_than_m.is_some();
    let months = forecast.months.iter().zip(&tallies);
    forecast.intervals = months
        .map(|(row, tally)| tally.intervals(row, bed.rim_m, asks))
        .collect();
    Ok(forecast)
}
