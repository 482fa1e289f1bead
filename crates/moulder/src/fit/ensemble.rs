//! An ensemble: realisations of a bed, kept so that readings can weight them.

use crate::uncertainty::ensemble::run_each;
use jiff::civil::Date;

use crate::bed::{Bed, Reading};
use crate::fault::error::Error;
use crate::fit::posterior::{Posterior, Predicted, Problem, posterior, prior};
use crate::fit::reading_error::ReadingError;
use crate::fit::surface::Surface;
use crate::forecast::calendar::month_day;
use crate::forecast::progress::Progress;
use crate::forecast::run::Observation;
use crate::text::limit::MONTHS_LIMIT;
use crate::text::limit::SAMPLES_LIMIT;
use crate::uncertainty::discrepancy::{DISCREPANCIES, Discrepancy, effects_m};
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::months_with_observations;
use crate::uncertainty::sample::{Sample, standard_normals};

/// Fewer realisations would leave a fit only a handful of effective ones.
pub const LEAST_REALISATIONS: u32 = 100;

/// Memory limit of an ensemble and of the arrays computed from it; bytes. A garden bed read
/// each month for ten years takes a quarter of it with 500 realisations.
const BYTES_LIMIT: u64 = 1 << 30;

/// Realisations of one bed.
#[derive(Debug, Clone)]
pub struct Ensemble {
    bed: Bed,
    uncertain: UncertainParameters,
    /// Prior of the model discrepancy.
    prior: DiscrepancyPrior,
    seed: u64,
    months: u32,
    /// Months for which the model discrepancy is realised.
    discrepancy_months: u32,
    /// Observation dates, each once, in order.
    observation_dates: Vec<Date>,
    realisations: Vec<Realisation>,
}

/// One realisation.
#[derive(Debug, Clone)]
pub(crate) struct Realisation {
    /// Deviation of each uncertain parameter from its median; standard deviations.
    pub(crate) z: Vec<f64>,
    /// Surface by month, without model discrepancy.
    pub(crate) months: Vec<Surface>,
    /// The bed on the observation dates, without model discrepancy.
    pub(crate) observations: Vec<Observation>,
    /// Model discrepancies.
    pub(crate) discrepancies: Vec<Discrepancy>,
}

impl Realisation {
    /// Effect of each month's discrepancy on the surface at an observation, from the thickness
    /// there, for so many months; m.
    fn effects_m(
        &self,
        months: u32,
        filled: Date,
        on: Date,
        (sunk_m, thickness_m): (f64, f64),
    ) -> Vec<f64> {
        let ends = (0_u32..).zip(&self.months);
        let days = ends.map(|(month, row)| {
            if month_day(filled, month) <= on {
                (row.settlement_m, row.thickness_m)
            } else {
                (sunk_m, thickness_m)
            }
        });
        let mut effects_m = effects_m(&days.collect::<Vec<_>>());
        // Nothing in the months that were not simulated: all observations come before.
        effects_m.resize(months as usize, 0.0);
        effects_m
    }
}

impl Ensemble {
    /// Realisations of a bed, with observations on `days`, which are sorted and deduplicated.
    ///
    /// They are those of
    /// [`forecast_with_intervals`](crate::uncertainty::ensemble_forecast::forecast_with_intervals) with the same
    /// seed, except for time steps that end on the observation dates.
    ///
    /// # Errors
    ///
    /// As [`forecast`](crate::forecast::forecast); too many or too few realisations, and a day
    /// after the last month.
    pub fn new(
        bed: &Bed,
        months: u32,
        days: &[Date],
        count: u32,
        seed: u64,
        progress: &Progress<'_>,
    ) -> Result<Self, Error> {
        let uncertain = UncertainParameters::new(bed);
        Self::with_parameters(bed, uncertain, [months; 2], days, (count, seed), progress)
    }

    /// The same for a bed among others, with the uncertain parameters of all: months of the
    /// bed, and months of its model discrepancy.
    ///
    /// # Errors
    ///
    /// As [`Self::new`].
    pub(crate) fn with_parameters(
        bed: &Bed,
        uncertain: UncertainParameters,
        [months, discrepancy_months]: [u32; 2],
        days: &[Date],
        (count, seed): (u32, u64),
        progress: &Progress<'_>,
    ) -> Result<Self, Error> {
        if months > MONTHS_LIMIT {
            return Err(Error::TooManyMonths { asked: months });
        }
        let mut observation_dates = days.to_vec();
        observation_dates.sort_unstable();
        observation_dates.dedup();
        let end = month_day(bed.filled, months);
        if let Some(on) = observation_dates.last().copied()
            && on > end
        {
            return Err(Error::ReadingAfterEnd { on, end });
        }
        let mut ensemble = Self {
            uncertain,
            bed: bed.clone(),
            prior: DiscrepancyPrior::of(bed),
            seed,
            months,
            discrepancy_months,
            observation_dates,
            realisations: Vec::new(),
        };
        ensemble.grow(count, progress)?;
        Ok(ensemble)
    }

    /// Grows the ensemble to `count` realisations.
    ///
    /// # Errors
    ///
    /// As [`Self::new`].
    pub fn grow(&mut self, count: u32, progress: &Progress<'_>) -> Result<(), Error> {
        if count < LEAST_REALISATIONS {
            return Err(Error::TooFewDraws {
                asked: count,
                least: LEAST_REALISATIONS,
            });
        }
        if count > SAMPLES_LIMIT {
            return Err(Error::TooManyDraws { asked: count });
        }
        let most = self.most();
        if count > most {
            return Err(Error::TooMuchToHold { asked: count, most });
        }
        let mut grown = core::mem::take(&mut self.realisations);
        let from = u32::try_from(grown.len()).unwrap_or(u32::MAX);
        let run = |number| self.realisation(number);
        let outcome = run_each(from..count, progress, &run, &mut |next| grown.push(next));
        self.realisations = grown;
        outcome
    }

    fn realisation(&self, number: u32) -> Result<Realisation, Error> {
        let sample = Sample::new(&self.bed, &self.uncertain, self.seed, number);
        let (months, observations) =
            months_with_observations(&sample, self.months, &self.observation_dates)?;
        let (z, _) = standard_normals(&self.uncertain, self.seed, number);
        Ok(Realisation {
            z,
            months: months.iter().map(Surface::from_month).collect(),
            observations,
            discrepancies: Discrepancy::all(
                &self.prior,
                self.seed,
                number,
                self.discrepancy_months,
            ),
        })
    }

    /// Largest number of realisations that it can hold, by [`SAMPLES_LIMIT`] and
    /// a memory limit.
    #[must_use]
    pub fn most(&self) -> u32 {
        // Per realisation: effects by month for each reading, covariances of readings; with each
        // discrepancy, that and the surface by month, and heights at readings, prior and posterior.
        let months = u64::from(self.discrepancy_months.max(self.months)) + 1;
        let readings = self.bed.readings.len().max(self.observation_dates.len()) as u64;
        let each = 8 * months + 2 * readings;
        let figures =
            months * readings + readings * (readings + 8) + u64::from(DISCREPANCIES) * each;
        let most = BYTES_LIMIT / (8 * figures);
        u32::try_from(most).unwrap_or(u32::MAX).min(SAMPLES_LIMIT)
    }

    /// Number of realisations.
    #[must_use]
    pub fn count(&self) -> u32 {
        u32::try_from(self.realisations.len()).unwrap_or(u32::MAX)
    }

    pub(crate) fn bed(&self) -> &Bed {
        &self.bed
    }

    pub(crate) fn uncertain(&self) -> &UncertainParameters {
        &self.uncertain
    }

    pub(crate) fn realisations(&self) -> &[Realisation] {
        &self.realisations
    }

    /// Index of a reading's day among the observation dates.
    pub(crate) fn observation_index(&self, reading: &Reading) -> Option<usize> {
        self.observation_dates.binary_search(&reading.on).ok()
    }

    /// Posterior given those readings. Readings on days that are not observation dates are
    /// ignored.
    #[must_use]
    pub fn posterior(&self, readings: &[Reading]) -> Posterior {
        let used: Vec<Reading> = readings
            .iter()
            .filter(|reading| self.observation_index(reading).is_some())
            .cloned()
            .collect();
        posterior(
            &self.problem(&used),
            &ReadingError::new(&used, self.bed.tape_units),
            self.seed,
            &self.surfaces(),
        )
    }

    /// Prior, on the days of those readings.
    pub(crate) fn prior(&self, readings: &[Reading]) -> Posterior {
        prior(&self.problem(readings), &self.surfaces())
    }

    /// What the realisations predict of the readings.
    pub(crate) fn problem(&self, readings: &[Reading]) -> Problem {
        let of = |realisation: &Realisation| {
            let observations = readings.iter().filter_map(|reading| {
                let observation = realisation
                    .observations
                    .get(self.observation_index(reading)?)?;
                let thickness_m = observation.height_m + self.bed.trench_m;
                let at = (observation.settlement_m, thickness_m);
                let (months, filled) = (self.discrepancy_months, self.bed.filled);
                let effects_m = realisation.effects_m(months, filled, reading.on, at);
                Some((observation.height_m, effects_m))
            });
            let (heights_m, effects_m) = observations.unzip();
            Predicted {
                heights_m,
                effects_m,
                discrepancies: realisation.discrepancies.clone(),
            }
        };
        Problem {
            readings_m: readings.iter().map(|reading| reading.height_m).collect(),
            realisations: self.realisations.iter().map(of).collect(),
            prior: self.prior,
        }
    }

    /// The surface by month, realisation by realisation.
    pub(crate) fn surfaces(&self) -> Vec<&[Surface]> {
        let realisations = self.realisations.iter();
        realisations
            .map(|realisation| realisation.months.as_slice())
            .collect()
    }
}
