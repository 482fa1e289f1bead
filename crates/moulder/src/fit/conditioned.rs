//! Realisations of a bed as it is known now: of the prior or, where it was measured, drawn from
//! the posterior.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fit::agreement::Agreement;
use crate::fit::ensemble::Ensemble;
use crate::fit::posterior::Posterior;
use crate::fit::{Fitting, MORE, WeightedEnsemble};
use crate::forecast::calendar::months_to;
use crate::forecast::progress::Progress;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::drawn::Drawn;
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::parameter::UncertainParameters;

/// The realisations of one bed.
#[derive(Debug)]
pub(crate) struct Conditioned {
    ensemble: Realisations,
    /// Standard deviation of the prior of their discrepancy.
    pub(crate) discrepancy_sd: f64,
    /// None without readings.
    given: Option<GivenReadings>,
}

/// Realisations weighted by readings.
#[derive(Debug)]
struct GivenReadings {
    after: Posterior,
    agreement: Agreement,
}

impl Conditioned {
    /// The realisations of a bed for so many months. With readings, a larger ensemble is
    /// weighted by them as in a [`fit`](crate::fit::fit).
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
        let prior = Self {
            ensemble,
            discrepancy_sd: DiscrepancyPrior::of(bed).sd(),
            given: None,
        };
        let Some(last) = bed.readings.last() else {
            return Ok(prior);
        };
        // As many as a fit makes at first, and more where it would make more.
        let usual = Fitting::default().ensemble_size;
        let days: Vec<Date> = bed.readings.iter().map(|reading| reading.on).collect();
        let until = months_to(bed.filled, last.on)?;
        let candidates = Ensemble::with_parameters(
            bed,
            uncertain.clone(),
            [until, months.max(until)],
            &days,
            (usual, ensemble.seed),
            progress,
        )?;
        let WeightedEnsemble {
            after, agreement, ..
        } = WeightedEnsemble::new(candidates, usual.saturating_mul(MORE), progress)?;
        Ok(Self {
            given: Some(GivenReadings { after, agreement }),
            ..prior
        })
    }

    /// So many of them, in order of number: those of the prior, or resampled by their weights.
    pub(crate) fn drawn(&self, count: u32) -> Vec<Drawn> {
        let Some(GivenReadings { after, .. }) = &self.given else {
            return Drawn::of_prior(count);
        };
        let mut times = BTreeMap::new();
        for number in after.weights().resampled(count) {
            *times.entry(number).or_insert(0_u32) += 1;
        }
        let drawn = times.into_iter().map(|(number, times)| Drawn {
            number: u32::try_from(number).unwrap_or(u32::MAX),
            times,
            given: Some(after.discrepancies(number)),
        });
        drawn.collect()
    }

    /// As many as were asked for, one by one, with the time that each was drawn.
    pub(crate) fn one_by_one(&self) -> Vec<(Drawn, u32)> {
        let drawn = self.drawn(self.ensemble.ensemble_size).into_iter();
        drawn
            .flat_map(|drawn| (0..drawn.times).map(move |time| (drawn.clone(), time)))
            .collect()
    }

    /// How well the readings agree with the prior; none without readings.
    pub(crate) fn agreement(&self) -> Option<&Agreement> {
        self.given.as_ref().map(|given| &given.agreement)
    }

    /// Exponent of the tempered likelihood; 1 when not tempered.
    pub(crate) fn tempering_exponent(&self) -> f64 {
        let given = self.given.as_ref();
        given.map_or(1.0, |given| given.after.weights().tempering_exponent)
    }
}
