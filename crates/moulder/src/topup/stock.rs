//! What is bought for a top-up: whole packages, what was left over first, within the budget.

use super::Package;

/// Loose material in stock, and money spent in a calendar year.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Stock {
    /// Loose material kept from earlier purchases; m3.
    pub(super) left_over_m3: f64,
    year: i16,
    spent: f64,
}

/// One purchase.
#[derive(Debug, Clone, Copy)]
pub(super) struct Purchase {
    /// Loose volume there is for the top-up; m3.
    pub(super) laid_m3: f64,
    pub(super) bought: u32,
    /// With delivery; none where the price is not known.
    pub(super) cost: Option<f64>,
}

impl Stock {
    /// Buys what a top-up of that loose volume in that year takes, as far as the budget goes.
    pub(super) fn buy(
        &mut self,
        sold: &Package,
        yearly_budget: Option<f64>,
        year: i16,
        needed_m3: f64,
    ) -> Purchase {
        if self.year != year {
            (self.year, self.spent) = (year, 0.0);
        }
        let missing_m3 = (needed_m3 - self.left_over_m3).max(0.0);
        let mut bought = whole_units(missing_m3 / sold.volume_m3);
        if let (Some(budget), Some(price)) = (yearly_budget, sold.price) {
            let left = budget - self.spent - sold.delivery;
            // Free soil costs its delivery.
            let affordable = if left < 0.0 {
                0
            } else if price > 0.0 {
                whole_units_below(left / price)
            } else {
                u32::MAX
            };
            bought = bought.min(affordable);
        }
        let cost = sold.price.map(|price| {
            if bought == 0 {
                0.0
            } else {
                f64::from(bought) * price + sold.delivery
            }
        });
        let there_m3 = self.left_over_m3 + f64::from(bought) * sold.volume_m3;
        let laid_m3 = needed_m3.min(there_m3);
        self.spent += cost.unwrap_or(0.0);
        self.left_over_m3 = there_m3 - laid_m3;
        Purchase {
            laid_m3,
            bought,
            cost,
        }
    }
}

/// Least whole number of packages that holds `units`, with a tolerance for rounding.
fn whole_units(units: f64) -> u32 {
    whole((units - 1e-9).ceil())
}

/// Largest whole number of packages within `units`, with a tolerance for rounding.
fn whole_units_below(units: f64) -> u32 {
    whole((units + 1e-9).floor())
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held to the range"
)]
fn whole(units: f64) -> u32 {
    units.clamp(0.0, f64::from(u32::MAX)) as u32
}
