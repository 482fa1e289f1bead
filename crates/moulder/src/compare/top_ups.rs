//! Top-ups of each design.

use serde::{Deserialize, Serialize};

use crate::numeric::interval::Interval;
use crate::numeric::tally::Tally;
use crate::topup::{Package, TopUp};

/// Widths of the histogram bins of large ensembles: m3, packages, money.
const BINS: [f64; 3] = [1e-5, 1.0, 1e-2];

/// Sums of the top-ups over the compared months, each up to the rim or, without a rim, to the
/// height on the day of filling.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ComparedTopUps {
    /// Loose volume added; m3.
    pub laid_m3: Interval,
    /// Packages to buy.
    pub bought: Interval,
    /// Cost; none where the price is not known.
    pub cost: Option<Interval>,
}

/// What the designs are topped up with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ToppedUpWith {
    /// The material.
    pub material: String,
    /// How it is packed and sold.
    pub package: Package,
}

/// Of one realisation of one design: volume added, packages bought, money.
pub(super) type TopUpTotals = [f64; 3];

/// Sums of a list of top-ups.
pub(super) fn totals(list: &[TopUp]) -> TopUpTotals {
    [
        list.iter().map(|topup| topup.laid_m3).sum(),
        list.iter().map(|topup| f64::from(topup.bought)).sum(),
        list.iter().map(|topup| topup.cost.unwrap_or(0.0)).sum(),
    ]
}

/// Tallies of these sums.
#[derive(Debug, Clone)]
pub(super) struct TotalsTally([Tally; 3]);

impl TotalsTally {
    pub(super) fn new(ensemble_size: u32) -> Self {
        Self(BINS.map(|width| Tally::of(ensemble_size, width)))
    }

    /// Adds a realisation, less the sums of another design in it.
    pub(super) fn add(&mut self, totals: TopUpTotals, less: TopUpTotals) {
        for (tally, (figure, less)) in self.0.iter_mut().zip(totals.into_iter().zip(less)) {
            tally.add(figure - less);
        }
    }

    pub(super) fn intervals(&self, has_price: bool) -> ComparedTopUps {
        let [laid_m3, bought, cost] = &self.0;
        ComparedTopUps {
            laid_m3: laid_m3.band(),
            bought: bought.band(),
            cost: has_price.then(|| cost.band()),
        }
    }
}
