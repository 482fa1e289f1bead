//! Realisations of a bed as it is known now: of the prior or, where it was measured, drawn from
//! the posterior.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fit::agreement::Agreement;
use crate::fit::ensemble::Ensemble;
use crate::fit::{Fitting, MORE, WeightedEnsemble};
use crate::forecast::calendar::months_to;
use crate::forecast::progress::Progress;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::drawn::Drawn;
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::parameter::UncertainParameters;

/// The realisations of one bed.
pub(crate) struct Conditioned {
    /// Those drawn, in order of number.
    pub(crate) drawn: Vec<Drawn>,
    /// Standard deviation of the prior of their discrepancy.
    pub(crate) discrepancy_sd: f64,
    /// How well the readings agree with the prior; none without readings.
    pub(crate) agreement: Option<Agreement>,
    /// Exponent of the tempered likelihood; 1 when not tempered.
    pub(crate) tempering_exponent: f64,
}

impl Conditioned {
    /// The realisations of a bed for so many months. With readings, a larger ensemble is
    /// weighted by them as in a [`fit`](crate::fit::fit) and resampled.
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
        let prior = DiscrepancyPrior::of(bed);
        let Some(last) = bed.readings.last() else {
            return Ok(Self {
                drawn: Drawn::of_prior(ensemble),
                discrepancy_sd: prior.sd(),
                agreement: None,
                tempering_exponent: 1.0,
            });
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
            (usual, seed),
            progress,
        )?;
        let WeightedEnsemble {
            after, agreement, ..
        } = WeightedEnsemble::new(candidates, usual.saturating_mul(MORE), progress)?;
        let mut times = BTreeMap::new();
        for number in after.weights().resampled(count) {
            *times.entry(number).or_insert(0_u32) += 1;
        }
        let drawn = times.into_iter().map(|(number, times)| Drawn {
            number: u32::try_from(number).unwrap_or(u32::MAX),
            times,
            given: Some(after.discrepancies(number)),
        });
        Ok(Self {
            drawn: drawn.collect(),
            discrepancy_sd: prior.sd(),
            tempering_exponent: after.weights().tempering_exponent,
            agreement: Some(agreement),
        })
    }

    /// Each as often as it was drawn, with the time of it.
    pub(crate) fn one_by_one(&self) -> Vec<(&Drawn, u32)> {
        let each = self.drawn.iter();
        each.flat_map(|drawn| (0..drawn.times).map(move |time| (drawn, time)))
            .collect()
    }
}
