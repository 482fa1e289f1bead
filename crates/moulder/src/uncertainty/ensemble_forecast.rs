//! Forecasts with 80 % intervals from an ensemble.

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::intervals::MonthTally;
use crate::forecast::mean::MeanMonths;
use crate::forecast::progress::Progress;
use crate::forecast::row::Month;
use crate::forecast::run::SimulatedMonths;
use crate::forecast::{Forecast, forecast, forecast_of_rows};
use crate::text::limit::{MONTHS_LIMIT, SAMPLES_LIMIT};
use crate::uncertainty::discrepancy::DISCREPANCIES;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::drawn::Drawn;
use crate::uncertainty::ensemble::{Realisations, run_ensemble};
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::{Realisation, has_room};

/// The forecast of a bed over `months` months from an ensemble: means over the realisations, with
/// 80 % intervals; without realisations the nominal [`forecast`].
///
/// Uncertain parameters have priors ([`crate::numeric::prior`]): laws and materials from
/// their spreads, given quantities from how well they are known, and each realisation has its
/// own weather. Model discrepancy ([`crate::uncertainty::discrepancy`]) acts on the surface,
/// not on its parts or on carbon: each realisation counts with twenty surfaces.
///
/// Quantiles are exact up to 2000 values (see [`crate::numeric::quantile`]); above, figures are
/// binned (heights to 0.1 mm). The same options give the same bytes on every
/// machine and with any number of threads; with the feature `parallel` realisations run in the
/// threads of the calling pool.
///
/// `progress` is called once a realisation.
///
/// # Errors
///
/// As [`forecast`], and too many realisations.
pub fn forecast_with_intervals(
    bed: &Bed,
    months: u32,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Forecast, Error> {
    forecast_seeing_each(bed, months, ensemble, &mut |_, _| {}, progress)
}

/// What is shown the rows of each realisation, in order, with the additional settlement of each of
/// its discrepancies at each end of a month; m.
pub(crate) type Each<'e> = dyn FnMut(&[Month], &[Vec<f64>]) + 'e;

/// [`forecast_with_intervals`], which shows its realisations: for intervals of other figures.
///
/// # Errors
///
/// As [`forecast_with_intervals`].
pub(crate) fn forecast_seeing_each(
    bed: &Bed,
    months: u32,
    ensemble: Realisations,
    each: &mut Each<'_>,
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
    let uncertain = UncertainParameters::new(bed);
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    let drawn = Drawn::of_prior(ensemble.ensemble_size);
    ensemble_forecast(bed, &uncertain, months, ensemble, &drawn, each, progress)
}

/// The forecast from those realisations, each as often as it was drawn.
///
/// # Errors
///
/// As [`forecast_with_intervals`].
pub(crate) fn ensemble_forecast(
    bed: &Bed,
    uncertain: &UncertainParameters,
    months: u32,
    ensemble: Realisations,
    drawn: &[Drawn],
    each: &mut Each<'_>,
    progress: &Progress<'_>,
) -> Result<Forecast, Error> {
    has_room(bed, months)?;
    let count = drawn.iter().map(|drawn| drawn.times).sum();
    let runs = Realisations {
        ensemble_size: u32::try_from(drawn.len()).unwrap_or(u32::MAX),
        ..ensemble
    };
    let mut tally = ForecastTally::new(runs, count);
    let one_realisation = |place: u32| {
        let drawn = &drawn[place as usize];
        let realisation = Realisation::new(bed, uncertain, (ensemble.seed, drawn), months)?;
        Ok((realisation, drawn.times))
    };
    run_ensemble(runs, progress, &one_realisation, &mut |(
        realisation,
        times,
    )| {
        tally.add(realisation, *times);
        for _ in 0..*times {
            each(&realisation.run.months, &realisation.extras_m);
        }
    })?;
    match tally.forecast(bed) {
        Some(forecast) => Ok(forecast),
        None => forecast(bed, months, progress),
    }
}

/// A forecast in the making, from realisations in their order.
pub(crate) struct ForecastTally {
    ensemble: Realisations,
    /// Realisations, each as often as it was drawn.
    count: u32,
    months: Vec<MonthTally>,
    mean: MeanMonths,
    first: Option<SimulatedMonths>,
}

impl ForecastTally {
    /// For so many realisations, which count as so many.
    pub(crate) fn new(ensemble: Realisations, count: u32) -> Self {
        Self {
            ensemble,
            count,
            months: Vec::new(),
            mean: MeanMonths::default(),
            first: None,
        }
    }

    /// Adds a realisation that was drawn so often.
    pub(crate) fn add(&mut self, realisation: &Realisation, times: u32) {
        let Realisation { run, extras_m } = realisation;
        let new = || MonthTally::new(self.count, DISCREPANCIES);
        self.months.resize_with(run.months.len(), new);
        for _ in 0..times {
            let rows = run.months.iter().zip(extras_m);
            for (tally, (row, extras_m)) in self.months.iter_mut().zip(rows) {
                tally.add(row, extras_m, self.ensemble.deeper_than_m);
            }
            self.mean.add(&run.months, extras_m);
        }
        if self.first.is_none() {
            self.first = Some(run.clone());
        }
    }

    /// The forecast; none without a realisation.
    pub(crate) fn forecast(self, bed: &Bed) -> Option<Forecast> {
        let mut run = self.first?;
        run.months = self.mean.rows(bed.crop);
        let mut forecast = forecast_of_rows(bed, run);
        forecast.seed = Some(self.ensemble.seed);
        forecast.ensemble_size = self.ensemble.ensemble_size;
        forecast.discrepancy_sd = Some(DiscrepancyPrior::of(bed).sd());
        forecast.deeper_than_m = self.ensemble.deeper_than_m.filter(|_| bed.rim_m.is_some());
        let asks = forecast.deeper_than_m.is_some();
        let months = forecast.months.iter().zip(&self.months);
        forecast.intervals = months
            .map(|(row, tally)| tally.intervals(row, bed.rim_m, asks))
            .collect();
        Some(forecast)
    }
}
