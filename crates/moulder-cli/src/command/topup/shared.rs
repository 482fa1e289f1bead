//! Orders that several beds share, or that choose between ways to buy.

use moulder::internals::quantity::amount::{volume, volume_figure, volume_unit, weight};
use moulder::internals::quantity::measures::BARROW_M3;
use moulder::internals::quantity::units::Units;
use moulder::internals::topup::{Buying, PooledOrder, TopUps};
use moulder_words::forecast::spoken_date;
use moulder_words::topup::{money, packs_in_words, plural};

use super::{HELD_BACK, TopupArguments, sheet_units};
use crate::print::lines::plain;
use crate::print::spreadsheet::{Quantity, Sheet, SheetArguments};
use crate::print::table::Table;

/// Packs from which loose material is told beside them.
const MANY_PACKS: u32 = 20;

/// One order a month or a day of delivery for all beds, what they come to, and who gets what.
pub(super) fn orders(
    asked: &TopupArguments,
    all: &[&TopUps],
    orders: &[PooledOrder],
    buying: &Buying,
) -> String {
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
    let loose = if bought > MANY_PACKS && buying.ways.len() == 1 {
        format!(", or {} loose", volume(laid_m3, units))
    } else {
        String::new()
    };
    let first = orders.first().map_or(of.filled, |order| order.date);
    let packs: Vec<u32> = (0..buying.ways.len())
        .map(|way| {
            let of_way = orders.iter().filter_map(|order| order.packs.get(way));
            of_way.sum()
        })
        .collect();
    let whom = match beds {
        1 => "Orders".to_owned(),
        beds => format!("ONE ORDER for all {beds} beds each time"),
    };
    let each = if buying.ways.len() > 1 || beds == 1 {
        ""
    } else {
        " --each lets each bed buy for itself."
    };
    let heading = format!(
        "{whom}: {}{loose}{cost}, about {}, some {:.0} barrow-loads; the first for {}.{each}",
        packs_in_words(&buying.ways, &packs, units),
        weight(kg, units),
        (laid_m3 / BARROW_M3).ceil(),
        spoken_date(first),
    );
    let mut said = format!(
        "\n{}\n{}",
        plain(&heading),
        table(orders, of, buying).fit().drawn(asked.output.look)
    );
    if orders.iter().any(|order| order.is_held_back) {
        said += &plain(&format!(
            "* held back: {HELD_BACK} What is missing is wanted later on top."
        ));
    }
    if all.len() > 1 {
        said += &shares(asked, all, orders);
    }
    said
}

/// The orders for a spreadsheet: a row each, with what each of the beds gets.
pub(super) fn csv(
    all: &[&TopUps],
    orders: &[PooledOrder],
    buying: &Buying,
    asked: SheetArguments,
) -> String {
    let mut sheet = Sheet::of(orders, sheet_units(all, asked));
    sheet
        .shown("date", |order| Some(order.date))
        .shown("order_by", |order| order.order_by)
        .measured("laid", Quantity::Volume, |order| order.laid_m3)
        .measured("laid", Quantity::Weight, |order| order.laid_kg);
    for (place, way) in buying.ways.iter().enumerate() {
        sheet.shown(
            &format!("{}_{}", plural(&way.name, 2), place + 1),
            |order| order.packs.get(place).copied(),
        );
    }
    sheet
        .measured("left_over", Quantity::Volume, |order| order.left_over_m3)
        .shown("cost", |order| order.cost.map(money))
        .text(
            "held_back",
            |order| if order.is_held_back { "yes" } else { "no" },
        );
    for (place, topups) in all.iter().enumerate() {
        let name = format!("each of {} {}", topups.beds, topups.name);
        sheet.measured(&name, Quantity::Volume, |order| of_bed(order, place));
    }
    sheet.csv()
}

/// What one of a bed's count gets of an order; m3.
fn of_bed(order: &PooledOrder, bed: usize) -> f64 {
    let parts = order.beds.iter().filter(|(of, _)| *of == bed);
    parts.map(|(_, m3)| m3).sum()
}

/// What each bed gets of the first order.
fn shares(asked: &TopupArguments, all: &[&TopUps], orders: &[PooledOrder]) -> String {
    let Some(order) = orders.iter().find(|order| order.laid_m3 > 0.0) else {
        return String::new();
    };
    let rows: Vec<(usize, &TopUps)> = all.iter().copied().enumerate().collect();
    let units = all.first().map_or(Units::Metric, |topups| topups.units);
    let mut table = Table::of(&rows);
    table
        .left("bed", |(_, topups)| topups.name.clone())
        .right("beds", |(_, topups)| topups.beds.to_string())
        .right(format!("each gets\n{}", volume_unit(units)), |(bed, _)| {
            volume_figure(of_bed(order, *bed), units)
        })
        .right("barrow-\nloads", |(bed, _)| {
            format!("{:.0}", (of_bed(order, *bed) / BARROW_M3).ceil())
        });
    format!(
        "\n{}\n{}",
        plain(&format!("Of the order for {}:", spoken_date(order.date))),
        table.fit().drawn(asked.output.look)
    )
}

fn table<'r>(orders: &'r [PooledOrder], of: &TopUps, buying: &'r Buying) -> Table<'r, PooledOrder> {
    let units = of.units;
    let dash = || "-".to_owned();
    let mut table = Table::of(orders);
    table.left(
        if buying.deliver_on.is_empty() {
            "needed"
        } else {
            "delivered"
        },
        |order| {
            let mark = if order.is_held_back { "*" } else { "" };
            format!("{}{mark}", order.date)
        },
    );
    if buying.ways.iter().any(|way| way.lead_days > 0) {
        table.left("order by", |order| {
            order.order_by.map_or_else(dash, |on| on.to_string())
        });
    }
    table.right(format!("lay on\n{}", volume_unit(units)), |order| {
        volume_figure(order.laid_m3, units)
    });
    for (place, way) in buying.ways.iter().enumerate() {
        let size = volume(way.volume_m3, units);
        table.right(
            format!("buy {}\nof {size}", plural(&way.name, 2)),
            move |order| order.packs.get(place).map_or_else(dash, u32::to_string),
        );
    }
    table.right(format!("left over\n{}", volume_unit(units)), |order| {
        volume_figure(order.left_over_m3, units)
    });
    if buying.ways.iter().all(|way| way.price.is_some()) {
        table.right("cost", |order| order.cost.map_or_else(dash, money));
    }
    table
}
