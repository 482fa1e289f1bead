//! `moulder ledger`: the carbon of a bed year by year.

use moulder::internals::bed::Bed;
use moulder::internals::ledger::{
    CarbonLeft, Ledger, LedgerRow, LedgerRowIntervals, ledger_with_intervals,
};
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::amount::{weight_figure, weight_figure_to_a_tenth, weight_unit};
use moulder::internals::quantity::units::Units;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_words::ledger::{
    burning_in_sentences, carbon_in_sentences, gases_in_sentences, how_sure,
};

use crate::abreast::layers_abreast;
use crate::arguments::{LedgerArguments, Look};
use crate::bed_file::BedFile;
use crate::lines::{TextWidth, wrapped};
use crate::output::pretty;
use crate::progress::Progress;
use crate::spreadsheet::{self, Cell, places};
use crate::table::{Column, Stand, table};
use crate::trouble::Trouble;
use crate::{assumed, forecast, notices};

/// Below this the ends of a band are told to a tenth; kg.
const FEW_KG: f64 = 10.0;

/// The answer to what was asked.
pub(crate) fn answer(asked: &LedgerArguments) -> Result<String, Trouble> {
    let file = BedFile::open(&asked.bed.bed)?;
    let bed = file.read(&asked.bed)?;
    let first = notices::first_of(std::iter::once((&bed, &*file.file.name)))?;
    if asked.csv {
        notices::aside(&first);
    }
    let draws = Realisations {
        ensemble_size: asked.draws,
        seed: asked.seed,
        ..Realisations::default()
    };
    let progress = Progress::of(asked.look);
    let ledger = ledger_with_intervals(&bed, asked.months(), draws, &progress.watch())
        .map_err(|error| forecast::refused(&file.file.name, error))?;
    if asked.json {
        return Ok(pretty(&ledger));
    }
    if asked.csv {
        return csv(&ledger, asked.layers);
    }
    Ok(first + &in_words(&bed, &ledger, asked))
}

fn in_words(bed: &Bed, ledger: &Ledger, asked: &LedgerArguments) -> String {
    let mut said = String::new();
    if let Some(carbon) = carbon_in_sentences(ledger) {
        said.push_str(&wrapped(&carbon, TextWidth::PLAIN));
        said.push_str(&wrapped(&how_sure(ledger), TextWidth::PLAIN));
        said.push('\n');
    }
    said.push_str(&years(ledger, asked.look));
    if asked.layers {
        said.push_str(&layers(ledger, asked.look));
    }
    let after = [burning_in_sentences(ledger), gases_in_sentences(ledger)];
    for paragraph in after.into_iter().flatten() {
        said.push('\n');
        said.push_str(&wrapped(&paragraph, TextWidth::PLAIN));
    }
    if asked.defaults {
        said.push_str(&assumed::listed(bed, true));
    } else {
        said.push_str(&assumed::in_short(bed));
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
fn years(ledger: &Ledger, look: Look) -> String {
    let units = ledger.units;
    let title = format!(
        "{}, filled {}, {}",
        ledger.name, ledger.filled, ledger.climate
    );
    let heading = format!(
        "Carbon left in {unit}, by what it lies in. The last two columns: {unit} of carbon \
         dioxide given off since filling, and how much of the wood's carbon is still wood.{}",
        if ledger.intervals.is_some() {
            " Four times in five all of it lies between low and high."
        } else {
            ""
        },
        unit = weight_unit(units)
    );
    let (first, months) = first_column(ledger);
    let mut columns = vec![
        Column::new(first, Stand::Right),
        Column::new("date", Stand::Left),
        Column::new("wood", Stand::Right),
        Column::new("soft\nstuff", Stand::Right),
        Column::new("soil,\ncompost", Stand::Right),
        Column::new("humus\nmade", Stand::Right),
        Column::new("all", Stand::Right),
    ];
    if ledger.intervals.is_some() {
        columns.extend(["low", "high"].map(|end| Column::new(end, Stand::Right)));
    }
    columns.extend([
        Column::new("CO2\noff", Stand::Right),
        Column::new("wood\nheld", Stand::Right),
    ]);
    let rows = ledger
        .rows
        .iter()
        .map(|row| {
            let mut cells = vec![(row.month / months).to_string(), row.date.to_string()];
            cells.extend(weights(&row.left).map(|kg| weight_figure_to_a_tenth(kg, units)));
            if let Some(Interval {
                lower: low,
                upper: high,
                ..
            }) = bands_of(ledger, row).map(|bands| bands.all_kg)
            {
                cells.extend([low, high].map(|kg| {
                    if kg < FEW_KG {
                        weight_figure_to_a_tenth(kg, units)
                    } else {
                        weight_figure(kg, units)
                    }
                }));
            }
            cells.push(weight_figure_to_a_tenth(row.released_co2_kg, units));
            cells.push(
                row.wood_share
                    .map_or_else(|| "-".to_owned(), |share| format!("{:.0} %", share * 100.0)),
            );
            cells
        })
        .collect();
    format!(
        "{}{}\n{}",
        wrapped(&title, TextWidth::PLAIN),
        wrapped(&heading, TextWidth::PLAIN),
        table(&columns, rows, look)
    )
}

/// The bands of a row; none for the middle line alone.
fn bands_of<'a>(ledger: &'a Ledger, row: &LedgerRow) -> Option<&'a LedgerRowIntervals> {
    let rows = &ledger.intervals.as_ref()?.rows;
    rows.iter().find(|bands| bands.month == row.month)
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
const WEIGHTS: [&str; 5] = ["wood_kg", "soft_kg", "soil_kg", "humus_kg", "carbon_kg"];

/// What has a low and a high end in a spreadsheet.
const BANDED: [&str; 5] = [
    "wood_kg",
    "carbon_kg",
    "carbon_left",
    "wood_left",
    "co2_released_kg",
];

/// The years for a spreadsheet: kilograms of carbon whatever the owner's units.
fn csv(ledger: &Ledger, with_layers: bool) -> Result<String, Trouble> {
    let mut heading = vec!["month".to_owned(), "date".to_owned()];
    heading.extend(WEIGHTS.map(str::to_owned));
    let shares = [
        "carbon_left",
        "wood_left",
        "carbon_released_kg",
        "co2_released_kg",
    ];
    heading.extend(shares.map(str::to_owned));
    if ledger.intervals.is_some() {
        let ends = BANDED.map(|name| ["low", "high"].map(|end| format!("{name}_{end}")));
        heading.extend(ends.into_iter().flatten());
    }
    if with_layers {
        for number in 1..=ledger.layers.len() {
            heading.extend(WEIGHTS.map(|weight| format!("layer_{number}_{weight}")));
        }
    }
    let rows = ledger.rows.iter();
    let records = rows.map(|row| record_of(row, bands_of(ledger, row), with_layers));
    spreadsheet::csv(&heading, records)
}

/// A row for a spreadsheet.
fn record_of(row: &LedgerRow, bands: Option<&LedgerRowIntervals>, with_layers: bool) -> Vec<Cell> {
    let mut cells = vec![Cell::whole(row.month), Cell::date(row.date)];
    cells.extend(weights(&row.left).map(places));
    cells.push(places(row.left_share));
    // Without wood there is none to be left, and the cell stays empty.
    cells.push(row.wood_share.map_or(Cell::EMPTY, places));
    cells.extend([row.released_kg, row.released_co2_kg].map(places));
    if let Some(bands) = bands {
        let ensemble_forecast = [
            Some(bands.wood_kg),
            Some(bands.all_kg),
            Some(bands.left_share),
            bands.wood_share,
            Some(bands.released_co2_kg),
        ];
        for band in ensemble_forecast {
            let end = |end: fn(&Interval) -> f64| {
                let band = band.as_ref();
                band.map_or(Cell::EMPTY, |band| places(end(band)))
            };
            cells.extend([end(|band| band.lower), end(|band| band.upper)]);
        }
    }
    if with_layers {
        let layers = row.layers.iter();
        cells.extend(layers.flat_map(|layer| weights(layer).map(places)));
    }
    cells
}
