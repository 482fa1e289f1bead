//! `moulder forecast`: a bed month by month.

use moulder::bed::{Bed, Units};
use moulder::forecast::{Forecast, ForecastError, MonthRow, forecast};
use moulder::sentence::{NO_BAND, in_a_sentence};
use moulder::tape::figure;
use moulder::watcher::Unwatched;

use crate::arguments::{ForecastArguments, Look};
use crate::bed_file::BedFile;
use crate::lines::{TextWidth, WIDTH, wrapped};
use crate::output::pretty;
use crate::table::{Column, Stand, table};
use crate::trouble::Trouble;
use crate::{assumed, notices};

/// Width of the month column and of a column of thicknesses, gaps included; characters.
const MONTH_COLUMN: usize = 5;
const GAP: usize = 2;
/// The widest thickness there can be ("1000.0", ten metres).
const THICKNESS: usize = 6;

/// The answer to what was asked.
pub(crate) fn answer(asked: &ForecastArguments) -> Result<String, Trouble> {
    let file = BedFile::open(&asked.bed.bed)?;
    let bed = file.read(&asked.bed, false)?;
    let forecast = of(&bed, asked.months, &file.file.name)?;
    if asked.json {
        return Ok(pretty(&forecast));
    }
    let rows = shown(&forecast.months, asked.every);
    if asked.csv {
        return csv(&forecast, &rows, asked.layers);
    }
    Ok(in_words(&bed, &forecast, &rows, asked))
}

/// The forecast of a bed that was read from the file of that name.
pub(crate) fn of(bed: &Bed, months: u32, name: &str) -> Result<Forecast, Trouble> {
    forecast(bed, months, &mut Unwatched).map_err(|error| {
        let said = format!("{name}: {error}.");
        match error {
            ForecastError::Stopped => Trouble::cannot(&said),
            _ => Trouble::bad_input(&said),
        }
    })
}

/// Every Nth month, and the last.
fn shown(months: &[MonthRow], every: u32) -> Vec<&MonthRow> {
    let last = months.last().map_or(0, |row| row.month);
    months
        .iter()
        .filter(|row| row.month % every == 0 || row.month == last)
        .collect()
}

fn in_words(
    bed: &Bed,
    forecast: &Forecast,
    rows: &[&MonthRow],
    asked: &ForecastArguments,
) -> String {
    let mut said = String::new();
    if let Some(sentence) = in_a_sentence(forecast) {
        said.push_str(&wrapped(&sentence, TextWidth::PLAIN));
        said.push_str(&wrapped(NO_BAND, TextWidth::PLAIN));
        said.push('\n');
    }
    said.push_str(&months(forecast, rows, asked.look));
    if asked.layers {
        said.push_str(&layers(forecast, rows, asked.look));
    }
    said.push_str(&notices::told(&forecast.notices, &forecast.layers));
    if asked.defaults {
        said.push_str(&assumed::listed(bed, true));
    } else {
        said.push_str(&assumed::in_short(bed));
    }
    said
}

/// The table of months under its heading.
fn months(forecast: &Forecast, rows: &[&MonthRow], look: Look) -> String {
    let units = forecast.units;
    let title = format!(
        "{}, filled {}, {}",
        forecast.name, forecast.filled, forecast.climate
    );
    let mut heading = format!(
        "Heights in {}. The last four columns are where it went: they add up to what has sunk.",
        unit_in_words(units)
    );
    let minus = |row: &&MonthRow| {
        row.below_rim_m
            .is_some_and(|below_m| figure(below_m, units).starts_with('-'))
    };
    if rows.iter().any(minus) {
        heading.push_str(" Below the rim, a minus means above it.");
    }
    let mut columns = vec![
        Column::new("month", Stand::Right),
        Column::new("date", Stand::Left),
        Column::new("height", Stand::Right),
        Column::new("sunk", Stand::Right),
    ];
    if forecast.rim_m.is_some() {
        columns.push(Column::new("below\nthe rim", Stand::Right));
    }
    for cause in ["settling", "sifting", "soft\nstuff", "wood"] {
        columns.push(Column::new(cause, Stand::Right));
    }
    let rows = rows
        .iter()
        .map(|row| {
            let mut cells = vec![row.month.to_string(), row.date.clone()];
            let split = &row.split;
            let heights = [Some(row.height_m), Some(row.sunk_m), row.below_rim_m];
            let causes = [
                split.settling_m,
                split.sifting_m,
                split.soft_rot_m,
                split.wood_rot_m,
            ];
            let all = heights.into_iter().flatten().chain(causes);
            cells.extend(all.map(|height_m| figure(height_m, units)));
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

/// The unit of a heading ("in in" would be a riddle).
const fn unit_in_words(units: Units) -> &'static str {
    match units {
        Units::Metric => "cm",
        Units::Us | Units::UkGarden => "inches",
    }
}

/// The tables of layers: side by side as many as the screen holds, then the next ones.
fn layers(forecast: &Forecast, rows: &[&MonthRow], look: Look) -> String {
    let units = forecast.units;
    let mut said = format!(
        "\nThickness of the layers in {}, numbered from the ground up.\n",
        unit_in_words(units)
    );
    for (index, name) in forecast.layers.iter().enumerate() {
        let name = format!("{}. {name}", index + 1);
        said.push_str(&wrapped(&name, TextWidth::hanging(2, 5)));
    }
    let abreast = (WIDTH - MONTH_COLUMN) / (THICKNESS + GAP);
    let numbers: Vec<usize> = (0..forecast.layers.len()).collect();
    for block in numbers.chunks(abreast) {
        let mut columns = vec![Column::new("month", Stand::Right)];
        for index in block {
            columns.push(Column::new((index + 1).to_string(), Stand::Right));
        }
        let rows = rows
            .iter()
            .map(|row| {
                let thicknesses = block.iter().filter_map(|index| row.layers.get(*index));
                let cells = thicknesses.map(|layer| figure(layer.thickness_m, units));
                std::iter::once(row.month.to_string())
                    .chain(cells)
                    .collect()
            })
            .collect();
        said.push('\n');
        said.push_str(&table(&columns, rows, look));
    }
    said
}

/// The months for a spreadsheet: metres and kilograms whatever the owner's units.
fn csv(forecast: &Forecast, rows: &[&MonthRow], layers: bool) -> Result<String, Trouble> {
    let mut heading: Vec<String> = [
        "month",
        "date",
        "height_m",
        "below_rim_m",
        "sunk_m",
        "settling_m",
        "sifting_m",
        "soft_rot_m",
        "wood_rot_m",
        "carbon_kg",
        "carbon_left",
        "carbon_released_kg",
        "wet_kg",
    ]
    .map(str::to_owned)
    .to_vec();
    if layers {
        heading.extend((1..=forecast.layers.len()).map(|n| format!("layer_{n}_thickness_m")));
    }
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut record = writer.write_record(&heading);
    for row in rows {
        if record.is_err() {
            break;
        }
        let split = &row.split;
        let mut cells = vec![
            row.month.to_string(),
            row.date.clone(),
            places(row.height_m),
        ];
        // A mound has no rim, and its cells stay empty.
        cells.push(row.below_rim_m.map_or_else(String::new, places));
        cells.extend(
            [
                row.sunk_m,
                split.settling_m,
                split.sifting_m,
                split.soft_rot_m,
                split.wood_rot_m,
                row.carbon_kg,
                row.carbon_left,
                row.carbon_released_kg,
                row.wet_kg,
            ]
            .map(places),
        );
        if layers {
            cells.extend(row.layers.iter().map(|layer| places(layer.thickness_m)));
        }
        record = writer.write_record(&cells);
    }
    record
        .map_err(|error| error.to_string())
        .and_then(|()| writer.into_inner().map_err(|error| error.to_string()))
        .and_then(|bytes| String::from_utf8(bytes).map_err(|error| error.to_string()))
        .map_err(|error| Trouble::cannot(&format!("The table cannot be written: {error}.")))
}

/// A number to five places: a hundredth of a millimetre, of a gram, of a thousandth part.
fn places(value: f64) -> String {
    let text = format!("{value:.5}");
    if text == "-0.00000" {
        "0.00000".to_owned()
    } else {
        text
    }
}
