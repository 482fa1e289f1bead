//! Orders that several beds share.

use moulder::internals::quantity::amount::{volume, volume_figure, volume_unit, weight};
use moulder::internals::topup::{PooledOrder, TopUps, pooled_orders};
use moulder_words::forecast::spoken_date;
use moulder_words::topup::{money, plural};

use super::TopupArguments;
use crate::print::lines::plain;
use crate::print::table::Table;

/// Packs from which loose material is told beside them.
const MANY_PACKS: u32 = 20;

/// One order a month for all beds, and what they come to.
pub(super) fn orders(asked: &TopupArguments, all: &[TopUps]) -> String {
    let orders = pooled_orders(all, asked.budget);
    let Some(of) = all.first().filter(|_| !orders.is_empty()) else {
        return String::new();
    };
    let units = of.units;
    let beds: u32 = all.iter().map(|topups| topups.beds).sum();
    let bought: u32 = orders.iter().map(|order| order.bought).sum();
    let laid_m3: f64 = orders.iter().map(|order| order.laid_m3).sum();
    let kg: f64 = orders.iter().map(|order| order.laid_kg).sum();
    let cost: Option<f64> = orders.iter().map(|order| order.cost).sum();
    let cost = cost.map_or_else(String::new, |cost| format!(", {} in all", money(cost)));
    let loose = if bought > MANY_PACKS {
        format!(", or {} loose", volume(laid_m3, units))
    } else {
        String::new()
    };
    let first = orders.first().map_or(of.filled, |order| order.date);
    let heading = format!(
        "ONE ORDER for all {beds} beds each time: {bought} {} of {}{loose}{cost}, about {}; the \
         first for {}. --each lets each bed buy for itself.",
        plural(&of.package.name, bought),
        volume(of.package.volume_m3, units),
        weight(kg, units),
        spoken_date(first),
    );
    let mut said = format!(
        "\n{}\n{}",
        plain(&heading),
        table(&orders, of).drawn(asked.output.look)
    );
    if orders.iter().any(|order| order.is_held_back) {
        said += &plain(
            "* held back: more was wanted than the budget or --at-most allowed; what is missing is \
             wanted later on top.",
        );
    }
    said
}

fn table<'r>(orders: &'r [PooledOrder], of: &TopUps) -> Table<'r, PooledOrder> {
    let units = of.units;
    let dash = || "-".to_owned();
    let mut table = Table::of(orders);
    table.left("needed", |order| {
        let mark = if order.is_held_back { "*" } else { "" };
        format!("{}{mark}", order.date)
    });
    if of.package.lead_days > 0 {
        table.left("order by", |order| {
            order.order_by.map_or_else(dash, |on| on.to_string())
        });
    }
    table
        .right(format!("lay on\n{}", volume_unit(units)), |order| {
            volume_figure(order.laid_m3, units)
        })
        .right(format!("buy\n{}", plural(&of.package.name, 2)), |order| {
            order.bought.to_string()
        })
        .right(format!("left over\n{}", volume_unit(units)), |order| {
            volume_figure(order.left_over_m3, units)
        });
    if of.package.price.is_some() {
        table.right("cost", |order| order.cost.map_or_else(dash, money));
    }
    table
}
