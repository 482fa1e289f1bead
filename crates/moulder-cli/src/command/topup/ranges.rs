//! Top-ups with their ranges.

use moulder::internals::quantity::amount::{volume, volume_figure, volume_unit};
use moulder::internals::quantity::height::{rough_figure, unit};
use moulder::internals::topup::{Sums, TopUp, TopUpInterval, TopUpIntervals, TopUps};
use moulder_words::range::{costs, date_or_months, from_to, volumes, wholes};
use moulder_words::topup::{is_short_of, money, plural};

use super::{HELD_BACK, TopupArguments, sheet_units};
use crate::print::lines::plain;
use crate::print::spreadsheet::{Quantity, Sheet, SheetArguments};
use crate::print::table::Table;

/// A top-up with its range, and its order where it is likely enough to be counted on.
struct Line<'a> {
    range: &'a TopUpInterval,
    order: Option<&'a TopUp>,
}

/// The shopping list of one bed, after an empty line; nothing where no top-up is
/// likely in one realisation of twenty.
pub(super) fn list(
    asked: &TopupArguments,
    topups: &TopUps,
    bands: &TopUpIntervals,
    shares: bool,
) -> String {
    let lines = bands.top_ups.iter();
    let shown: Vec<Line<'_>> = lines
        .filter(|line| tenths(line.chance) > 0.0)
        .map(|range| Line {
            range,
            order: topups.order(range),
        })
        .collect();
    if shown.is_empty() {
        return String::new();
    }
    let is_held_back = |line: &Line<'_>| {
        let by_orders = shares && line.order.is_some_and(|order| order.is_held_back);
        by_orders || line.range.chance_held_back > 0.5 * line.range.chance
    };
    let mut said = format!(
        "\n{}",
        columns(topups, &shown, is_held_back, shares)
            .fit()
            .drawn(asked.output.look)
    );
    if shown.iter().any(is_held_back) {
        let often = if shares { "" } else { " more often than not" };
        said += &plain(&format!("* held back{often}: {HELD_BACK}"));
    }
    if shown.len() < bands.top_ups.len() {
        said += &plain("More top-ups come in fewer than one such bed of twenty each.");
    }
    said
}

fn columns<'r>(
    topups: &TopUps,
    shown: &'r [Line<'r>],
    is_held_back: impl Fn(&Line<'_>) -> bool,
    shares: bool,
) -> Table<'r, Line<'r>> {
    let units = topups.units;
    let dash = || "-".to_owned();
    let mut table = Table::of(shown);
    table.left("when", |line| {
        let mark = if is_held_back(line) { "*" } else { "" };
        format!("{}{mark}", date_or_months(&line.range.date))
    });
    if topups.package.lead_days > 0 && !shares {
        // Those who order by the early end have it in time nine times in ten.
        table.left("order by", |line| line.range.order_by.lower.to_string());
    }
    table
        .right(format!("below\n{}", unit(units)), |line| {
            rough_figure(line.range.below_before_m.mean, units)
        })
        .right("\n8 in 10", |line| {
            let [low, high] = line.range.below_before_m.ends();
            from_to(&rough_figure(low, units), &rough_figure(high, units))
        })
        .spare(3);
    // What a bed wants, and beside it what shared orders bring where that is something else.
    let differs = shares && is_short_of(topups);
    let (heading, told): (_, fn(&TopUp) -> f64) = if differs {
        ("wanted", |order| order.needed_m3)
    } else {
        ("lay on", |order| order.laid_m3)
    };
    table
        .right(format!("{heading}\n{}", volume_unit(units)), move |line| {
            let told_m3 = line.order.map(told);
            volume_figure(told_m3.unwrap_or(line.range.laid_m3.mean), units)
        })
        .right("\n8 in 10", |line| {
            let [low, high] = line.range.laid_m3.ends();
            from_to(&volume_figure(low, units), &volume_figure(high, units))
        })
        .spare(2);
    if differs {
        table.right(format!("lay on\n{}", volume_unit(units)), move |line| {
            let laid_m3 = line.order.map(|order| order.laid_m3);
            laid_m3.map_or_else(dash, |laid_m3| volume_figure(laid_m3, units))
        });
    }
    if !shares {
        table
            .right(
                format!("buy\n{}", plural(&topups.package.name, 2)),
                |line| {
                    line.order
                        .map_or_else(dash, |order| order.bought.to_string())
                },
            )
            .right("\n8 in 10", |line| wholes(&line.range.bought));
    }
    if topups.package.price.is_some() && !shares {
        table.right("cost", |line| {
            line.order
                .and_then(|order| order.cost)
                .map_or_else(dash, money)
        });
    }
    if shown.iter().any(|line| tenths(line.range.chance) < 10.0) {
        table.right("beds\nof 10", |line| {
            format!("{:.0}", tenths(line.range.chance))
        });
    }
    table
}

/// Totals of all beds by year: the orders told, added up. None for the nominal run alone.
pub(super) fn totals(asked: &TopupArguments, all: &[&TopUps]) -> Option<String> {
    let first = all.first()?;
    let (units, together) = (first.units, &first.intervals.as_ref()?.together);
    let is_of =
        |topup: &TopUp, year: Option<i16>| year.is_none_or(|year| topup.date.year() == year);
    let sum = |year: Option<i16>, of: fn(&TopUp) -> f64| -> f64 {
        let beds = all.iter().map(|topups| {
            let orders = topups.top_ups.iter().filter(|topup| is_of(topup, year));
            f64::from(topups.beds) * orders.map(of).sum::<f64>()
        });
        beds.sum()
    };
    let years = together.years.iter();
    let years = years.filter(|year| year.sums.bought.upper >= 1.0);
    let years = years.map(|year| (Some(year.year), year.sums));
    let rows: Vec<(Option<i16>, Sums)> = years.chain([(None, together.all)]).collect();
    let mut table = Table::of(&rows);
    table
        .left("year", |(year, _)| {
            year.map_or_else(|| "all".to_owned(), |year| year.to_string())
        })
        .right(plural(&asked.order.packs.package().name, 2), |(year, _)| {
            format!("{:.0}", sum(*year, |topup| f64::from(topup.bought)))
        })
        .right("8 in 10", |(_, sums)| wholes(&sums.bought))
        .right("lay on", |(year, _)| {
            volume(sum(*year, |topup| topup.laid_m3), units)
        })
        .right("8 in 10", |(_, sums)| volumes(&sums.laid_m3, units));
    if asked.order.packs.has_price() {
        table
            .right("cost", |(year, _)| {
                money(sum(*year, |topup| topup.cost.unwrap_or(0.0)))
            })
            .right("8 in 10", |(_, sums)| {
                let told = |cost| costs(cost, &first.package);
                sums.cost.as_ref().map_or_else(String::new, told)
            });
    }
    let heading = format!(
        "All {} beds together, each buying for itself.",
        together.beds
    );
    Some(format!(
        "\n{}{}",
        plain(&heading),
        table.drawn(asked.output.look)
    ))
}

/// The lists of all beds for a spreadsheet, with their ranges.
pub(super) fn csv(all: &[&TopUps], asked: SheetArguments) -> String {
    let rows: Vec<(&TopUps, &TopUpInterval)> = all
        .iter()
        .flat_map(|topups| {
            let lines = topups.intervals.iter().flat_map(|bands| &bands.top_ups);
            lines.map(|line| (*topups, line))
        })
        .collect();
    let mut sheet = Sheet::of(&rows, sheet_units(all, asked));
    sheet
        .text("bed", |(topups, _)| &topups.name)
        .shown("beds", |(topups, _)| Some(topups.beds))
        .shown("number", |(_, line)| Some(line.number))
        .number("share_of_beds", |(_, line)| line.chance)
        .number("share_held_back", |(_, line)| line.chance_held_back)
        .shown("date_low", |(_, line)| Some(line.date.lower))
        .shown("date_middle", |(_, line)| Some(line.date.median))
        .shown("date_high", |(_, line)| Some(line.date.upper))
        .shown("order_by_low", |(_, line)| Some(line.order_by.lower))
        .text("material", |(topups, _)| &topups.material)
        .text("sold_in", |(topups, _)| &topups.package.name)
        .points("below_before", Quantity::Height, |(_, line)| {
            line.below_before_m
        })
        .points("laid", Quantity::Volume, |(_, line)| line.laid_m3)
        .points("laid", Quantity::Weight, |(_, line)| line.laid_kg)
        .shown("bought", |(topups, line)| {
            topups.order(line).map(|order| order.bought)
        })
        .shown("bought_low", |(_, line)| Some(line.bought.lower.floor()))
        .shown("bought_high", |(_, line)| Some(line.bought.upper.ceil()))
        .shown("cost", |(topups, line)| {
            topups.order(line).and_then(|order| order.cost).map(money)
        })
        .shown("cost_low", |(_, line)| {
            line.cost.as_ref().map(|cost| money(cost.lower))
        })
        .shown("cost_high", |(_, line)| {
            line.cost.as_ref().map(|cost| money(cost.upper))
        });
    sheet.csv()
}

/// A share in whole tenths.
fn tenths(share: f64) -> f64 {
    (share * 10.0).round()
}
