//! One order for several beds: their top-ups of a month are bought together.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::stock::Stock;
use super::{TopUp, TopUps};

/// An order for all beds that are topped up in a month.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PooledOrder {
    /// The first day on which it is needed.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// The day to order on, where anything is bought.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub order_by: Option<Date>,
    /// What each bed gets: its place in the list of beds, and the loose volume for one of its
    /// count; m3.
    pub beds: Vec<(usize, f64)>,
    /// Loose volume for all; m3.
    pub laid_m3: f64,
    /// Its mass, water included; kg.
    pub laid_kg: f64,
    /// Packages to buy.
    pub bought: u32,
    /// Loose volume kept for the next order; m3.
    pub left_over_m3: f64,
    /// Cost, delivery once; none where the price is not known.
    pub cost: Option<f64>,
    /// Whether the budget or the largest thickness limits it.
    pub is_held_back: bool,
}

/// The orders for all beds, with package, delivery and budget of the rule: the volumes of a month
/// added up, each times the count of its bed, then bought in whole packages.
///
/// ```
/// use moulder::{Bed, TopUpRequest, purchases::pooled_orders, top_ups};
///
/// let request = TopUpRequest::new("loamy topsoil").months(14).ensemble_size(8);
/// let plans = top_ups(&[Bed::example(), Bed::example()], &request)?;
/// let orders = pooled_orders(&plans, None);
/// assert!(orders[0].bought <= 2 * plans[0].bought());
/// assert!((orders[0].laid_m3 - 2.0 * plans[0].laid_m3()).abs() < 1e-12);
/// # Ok::<(), moulder::Error>(())
/// ```
#[must_use]
pub fn pooled_orders(plans: &[TopUps], yearly_budget: Option<f64>) -> Vec<PooledOrder> {
    let Some(first) = plans.first() else {
        return Vec::new();
    };
    let mut due: Vec<(usize, &TopUp)> = plans
        .iter()
        .enumerate()
        .flat_map(|(bed, plan)| plan.top_ups.iter().map(move |topup| (bed, topup)))
        .collect();
    due.sort_by_key(|(bed, topup)| (topup.date, *bed));
    let mut stock = Stock::default();
    due.chunk_by(|(_, one), (_, next)| {
        one.date.year() == next.date.year() && one.date.month() == next.date.month()
    })
    .map(|month| {
        let times = |bed: usize| f64::from(plans[bed].beds);
        let sum = |of: fn(&TopUp) -> f64| -> f64 {
            month
                .iter()
                .map(|(bed, topup)| times(*bed) * of(topup))
                .sum()
        };
        let needed_m3 = sum(|topup| topup.needed_m3);
        let kg_per_m3 = sum(|topup| topup.laid_kg) / sum(|topup| topup.laid_m3);
        let date = month[0].1.date;
        let purchase = stock.buy(&first.package, yearly_budget, date.year(), needed_m3);
        let share = purchase.laid_m3 / needed_m3;
        PooledOrder {
            date,
            order_by: (purchase.bought > 0).then(|| first.package.order_by(date)),
            beds: month
                .iter()
                .map(|(bed, topup)| (*bed, share * topup.needed_m3))
                .collect(),
            laid_m3: purchase.laid_m3,
            laid_kg: if purchase.laid_m3 > 0.0 {
                purchase.laid_m3 * kg_per_m3
            } else {
                0.0
            },
            bought: purchase.bought,
            left_over_m3: stock.left_over_m3,
            cost: purchase.cost,
            is_held_back: purchase.laid_m3 < needed_m3
                || month.iter().any(|(_, topup)| topup.is_held_back),
        }
    })
    .collect()
}
