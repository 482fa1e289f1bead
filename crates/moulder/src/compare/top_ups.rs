//! What topping up takes of each design.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::numeric::interval::Interval;
use crate::numeric::tally::Tally;
use crate::topup::{Package, TopUp};

/// Widths of the bins in which many draws are counted: m3, units, money.
const BINS: [f64; 3] = [1e-5, 1.0, 1e-2];

/// What the top-ups of the months compared come to, each up to the rim or, without one, to
/// the height on the day of filling.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ComparedTopUps {
    /// Loose volume that is laid on; m3.
    pub laid_m3: Interval,
    /// How many units to buy.
    pub bought: Interval,
    /// What that costs; none where the price is not known.
    pub cost: Option<Interval>,
}

/// With what the designs are topped up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct ToppedUpWith {
    /// The material.
    pub material: String,
    /// How it is sold.
    pub package: Package,
}

/// What one draw takes of one design: volume laid on, units bought, money.
pub(super) type TopUpTotals = [f64; 3];

/// What a list of top-ups takes.
pub(super) fn totals(list: &[TopUp]) -> TopUpTotals {
    [
        list.iter().map(|topup| topup.laid_m3).sum(),
        list.iter().map(|topup| f64::from(topup.bought)).sum(),
        list.iter().map(|topup| topup.cost.unwrap_or(0.0)).sum(),
    ]
}

/// What many draws take.
#[derive(Debug, Clone)]
pub(super) struct TotalsTally([Tally; 3]);

impl TotalsTally {
    pub(super) fn new(ensemble_size: u32) -> Self {
        Self(BINS.map(|width| Tally::of(ensemble_size, width)))
    }

    /// Takes in a draw, less what another design takes in it.
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
