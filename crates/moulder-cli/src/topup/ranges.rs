//! Top-ups with their ranges.

use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::amount::{volume_figure, volume_unit};
use moulder::internals::quantity::height::{rough_figure, unit};
use moulder::internals::topup::{Sums, TopUpInterval, TopUpIntervals, TopUps};
use moulder_words::range::{date_or_months, from_to, moneys, volumes, wholes};
use moulder_words::topup::{money, plural};

use crate::arguments::TopupArguments;
use crate::lines::{TextWidth, WIDTH, wrapped};
use crate::spreadsheet::{self, Cell, places};
use crate::table::{Column, Stand, table, width};
use crate::trouble::Trouble;

/// A column with its cells.
struct Filled {
    column: Column,
    cells: Vec<String>,
    /// Left out where the table is too wide; the highest first.
    spare: u8,
}

/// The shopping list of one bed, with a blank line before it; nothing where no top-up is
/// likely in one draw of twenty.
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
    let mut filled = columns(topups, &shown, is_held_back);
    while width_of(&filled) > WIDTH {
        let most = filled.iter().map(|filled| filled.spare).max();
        let Some(spare) = most.filter(|spare| *spare > 0) else {
            break;
        };
        filled.retain(|filled| filled.spare != spare);
    }
    let (columns, rows) = laid_out(&filled);
    let mut said = format!("\n{}", table(&columns, rows, asked.look));
    if shown.iter().any(|line| is_held_back(line)) {
        said.push_str(&wrapped(
            "* held back more often than not: more was wanted than the budget or --at-most \
             allowed.",
            TextWidth::PLAIN,
        ));
    }
    if shown.len() < bands.top_ups.len() {
        said.push_str(&wrapped(
            "More top-ups come in fewer than one draw of twenty each.",
            TextWidth::PLAIN,
        ));
    }
    said
}

fn columns(
    topups: &TopUps,
    shown: &[&TopUpInterval],
    is_held_back: impl Fn(&TopUpInterval) -> bool,
) -> Vec<Filled> {
    let units = topups.units;
    let filled = |heading: String, stand, spare, cell: &dyn Fn(&TopUpInterval) -> String| Filled {
        column: Column::new(heading, stand),
        cells: shown.iter().map(|line| cell(line)).collect(),
        spare,
    };
    let when = |line: &TopUpInterval| {
        let mark = if is_held_back(line) { "*" } else { "" };
        format!("{}{mark}", date_or_months(&line.date))
    };
    let mut all = vec![filled("when".to_owned(), Stand::Left, 0, &when)];
    if topups.package.lead_days > 0 {
        // Those who order by the early end have it in time nine times in ten.
        all.push(filled("order by".to_owned(), Stand::Left, 0, &|line| {
            line.order_by.lower.to_string()
        }));
    }
    all.push(filled(
        format!("below\n{}", unit(units)),
        Stand::Right,
        3,
        &|line| {
            let [low, high] = [line.below_before_m.lower, line.below_before_m.upper]
                .map(|m| rough_figure(m, units));
            from_to(&low, &high)
        },
    ));
    all.push(filled(
        format!("lay on\n{}", volume_unit(units)),
        Stand::Right,
        1,
        &|line| {
            let [low, high] = [line.laid_m3.lower, line.laid_m3.upper];
            from_to(&volume_figure(low, units), &volume_figure(high, units))
        },
    ));
    all.push(filled("\nlikely".to_owned(), Stand::Right, 2, &|line| {
        volume_figure(line.laid_m3.median, units)
    }));
    all.push(filled(
        format!("buy\n{}", plural(&topups.package.name, 2)),
        Stand::Right,
        0,
        &|line| wholes(&line.bought),
    ));
    all.push(filled("\nlikely".to_owned(), Stand::Right, 0, &|line| {
        format!("{:.0}", line.bought.median)
    }));
    if topups.package.price.is_some() {
        all.push(filled("cost".to_owned(), Stand::Right, 0, &|line| {
            line.cost.as_ref().map_or_else(String::new, moneys)
        }));
    }
    if shown.iter().any(|line| tenths(line.chance) < 10.0) {
        all.push(filled(
            "draws\nof 10".to_owned(),
            Stand::Right,
            0,
            &|line| format!("{:.0}", tenths(line.chance)),
        ));
    }
    all
}

fn laid_out(filled: &[Filled]) -> (Vec<Column>, Vec<Vec<String>>) {
    let columns = filled.iter().map(|filled| filled.column.clone()).collect();
    let count = filled.first().map_or(0, |filled| filled.cells.len());
    let row = |index: usize| {
        let cells = filled.iter().filter_map(|filled| filled.cells.get(index));
        cells.cloned().collect()
    };
    (columns, (0..count).map(row).collect())
}

fn width_of(filled: &[Filled]) -> usize {
    let (columns, rows) = laid_out(filled);
    width(&columns, &rows)
}

/// What all beds come to, year by year. None for the middle line alone.
pub(super) fn totals(asked: &TopupArguments, of_any: &TopUps) -> Option<String> {
    let together = &of_any.intervals.as_ref()?.together;
    let units = of_any.units;
    let mut columns = vec![
        Column::new("year", Stand::Left),
        Column::new(plural(asked.packs.called(), 2), Stand::Right),
        Column::new("likely", Stand::Right),
        Column::new("lay on", Stand::Right),
    ];
    if asked.packs.price.is_some() {
        columns.push(Column::new("cost", Stand::Right));
        columns.push(Column::new("likely", Stand::Right));
    }
    let years = together.years.iter();
    let years = years.filter(|year| year.sums.bought.upper >= 1.0);
    let years = years.map(|year| (year.year.to_string(), year.sums));
    let rows = years
        .chain([("all".to_owned(), together.all)])
        .map(|(name, sums): (String, Sums)| {
            let mut cells = vec![
                name,
                wholes(&sums.bought),
                format!("{:.0}", sums.bought.median),
                volumes(&sums.laid_m3, units),
            ];
            if let Some(cost) = sums.cost {
                cells.extend([moneys(&cost), money(cost.median)]);
            }
            cells
        })
        .collect();
    Some(format!(
        "\n{}{}",
        wrapped(
            &format!(
                "All {} beds together, each buying for itself; added up within each draw, in \
                 which beds of one file are alike.",
                together.beds
            ),
            TextWidth::PLAIN
        ),
        table(&columns, rows, asked.look)
    ))
}

/// The lists of all beds for a spreadsheet, with their ranges.
pub(super) fn csv<'a>(all: impl Iterator<Item = &'a TopUps>) -> Result<String, Trouble> {
    let mut heading: Vec<String> = [
        "bed",
        "beds",
        "number",
        "share_of_draws",
        "share_held_back",
        "date_low",
        "date_middle",
        "date_high",
        "order_by_low",
        "material",
        "sold_in",
    ]
    .map(str::to_owned)
    .to_vec();
    let ensemble_forecast = ["below_before_m", "laid_m3", "laid_kg", "bought", "cost"];
    heading.extend(
        ensemble_forecast
            .iter()
            .flat_map(|name| ["low", "middle", "high"].map(|end| format!("{name}_{end}"))),
    );
    let rows = all.flat_map(|topups| {
        let lines = topups.intervals.iter().flat_map(|bands| &bands.top_ups);
        lines.map(move |line| record(topups, line))
    });
    spreadsheet::csv(&heading, rows)
}

fn record(topups: &TopUps, line: &TopUpInterval) -> Vec<Cell> {
    let mut cells = vec![
        Cell::text(&topups.name),
        Cell::whole(topups.beds),
        Cell::whole(line.number),
        places(line.chance),
        places(line.chance_held_back),
        Cell::date(line.date.lower),
        Cell::date(line.date.median),
        Cell::date(line.date.upper),
        Cell::date(line.order_by.lower),
        Cell::text(&topups.material),
        Cell::text(&topups.package.name),
    ];
    let points = |band: &Interval| [band.lower, band.median, band.upper];
    for band in [
        &line.below_before_m,
        &line.laid_m3,
        &line.laid_kg,
        &line.bought,
    ] {
        cells.extend(points(band).map(places));
    }
    match &line.cost {
        Some(cost) => cells.extend(points(cost).map(|cost| Cell::Number(money(cost)))),
        None => cells.extend([Cell::EMPTY; 3]),
    }
    cells
}

/// A share in whole tenths.
fn tenths(share: f64) -> f64 {
    (share * 10.0).round()
}
