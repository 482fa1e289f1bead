//! Top-ups with their ranges.

use moulder::internals::quantity::amount::{volume_figure, volume_unit};
use moulder::internals::quantity::height::{rough_figure, unit};
use moulder::internals::topup::{Sums, TopUpInterval, TopUpIntervals, TopUps};
use moulder_words::range::{date_or_months, from_to, moneys, volumes, wholes};
use moulder_words::topup::{money, plural};

use super::TopupArguments;
use crate::print::lines::plain;
use crate::print::spreadsheet::Sheet;
use crate::print::table::Table;

/// The shopping list of one bed, after an empty line; nothing where no top-up is
/// likely in one realisation of twenty.
pub(super) fn list(asked: &TopupArguments, topups: &TopUps, bands: &TopUpIntervals) -> String {
    let shown: Vec<&TopUpInterval> = bands
        .top_ups
        .iter()
        .filter(|line| tenths(line.chance) > 0.0)
        .collect();
    if shown.is_empty() {
        return String::new();
    }
    let is_held_back = |line: &TopUpInterval| line.chance_held_back > 0.5 * line.chance;
    let mut said = format!(
        "\n{}",
        columns(topups, &shown, is_held_back)
            .fit()
            .drawn(asked.output.look)
    );
    if shown.iter().any(|line| is_held_back(line)) {
        said += &plain(
            "* held back more often than not: more was wanted than the budget or --at-most \
             allowed.",
        );
    }
    if shown.len() < bands.top_ups.len() {
        said += &plain("More top-ups come in fewer than one draw of twenty each.");
    }
    said
}

fn columns<'r>(
    topups: &TopUps,
    shown: &'r [&'r TopUpInterval],
    is_held_back: impl Fn(&TopUpInterval) -> bool,
) -> Table<'r, &'r TopUpInterval> {
    let units = topups.units;
    let mut table = Table::of(shown);
    table.left("when", |line| {
        let mark = if is_held_back(line) { "*" } else { "" };
        format!("{}{mark}", date_or_months(&line.date))
    });
    if topups.package.lead_days > 0 {
        // Those who order by the early end have it in time nine times in ten.
        table.left("order by", |line| line.order_by.lower.to_string());
    }
    table
        .right(format!("below\n{}", unit(units)), |line| {
            let [low, high] = [line.below_before_m.lower, line.below_before_m.upper]
                .map(|m| rough_figure(m, units));
            from_to(&low, &high)
        })
        .spare(3)
        .right(format!("lay on\n{}", volume_unit(units)), |line| {
            let [low, high] = [line.laid_m3.lower, line.laid_m3.upper];
            from_to(&volume_figure(low, units), &volume_figure(high, units))
        })
        .spare(1)
        .right("\nlikely", |line| volume_figure(line.laid_m3.median, units))
        .spare(2)
        .right(
            format!("buy\n{}", plural(&topups.package.name, 2)),
            |line| wholes(&line.bought),
        )
        .right("\nlikely", |line| format!("{:.0}", line.bought.median));
    if topups.package.price.is_some() {
        table.right("cost", |line| {
            line.cost.as_ref().map_or_else(String::new, moneys)
        });
    }
    if shown.iter().any(|line| tenths(line.chance) < 10.0) {
        table.right("draws\nof 10", |line| format!("{:.0}", tenths(line.chance)));
    }
    table
}

/// Totals of all beds by year. None for the nominal run alone.
pub(super) fn totals(asked: &TopupArguments, of_any: &TopUps) -> Option<String> {
    let together = &of_any.intervals.as_ref()?.together;
    let units = of_any.units;
    let years = together.years.iter();
    let years = years.filter(|year| year.sums.bought.upper >= 1.0);
    let years = years.map(|year| (year.year.to_string(), year.sums));
    let rows: Vec<(String, Sums)> = years.chain([("all".to_owned(), together.all)]).collect();
    let mut table = Table::of(&rows);
    table
        .left("year", |(name, _)| name.clone())
        .right(plural(asked.packs.called(), 2), |(_, sums)| {
            wholes(&sums.bought)
        })
        .right("likely", |(_, sums)| format!("{:.0}", sums.bought.median))
        .right("lay on", |(_, sums)| volumes(&sums.laid_m3, units));
    if asked.packs.price.is_some() {
        table.numbers(["cost", "likely"], |(_, sums)| {
            let cost = sums.cost.as_ref();
            cost.map_or_else(Default::default, |cost| [moneys(cost), money(cost.median)])
        });
    }
    let heading = format!(
        "All {} beds together, each buying for itself; added up within each draw, in which beds \
         of one file are alike.",
        together.beds
    );
    Some(format!(
        "\n{}{}",
        plain(&heading),
        table.drawn(asked.output.look)
    ))
}

/// The lists of all beds for a spreadsheet, with their ranges.
pub(super) fn csv(all: &[&TopUps]) -> String {
    let rows: Vec<(&TopUps, &TopUpInterval)> = all
        .iter()
        .flat_map(|topups| {
            let lines = topups.intervals.iter().flat_map(|bands| &bands.top_ups);
            lines.map(|line| (*topups, line))
        })
        .collect();
    let mut sheet = Sheet::of(&rows);
    sheet
        .text("bed", |(topups, _)| &topups.name)
        .shown("beds", |(topups, _)| Some(topups.beds))
        .shown("number", |(_, line)| Some(line.number))
        .number("share_of_draws", |(_, line)| line.chance)
        .number("share_held_back", |(_, line)| line.chance_held_back)
        .shown("date_low", |(_, line)| Some(line.date.lower))
        .shown("date_middle", |(_, line)| Some(line.date.median))
        .shown("date_high", |(_, line)| Some(line.date.upper))
        .shown("order_by_low", |(_, line)| Some(line.order_by.lower))
        .text("material", |(topups, _)| &topups.material)
        .text("sold_in", |(topups, _)| &topups.package.name)
        .points("below_before_m", |(_, line)| line.below_before_m)
        .points("laid_m3", |(_, line)| line.laid_m3)
        .points("laid_kg", |(_, line)| line.laid_kg)
        .points("bought", |(_, line)| line.bought)
        .shown("cost_low", |(_, line)| {
            line.cost.as_ref().map(|cost| money(cost.lower))
        })
        .shown("cost_middle", |(_, line)| {
            line.cost.as_ref().map(|cost| money(cost.median))
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
