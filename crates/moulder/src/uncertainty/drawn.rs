//! Realisations drawn for an ensemble.

use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::ensemble::Realisations;

/// One realisation, and how often it counts.
#[derive(Debug, Clone)]
pub(crate) struct Drawn {
    /// Its number.
    pub(crate) number: u32,
    /// How often it was drawn.
    pub(crate) times: u32,
    /// Its discrepancies.
    pub(crate) discrepancies: Vec<Discrepancy>,
}

impl Drawn {
    /// All realisations of the prior, once each, with discrepancies of so many months.
    pub(crate) fn of_prior(
        prior: &DiscrepancyPrior,
        ensemble: Realisations,
        months: u32,
    ) -> Vec<Self> {
        let each = (0..ensemble.ensemble_size).map(|number| Self {
            number,
            times: 1,
            discrepancies: Discrepancy::all(prior, ensemble.seed, number, months),
        });
        each.collect()
    }
}
