//! `moulder ledger`: the carbon of a bed year by year.

use clap::Args;
use moulder::internals::bed::Bed;
use moulder::internals::ledger::{
    CarbonLeft, Ledger, LedgerRow, LedgerRowIntervals, ledger_with_intervals,
};
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::amount::{weight_figure, weight_figure_to_a_tenth, weight_unit};
use moulder::internals::quantity::units::Units;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder_words::ledger::{
    burning_in_sentences, carbon_in_sentences, gases_in_sentences, how_sure,
};

use crate::common::assumed;
use crate::common::bed_file::BedArguments;
use crate::common::number::{SeedArguments, draws, months, number, realisations};
use crate::common::output::OutputArguments;
use crate::print::abreast::layers_abreast;
use crate::print::lines::{apart, plain, title};
use crate::print::look::Look;
use crate::print::screen::pretty;
use crate::print::spreadsheet::{Quantity, Sheet, SheetArguments, SheetUnits};
use crate::print::table::Table;
use crate::trouble::Trouble;

/// Months in a year.
const MONTHS_A_YEAR: u32 = 12;

#[derive(Debug, Args)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a switch that can be typed on its own"
)]
pub(crate) struct LedgerArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How many years to look ahead, at most 100
    #[arg(long, value_name = "N", default_value = "10", value_parser = years,
          conflicts_with = "months")]
    pub(crate) years: u32,

    /// How many months to look ahead instead, at most 1200
    #[arg(long, value_name = "N", value_parser = months)]
    pub(crate) months: Option<u32>,

    /// How many beds like it the ranges are reckoned from; 0 for one run with the best
    /// figures, no range, which is quick
    #[arg(long, value_name = "N", default_value = "32", value_parser = draws)]
    pub(crate) draws: u32,

    #[command(flatten)]
    pub(crate) seed: SeedArguments,

    /// Show the carbon of each layer as well
    #[arg(long)]
    pub(crate) layers: bool,

    /// List every value that was assumed because the bed file is silent, with its source
    #[arg(long)]
    pub(crate) defaults: bool,

    /// Write the whole ledger as JSON, for programs: all layers, in kilograms
    #[arg(long, conflicts_with = "csv")]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) sheet: SheetArguments,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

impl LedgerArguments {
    /// How many months to look ahead.
    pub(crate) fn months(&self) -> u32 {
        self.months.unwrap_or(self.years * MONTHS_A_YEAR)
    }
}

fn years(text: &str) -> Result<u32, String> {
    let limit = MONTHS_LIMIT / MONTHS_A_YEAR;
    let said = format!("a ledger looks 1 to {limit} whole years ahead");
    number(text, 1..=limit, said)
}

/// Below this the ends of an interval are shown to a tenth; kg.
const FEW_KG: f64 = 10.0;

/// The answer to what was asked.
pub(crate) fn answer(asked: &LedgerArguments) -> Result<String, Trouble> {
    let read = asked.bed.read()?;
    let first = read.dangers(asked.sheet.csv)?;
    let draws = realisations(asked.draws, asked.seed.seed);
    let ledger = read.run(asked.output.look, |bed, watch| {
        ledger_with_intervals(bed, asked.months(), draws, watch)
    })?;
    if asked.json {
        return Ok(pretty(&ledger));
    }
    if asked.sheet.csv {
        let units = asked.sheet.units(ledger.units);
        return Ok(csv(&ledger, asked.layers, units));
    }
    Ok(first + &in_words(&read.bed, &ledger, asked))
}

fn in_words(bed: &Bed, ledger: &Ledger, asked: &LedgerArguments) -> String {
    let mut said = String::new();
    if let Some(carbon) = carbon_in_sentences(ledger) {
        said += &plain(&carbon);
        said += &plain(&how_sure(ledger));
        said.push('\n');
    }
    said += &table(ledger, asked.output.look);
    if asked.layers {
        said += &layers(ledger, asked.output.look);
    }
    let after = [burning_in_sentences(ledger), gases_in_sentences(ledger)];
    for paragraph in after.into_iter().flatten() {
        said += &apart(&paragraph);
    }
    if asked.defaults {
        said += &assumed::listed(bed, true);
    } else {
        said += &assumed::in_short(bed);
    }
    said
}

/// What the rows are named by: years, or months where one of them is no whole year.
fn first_column(ledger: &Ledger) -> (&'static str, u32) {
    if ledger.rows.iter().all(|row| row.month.is_multiple_of(12)) {
        ("year", 12)
    } else {
        ("month", 1)
    }
}

/// The table of years under its heading.
fn table(ledger: &Ledger, look: Look) -> String {
    let units = ledger.units;
    let heading = format!(
        "Carbon left in {unit}, by what it lies in. The last two columns: {unit} of carbon \
         dioxide given off since filling, and how much of the wood's carbon is still wood.{}",
        if ledger.intervals.is_some() {
            " In 8 of 10 such beds all of it lies between low and high."
        } else {
            ""
        },
        unit = weight_unit(units)
    );
    let (first, months) = first_column(ledger);
    let rows: Vec<Row<'_>> = rows(ledger);
    let mut table = Table::of(&rows);
    table
        .right(first, |row| (row.is.month / months).to_string())
        .left("date", |row| row.is.date.to_string())
        .numbers(
            [
                "wood",
                "soft\nstuff",
                "soil,\ncompost",
                "humus\nmade",
                "all",
            ],
            |row| weights(&row.is.left).map(|kg| weight_figure_to_a_tenth(kg, units)),
        );
    if ledger.intervals.is_some() {
        table.numbers(["low", "high"], |row| {
            let all_kg = row
                .bands
                .map(|bands| [bands.all_kg.lower, bands.all_kg.upper]);
            all_kg.map_or_else(Default::default, |ends| {
                ends.map(|kg| {
                    if kg < FEW_KG {
                        weight_figure_to_a_tenth(kg, units)
                    } else {
                        weight_figure(kg, units)
                    }
                })
            })
        });
    }
    table
        .right("CO2\noff", |row| {
            weight_figure_to_a_tenth(row.is.released_co2_kg, units)
        })
        .right("wood\nheld", |row| {
            let share = row.is.wood_share;
            share.map_or_else(|| "-".to_owned(), |share| format!("{:.0} %", share * 100.0))
        });
    format!(
        "{}{}\n{}",
        title(&ledger.name, ledger.filled, &ledger.climate),
        plain(&heading),
        table.drawn(look)
    )
}

/// A row with its intervals; none for the nominal run alone.
struct Row<'a> {
    is: &'a LedgerRow,
    bands: Option<&'a LedgerRowIntervals>,
}

fn rows(ledger: &Ledger) -> Vec<Row<'_>> {
    let bands = ledger.intervals.as_ref();
    let rows = ledger.rows.iter();
    rows.map(|row| Row {
        is: row,
        bands: bands.and_then(|bands| bands.rows.iter().find(|bands| bands.month == row.month)),
    })
    .collect()
}

/// The tables of layers.
fn layers(ledger: &Ledger, look: Look) -> String {
    let units: Units = ledger.units;
    let (first, months) = first_column(ledger);
    let rows: Vec<(String, Vec<String>)> = ledger
        .rows
        .iter()
        .map(|row| {
            let layers = row.layers.iter();
            let cells = layers.map(|layer| weight_figure_to_a_tenth(layer.all_kg, units));
            ((row.month / months).to_string(), cells.collect())
        })
        .collect();
    let what = format!(
        "Carbon left in the layers in {}, where it lies now that some soil has trickled down",
        weight_unit(units)
    );
    layers_abreast(&what, &ledger.layers, first, &rows, look)
}

/// Carbon by what it lies in, and all of it.
const fn weights(left: &CarbonLeft) -> [f64; 5] {
    [
        left.wood_kg,
        left.soft_kg,
        left.soil_kg,
        left.humus_kg,
        left.all_kg,
    ]
}

/// What [`weights`] are called in a spreadsheet.
const WEIGHTS: [&str; 5] = ["wood", "soft", "soil", "humus", "carbon"];

/// What has a low and a high end in a spreadsheet.
type Banded = (
    &'static str,
    Quantity,
    fn(&LedgerRowIntervals) -> Option<Interval>,
);
const BANDED: [Banded; 5] = [
    ("wood", Quantity::Weight, |bands| Some(bands.wood_kg)),
    ("carbon", Quantity::Weight, |bands| Some(bands.all_kg)),
    ("carbon_left", Quantity::Plain, |bands| {
        Some(bands.left_share)
    }),
    ("wood_left", Quantity::Plain, |bands| bands.wood_share),
    ("co2_released", Quantity::Weight, |bands| {
        Some(bands.released_co2_kg)
    }),
];

/// The years for a spreadsheet.
fn csv(ledger: &Ledger, with_layers: bool, units: SheetUnits) -> String {
    let rows = rows(ledger);
    let mut sheet = Sheet::of(&rows, units);
    sheet
        .shown("month", |row| Some(row.is.month))
        .shown("date", |row| Some(row.is.date));
    for (index, name) in WEIGHTS.iter().enumerate() {
        sheet.measured(name, Quantity::Weight, |row| weights(&row.is.left)[index]);
    }
    sheet
        .number("carbon_left", |row| row.is.left_share)
        // Without wood there is none to be left, and the cell stays empty.
        .number("wood_left", |row| row.is.wood_share)
        .measured("carbon_released", Quantity::Weight, |row| {
            row.is.released_kg
        })
        .measured("co2_released", Quantity::Weight, |row| {
            row.is.released_co2_kg
        });
    if ledger.intervals.is_some() {
        for (name, quantity, band) in BANDED {
            sheet.ends_last(name, quantity, |row| row.bands.and_then(band));
        }
    }
    if with_layers {
        for layer in 0..ledger.layers.len() {
            for (index, name) in WEIGHTS.iter().enumerate() {
                let name = format!("layer_{}_{name}", layer + 1);
                sheet.measured(&name, Quantity::Weight, |row| {
                    weights(&row.is.layers[layer])[index]
                });
            }
        }
    }
    sheet.csv()
}
