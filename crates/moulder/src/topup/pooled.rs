//! One order for several beds: their top-ups of a month, or up to the next day of delivery, are
//! bought together.

use jiff::ToSpan as _;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::package::{Package, refuse};
use super::stock::Stock;
use super::{TopUp, TopUps};
use crate::fault::error::Error;

/// How material is bought for several beds.
///
/// ```
/// use moulder::{Package, purchases::Buying};
///
/// let bags = Package::new("bag", 0.04).price(5.98);
/// let loads = Package::new("load", 1.0).price(45.0).delivery(30.0);
/// let either = Buying::in_one_of(vec![bags, loads]);
/// assert!(either.deliver_on.is_empty());
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Buying {
    /// The ways to buy it: each order takes what is cheapest, several together where that is.
    pub ways: Vec<Package>,
    /// Month and day of the deliveries of each year, the only ones; as needed where empty. The 31st
    /// of a shorter month is its last day.
    pub deliver_on: Vec<(i8, i8)>,
    /// Largest spending from one January to the next.
    pub yearly_budget: Option<f64>,
    /// No delivery before this day.
    pub from: Option<Date>,
}

impl Buying {
    /// In the cheapest of those ways, when needed, whatever it costs.
    #[must_use]
    pub const fn in_one_of(ways: Vec<Package>) -> Self {
        Self {
            ways,
            deliver_on: Vec::new(),
            yearly_budget: None,
            from: None,
        }
    }

    /// Refuses values out of range.
    fn check(&self) -> Result<(), Error> {
        let several = self.ways.len() > 1;
        let mut figures = Vec::new();
        for (index, way) in self.ways.iter().enumerate() {
            let pointer = format!("/ways/{index}");
            if several && way.price.is_none() {
                figures.push((
                    format!("{pointer}/price"),
                    String::new(),
                    false,
                    "a price of each way, to tell which is cheapest",
                ));
            }
            figures.extend(way.figures(&pointer));
        }
        let is_some = !self.ways.is_empty() && self.ways.len() <= WAYS_LIMIT;
        let count = self.ways.len().to_string();
        figures.push(("/ways".to_owned(), count, is_some, "1 to 4 ways to buy"));
        for (index, (month, day)) in self.deliver_on.iter().enumerate() {
            let is_day = (1..=12).contains(month) && (1..=31).contains(day);
            figures.push((
                format!("/deliver_on/{index}"),
                format!("{month}-{day}"),
                is_day,
                "a month from 1 to 12 and a day from 1 to 31",
            ));
        }
        refuse(figures)
    }

    /// The delivery for what is needed on a day: that day, or the last delivery before it, or the
    /// first of all.
    fn delivery(&self, needed: Date) -> Date {
        let of_year = |year: i16| {
            let days = self.deliver_on.iter();
            days.filter_map(move |(month, day)| {
                let first = Date::new(year, *month, 1).ok()?;
                let day = (*day).min(first.days_in_month());
                Date::new(year, *month, day).ok()
            })
        };
        let year = needed.year();
        let years = (year.saturating_sub(1)..=year.saturating_add(1)).flat_map(of_year);
        let mut days: Vec<Date> = years
            .filter(|day| self.from.is_none_or(|from| *day >= from))
            .collect();
        days.sort_unstable();
        let before = days.iter().rfind(|day| **day <= needed);
        *before.or(days.first()).unwrap_or(&needed)
    }
}

/// Most ways to buy.
const WAYS_LIMIT: usize = 4;

/// An order for all beds that are topped up in a month.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PooledOrder {
    /// The day of delivery: the first on which it is needed, or the last day of delivery before, or
    /// the first of all.
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
    /// Packages to buy, of all ways together.
    pub bought: u32,
    /// Packages of each way to buy, in the order of [`Buying::ways`]; those of which none is bought
    /// as well.
    pub packs: Vec<u32>,
    /// Loose volume kept for the next order; m3.
    pub left_over_m3: f64,
    /// Cost, delivery once; none where the price is not known.
    pub cost: Option<f64>,
    /// Whether the budget or the largest thickness limits it.
    pub is_held_back: bool,
}

/// The orders for all beds: the volumes of a month, or up to the next day of delivery, added up,
/// each times the count of its bed, then bought in whole packages. What a budget leaves out is wanted
/// with the next order.
///
/// # Errors
///
/// No way to buy or too many, a figure out of range, or several ways one of which has no price.
///
/// ```
/// use moulder::{Bed, Package, TopUpRequest, purchases::{Buying, pooled_orders}, top_ups};
///
/// let request = TopUpRequest::new("loamy topsoil").months(14).ensemble_size(8);
/// let plans = top_ups(&[Bed::example(), Bed::example()], &request)?;
/// let orders = pooled_orders(&plans, &Buying::in_one_of(vec![Package::new("bag", 0.04)]))?;
/// assert!(orders[0].bought <= 2 * plans[0].bought());
/// assert!((orders[0].laid_m3 - 2.0 * plans[0].laid_m3()).abs() < 1e-12);
/// # Ok::<(), moulder::Error>(())
/// ```
pub fn pooled_orders(plans: &[TopUps], buying: &Buying) -> Result<Vec<PooledOrder>, Error> {
    buying.check()?;
    let mut due: Vec<(Date, usize, &TopUp)> = plans
        .iter()
        .enumerate()
        .flat_map(|(bed, plan)| plan.top_ups.iter().map(move |topup| (bed, topup)))
        .map(|(bed, topup)| (buying.delivery(topup.date), bed, topup))
        .collect();
    due.sort_by_key(|(on, bed, topup)| (*on, topup.date, *bed));
    let are_together = |(one, ..): &(Date, usize, &TopUp), (next, ..): &(Date, usize, &TopUp)| {
        one == next
            || buying.deliver_on.is_empty()
                && (one.year(), one.month()) == (next.year(), next.month())
    };
    let lead_days = buying.ways.iter().map(|way| way.lead_days).max();
    let mut stock = Stock::default();
    let mut missing_m3 = 0.0;
    let orders = due.chunk_by(are_together).map(|together| {
        let times = |bed: usize| f64::from(plans[bed].beds);
        let sum = |of: fn(&TopUp) -> f64| -> f64 {
            let each = together.iter();
            each.map(|(_, bed, topup)| times(*bed) * of(topup)).sum()
        };
        let kg_per_m3 = sum(|topup| topup.laid_kg) / sum(|topup| topup.laid_m3);
        let wanted_m3 = sum(|topup| topup.needed_m3);
        let needed_m3 = wanted_m3 + missing_m3;
        let date = together[0].0;
        let purchase = stock.buy(&buying.ways, buying.yearly_budget, date.year(), needed_m3);
        missing_m3 = needed_m3 - purchase.laid_m3;
        let share = purchase.laid_m3 / wanted_m3;
        let order_by = date.saturating_sub(i64::from(lead_days.unwrap_or(0)).days());
        PooledOrder {
            date,
            order_by: (purchase.bought > 0).then_some(order_by),
            beds: together
                .iter()
                .map(|(_, bed, topup)| (*bed, share * topup.needed_m3))
                .collect(),
            laid_m3: purchase.laid_m3,
            laid_kg: if purchase.laid_m3 > 0.0 {
                purchase.laid_m3 * kg_per_m3
            } else {
                0.0
            },
            bought: purchase.bought,
            packs: purchase.packs,
            left_over_m3: stock.left_over_m3,
            cost: purchase.cost,
            is_held_back: missing_m3 > 1e-9
                || together.iter().any(|(_, _, topup)| topup.is_held_back),
        }
    });
    Ok(orders.collect())
}
