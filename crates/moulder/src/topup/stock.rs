//! What is bought for a top-up: whole packages, what was left over first, within the budget.

use super::cheapest::cheapest;
use super::package::Package;

/// Loose material in stock, and money spent in a calendar year.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Stock {
    /// Loose material kept from earlier purchases; m3.
    pub(super) left_over_m3: f64,
    year: i16,
    spent: f64,
}

/// One purchase.
#[derive(Debug, Clone)]
pub(super) struct Purchase {
    /// Loose volume there is for the top-up; m3.
    pub(super) laid_m3: f64,
    /// Packages of each way to buy.
    pub(super) packs: Vec<u32>,
    pub(super) bought: u32,
    /// With delivery; none where the price is not known.
    pub(super) cost: Option<f64>,
}

impl Stock {
    /// Buys what a top-up of that loose volume in that year takes, as far as the budget goes, in
    /// the cheapest of those ways.
    pub(super) fn buy(
        &mut self,
        ways: &[Package],
        yearly_budget: Option<f64>,
        year: i16,
        needed_m3: f64,
    ) -> Purchase {
        if self.year != year {
            (self.year, self.spent) = (year, 0.0);
        }
        let has_price = ways.iter().all(|way| way.price.is_some());
        let budget = yearly_budget.filter(|_| has_price);
        let missing_m3 = (needed_m3 - self.left_over_m3).max(0.0);
        let basket = cheapest(ways, missing_m3, budget.map(|budget| budget - self.spent));
        let cost = has_price.then_some(basket.cost);
        let there_m3 = self.left_over_m3 + basket.volume_m3;
        let laid_m3 = needed_m3.min(there_m3);
        self.spent += cost.unwrap_or(0.0);
        self.left_over_m3 = there_m3 - laid_m3;
        Purchase {
            laid_m3,
            bought: basket.packs.iter().sum(),
            packs: basket.packs,
            cost,
        }
    }
}
