//! Top-ups of one run with the best figures, without ranges.

use std::collections::BTreeMap;

use moulder::internals::bed::Bed;
use moulder::internals::quantity::amount::{
    volume, volume_figure, volume_unit, weight_figure, weight_unit,
};
use moulder::internals::quantity::height::{figure, unit};
use moulder::internals::quantity::units::Units;
use moulder::internals::topup::{TopUp, TopUps};
use moulder_words::topup::{is_short_of, money, plural};

use super::{Told, TopupArguments, sheet_units};
use crate::print::spreadsheet::{Quantity, Sheet, SheetArguments};
use crate::print::table::Table;

/// The shopping list of one bed.
pub(super) fn list(asked: &TopupArguments, topups: &TopUps, shares: bool) -> String {
    let units = topups.units;
    let dash = || "-".to_owned();
    let mut table = Table::of(&topups.top_ups);
    table.left("date", |topup| {
        let mark = if topup.is_held_back { "*" } else { "" };
        format!("{}{mark}", topup.date)
    });
    if topups.package.lead_days > 0 && !shares {
        table.left("order by", |topup| {
            topup.order_by.map_or_else(dash, |on| on.to_string())
        });
    }
    table.right(format!("below\n{}", unit(units)), |topup| {
        figure(topup.below_before_m, units)
    });
    if !shares {
        table.right(format!("after\n{}", unit(units)), |topup| {
            figure(topup.below_after_m, units)
        });
    }
    if shares && is_short_of(topups) {
        table.right(format!("wanted\n{}", volume_unit(units)), |topup| {
            volume_figure(topup.needed_m3, units)
        });
    }
    table
        .right(format!("lay on\n{}", volume_unit(units)), |topup| {
            volume_figure(topup.laid_m3, units)
        })
        .right(format!("weight\n{}", weight_unit(units)), |topup| {
            weight_figure(topup.laid_kg, units)
        });
    // What is bought is told of all beds together.
    if shares {
        return table.drawn(asked.output.look);
    }
    table
        .right(
            format!("buy\n{}", plural(&topups.package.name, 2)),
            |topup| topup.bought.to_string(),
        )
        .right(format!("left over\n{}", volume_unit(units)), |topup| {
            volume_figure(topup.left_over_m3, units)
        });
    if topups.package.price.is_some() {
        table.right("cost", |topup| topup.cost.map_or_else(dash, money));
    }
    table.drawn(asked.output.look)
}

/// Totals of all beds by month of order and material.
pub(super) fn totals(asked: &TopupArguments, told: &[(&Bed, Told)]) -> String {
    #[derive(Default)]
    struct Total {
        orders: u32,
        bought: u64,
        laid_m3: f64,
        cost: Option<f64>,
    }
    let mut by_order: BTreeMap<(String, String), Total> = BTreeMap::new();
    for (_, told) in told {
        let topups = &told.topups;
        for topup in topups.top_ups.iter().filter(|topup| topup.bought > 0) {
            let day = topup.order_by.unwrap_or(topup.date);
            let month = format!("{:04}-{:02}", day.year(), day.month());
            let total = by_order
                .entry((month, topups.material.clone()))
                .or_default();
            total.orders += topups.beds;
            total.bought += u64::from(topup.bought) * u64::from(topups.beds);
            total.laid_m3 += topup.laid_m3 * f64::from(topups.beds);
            if let Some(cost) = topup.cost {
                *total.cost.get_or_insert(0.0) += cost * f64::from(topups.beds);
            }
        }
    }
    let units = told
        .first()
        .map_or(Units::Metric, |(_, told)| told.topups.units);
    let beds: u32 = told.iter().map(|(_, told)| told.topups.beds).sum();
    let rows: Vec<_> = by_order.iter().collect();
    let mut table = Table::of(&rows);
    table
        .left("order in", |((month, _), _)| month.clone())
        .left("material", |((_, material), _)| material.clone())
        .right("orders", |(_, total)| total.orders.to_string())
        .right(
            plural(&asked.order.packs.package().name, 2),
            |(_, total)| total.bought.to_string(),
        )
        .right("lay on", |(_, total)| volume(total.laid_m3, units));
    if asked.order.packs.has_price() {
        table.right("cost", |(_, total)| {
            total.cost.map_or_else(|| "-".to_owned(), money)
        });
    }
    format!(
        "\nAll {beds} beds together, each buying for itself\n{}",
        table.drawn(asked.output.look)
    )
}

/// The lists of all beds for a spreadsheet.
pub(super) fn csv(all: &[&TopUps], asked: SheetArguments) -> String {
    let rows: Vec<(&TopUps, &TopUp)> = all
        .iter()
        .flat_map(|topups| topups.top_ups.iter().map(|topup| (*topups, topup)))
        .collect();
    let mut sheet = Sheet::of(&rows, sheet_units(all, asked));
    sheet
        .text("bed", |(topups, _)| &topups.name)
        .shown("beds", |(topups, _)| Some(topups.beds))
        .shown("date", |(_, topup)| Some(topup.date))
        .shown("order_by", |(_, topup)| topup.order_by)
        .text("material", |(topups, _)| &topups.material)
        .measured("below_before", Quantity::Height, |(_, topup)| {
            topup.below_before_m
        })
        .measured("below_after", Quantity::Height, |(_, topup)| {
            topup.below_after_m
        })
        .measured("laid", Quantity::Volume, |(_, topup)| topup.laid_m3)
        .measured("laid", Quantity::Weight, |(_, topup)| topup.laid_kg)
        .text("sold_in", |(topups, _)| &topups.package.name)
        .shown("bought", |(_, topup)| Some(topup.bought))
        .shown("bought_for_all_beds", |(topups, topup)| {
            Some(u64::from(topup.bought) * u64::from(topups.beds))
        })
        .measured("left_over", Quantity::Volume, |(_, topup)| {
            topup.left_over_m3
        })
        .shown("cost", |(_, topup)| topup.cost.map(money))
        .shown("cost_of_all_beds", |(topups, topup)| {
            let cost = topup.cost.map(|cost| cost * f64::from(topups.beds));
            cost.map(money)
        })
        .text(
            "held_back",
            |(_, topup)| {
                if topup.is_held_back { "yes" } else { "no" }
            },
        );
    sheet.csv()
}
