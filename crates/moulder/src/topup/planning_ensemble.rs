//! The realisations by which top-ups are planned: of the prior, or resampled from the posterior.

use jiff::civil::Date;

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fit::ensemble::{Ensemble, LEAST_REALISATIONS};
use crate::fit::{Fitting, MORE, WeightedEnsemble};
use crate::forecast::calendar::months_to;
use crate::forecast::progress::Progress;
use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::parameter::UncertainParameters;

/// Realisations weighted by readings for each one asked for, at most.
pub const WEIGHTED_PER_REALISATION: u32 = 25;

/// The realisations by which a bed's top-ups are planned.
pub(crate) struct PlanningEnsemble {
    /// The number and model discrepancy of each.
    realisations: Vec<(u32, Discrepancy)>,
    /// Standard deviation of the prior of that discrepancy.
    pub(crate) discrepancy_sd: f64,
    /// How many readings they are conditioned on; 0 without readings.
    pub(crate) readings: u32,
    /// Exponent of the tempered likelihood; 1 when not tempered.
    pub(crate) tempering_exponent: f64,
    /// Whether the readings contradict the prior and were not used.
    pub(crate) is_contradicted: bool,
    /// How many realisations to ask for so that readings are used, or without tempering;
    /// none where more would not help.
    pub(crate) recommended_size: Option<u32>,
}

impl PlanningEnsemble {
    /// The realisations of a bed for so many months. With readings, a larger ensemble is
    /// weighted by them as in a [`fit`](crate::fit::fit) and resampled; without enough
    /// realisations to weight ([`WEIGHTED_PER_REALISATION`] each), readings are not used.
    ///
    /// # Errors
    ///
    /// As [`fit`](crate::fit::fit).
    pub(crate) fn new(
        bed: &Bed,
        uncertain: &UncertainParameters,
        months: u32,
        ensemble: Realisations,
        progress: &Progress<'_>,
    ) -> Result<Self, Error> {
        let Realisations {
            ensemble_size: count,
            seed,
            ..
        } = ensemble;
        let Some(last) = bed.readings.last() else {
            return Ok(Self::of_prior(bed, months, ensemble));
        };
        // As many as a fit makes at first.
        let usual = Fitting::default().ensemble_size.max(count);
        let most = count.saturating_mul(WEIGHTED_PER_REALISATION);
        if most < LEAST_REALISATIONS {
            return Ok(Self {
                recommended_size: Some(size_to_weight(LEAST_REALISATIONS)),
                ..Self::of_prior(bed, months, ensemble)
            });
        }
        let days: Vec<Date> = bed.readings.iter().map(|reading| reading.on).collect();
        let until = months_to(bed.filled, last.on)?;
        let candidates = Ensemble::with_parameters(
            bed,
            uncertain.clone(),
            [until, months.max(until)],
            &days,
            (usual.min(most), seed),
            progress,
        )?;
        let enough = usual.saturating_mul(MORE);
        let WeightedEnsemble {
            after, agreement, ..
        } = WeightedEnsemble::new(candidates, enough.min(most), progress)?;
        if agreement.contradicts {
            return Ok(Self {
                is_contradicted: true,
                ..Self::of_prior(bed, months, ensemble)
            });
        }
        let left = after.weights().resampled(count).into_iter();
        let realisations = left.filter_map(|number| {
            let discrepancy = after.discrepancy(number)?.clone();
            Some((u32::try_from(number).ok()?, discrepancy))
        });
        Ok(Self {
            realisations: realisations.collect(),
            discrepancy_sd: DiscrepancyPrior::of(bed).sd(),
            tempering_exponent: after.weights().tempering_exponent,
            readings: u32::try_from(bed.readings.len()).unwrap_or(u32::MAX),
            is_contradicted: false,
            recommended_size: (after.weights().tempering_exponent < 1.0 && most < enough)
                .then(|| size_to_weight(enough)),
        })
    }

    /// Realisations of the prior.
    fn of_prior(bed: &Bed, months: u32, ensemble: Realisations) -> Self {
        let prior = DiscrepancyPrior::of(bed);
        let each = 0..ensemble.ensemble_size;
        Self {
            realisations: each
                .map(|number| {
                    (
                        number,
                        Discrepancy::new(&prior, ensemble.seed, number, months),
                    )
                })
                .collect(),
            discrepancy_sd: prior.sd(),
            readings: 0,
            tempering_exponent: 1.0,
            is_contradicted: false,
            recommended_size: None,
        }
    }

    /// The number and discrepancy of the realisation at `index`.
    pub(crate) fn realisation(&self, index: u32) -> Option<&(u32, Discrepancy)> {
        self.realisations.get(index as usize)
    }
}

/// How many realisations to ask for, to have `count` weighted.
const fn size_to_weight(count: u32) -> u32 {
    count.div_ceil(WEIGHTED_PER_REALISATION)
}
