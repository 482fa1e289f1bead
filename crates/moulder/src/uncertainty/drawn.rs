//! Realisations drawn for an ensemble.

use std::borrow::Cow;

use crate::bed::Bed;
use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;

/// One realisation, and how often it counts.
#[derive(Debug, Clone)]
pub(crate) struct Drawn {
    /// Its number.
    pub(crate) number: u32,
    /// How often it was drawn.
    pub(crate) times: u32,
    /// Its discrepancies given readings; none for those of the prior, which are made when it runs.
    pub(crate) given: Option<Vec<Discrepancy>>,
}

impl Drawn {
    /// All realisations of the prior, once each.
    pub(crate) fn of_prior(count: u32) -> Vec<Self> {
        let each = (0..count).map(|number| Self {
            number,
            times: 1,
            given: None,
        });
        each.collect()
    }

    /// Its discrepancies over so many months.
    pub(crate) fn discrepancies(
        &self,
        bed: &Bed,
        seed: u64,
        months: u32,
    ) -> Cow<'_, [Discrepancy]> {
        if let Some(given) = &self.given {
            return Cow::Borrowed(given);
        }
        let prior = DiscrepancyPrior::of(bed);
        Cow::Owned(Discrepancy::all(&prior, seed, self.number, months))
    }

    /// One of its discrepancies: another for each time that it was drawn.
    pub(crate) fn discrepancy(&self, bed: &Bed, seed: u64, time: u32, months: u32) -> Discrepancy {
        let given = self.given.as_ref().filter(|given| !given.is_empty());
        given.map_or_else(
            || Discrepancy::new(&DiscrepancyPrior::of(bed), seed, self.number, months),
            |given| given[time as usize % given.len()].clone(),
        )
    }
}
