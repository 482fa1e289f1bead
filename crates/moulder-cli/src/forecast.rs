//! `moulder forecast`: a bed month by month.

use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::fault::{FaultCode, Place};
use moulder::internals::forecast::intervals::MonthIntervals;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::forecast::{Forecast, LayerMonth, Month, forecast};
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::amount::{water_figure, water_unit};
use moulder::internals::quantity::height::figure;
use moulder::internals::quantity::units::Units;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder_words::forecast::{chance_in_a_sentence, how_sure, in_a_sentence};
use moulder_words::nitrogen::nitrogen_in_a_sentence;
use moulder_words::warmth::{degrees, temperature_figure, warmth_in_a_sentence};
use moulder_words::water::{water_in_a_sentence, weather_in_a_sentence};

use crate::abreast::layers_abreast;
use crate::arguments::{ForecastArguments, LayersShow};
use crate::bed_file::BedFile;
use crate::columns::{ALL, Columns, Kind, Named};
use crate::lines::{TextWidth, WIDTH, wrapped};
use crate::output::pretty;
use crate::progress::Progress;
use crate::refusal::Refusal;
use crate::spreadsheet::{self, Cell, places};
use crate::table::{Column, Stand, table, width};
use crate::trouble::Trouble;
use crate::{assumed, notices};

/// Columns shown when none are named: the first of all.
const USUAL: usize = 9;

/// The answer to what was asked.
pub(crate) fn answer(asked: &ForecastArguments) -> Result<String, Trouble> {
    let file = BedFile::open(&asked.bed.bed)?;
    let bed = file.read(&asked.bed)?;
    if asked.deeper_than.is_some() && bed.rim_m().is_none() {
        let said = "A bed without a rim lies below none: leave --deeper-than out.";
        return Err(Trouble::bad_option("--deeper-than", said));
    }
    if asked.deeper_than.is_some() && asked.draws == 0 {
        let said = "The middle line alone tells no chance: leave --draws 0 out.";
        return Err(Trouble::bad_option("--draws", said));
    }
    let first = notices::first_of(std::iter::once((&bed, &*file.file.name)))?;
    if asked.csv {
        notices::aside(&first);
    }
    let draws = Realisations {
        ensemble_size: asked.draws,
        seed: asked.seed,
        deeper_than_m: asked.deeper_than,
    };
    let mut forecast =
        forecast_with_intervals(&bed, asked.months, draws, &Progress::of(asked.look).watch())
            .map_err(|error| refused(&file.file.name, error))?;
    if asked.defaults && asked.months > 0 {
        let (months, name) = (asked.months, &file.file.name);
        forecast.defaults = assumed::widths(&bed, months, asked.look, name)?;
    }
    if asked.json {
        return Ok(pretty(&forecast));
    }
    let rows = shown(&forecast.months, asked.every);
    if asked.csv {
        return csv(&forecast, &rows, asked.layers.then_some(asked.layers_show));
    }
    Ok(first + &in_words(&bed, &forecast, &rows, asked)?)
}

/// The forecast of a bed that was read from the file of that name.
pub(crate) fn of(bed: &Bed, months: u32, name: &str) -> Result<Forecast, Trouble> {
    forecast(bed, months, &unwatched).map_err(|error| refused(name, error))
}

/// Why there is no forecast of the bed that was read from the file of that name.
pub(crate) fn refused(name: &str, error: Error) -> Trouble {
    let refused = |code| Refusal::new(code, format!("{name}: {error}.")).file(name);
    let option = |option| Trouble::bad_input(refused(FaultCode::BadOption).option(option));
    match error {
        Error::Stopped => Trouble::cannot(refused(FaultCode::Unfinished)),
        // The layers of a file that was read find room: it is what was laid on later.
        Error::NoRoom(_) => {
            let pointer = "/added".to_owned();
            let refusal = refused(FaultCode::NoRoom).path(&pointer);
            Trouble::bad_input(refusal.at(Place::Pointer { pointer }))
        }
        Error::NoReading => Trouble::bad_input(refused(FaultCode::MissingField).path("/reading")),
        Error::NoSoil => option("--with"),
        Error::TooManyDraws { .. } | Error::TooFewDraws { .. } | Error::TooMuchToHold { .. } => {
            option("--draws")
        }
        _ => option("--months"),
    }
}

/// Every Nth month, and the last.
fn shown(months: &[Month], every: u32) -> Vec<&Month> {
    let last = months.last().map_or(0, |row| row.month);
    months
        .iter()
        .filter(|row| row.month % every == 0 || row.month == last)
        .collect()
}

fn in_words(
    bed: &Bed,
    forecast: &Forecast,
    rows: &[&Month],
    asked: &ForecastArguments,
) -> Result<String, Trouble> {
    let mut said = String::new();
    if let Some(sentence) = in_a_sentence(forecast) {
        said.push_str(&wrapped(&sentence, TextWidth::PLAIN));
        if let Some(chance) = chance_in_a_sentence(forecast) {
            said.push_str(&wrapped(&chance, TextWidth::PLAIN));
        }
        said.push_str(&wrapped(&how_sure(forecast), TextWidth::PLAIN));
        said.push('\n');
    }
    said.push_str(&months(forecast, rows, asked)?);
    if asked.layers {
        said.push_str(&layers(forecast, rows, asked));
    }
    said.push_str(&weather_told(forecast));
    said.push_str(&notices::in_short(&forecast.notices, &forecast.layers));
    if asked.defaults && asked.months > 0 {
        said.push_str(&assumed::by_width(bed, &forecast.defaults, asked.months));
    } else if asked.defaults {
        said.push_str(&assumed::listed(bed, true));
    } else {
        said.push_str(&assumed::in_short(bed));
    }
    Ok(said)
}

/// Warmth and water in a paragraph; nothing for day zero alone.
fn weather_told(forecast: &Forecast) -> String {
    let (Some(warmth), Some(water)) = (
        warmth_in_a_sentence(forecast),
        water_in_a_sentence(forecast),
    ) else {
        return String::new();
    };
    let weather = weather_in_a_sentence(forecast);
    let said = format!("{warmth} {water} {weather}");
    let nitrogen = nitrogen_in_a_sentence(forecast);
    format!(
        "\n{}{}",
        wrapped(&said, TextWidth::PLAIN),
        nitrogen.map_or_else(String::new, |said| format!(
            "\n{}",
            wrapped(&said, TextWidth::PLAIN)
        ))
    )
}

/// The table of months under its heading.
fn months(
    forecast: &Forecast,
    rows: &[&Month],
    asked: &ForecastArguments,
) -> Result<String, Trouble> {
    let title = format!(
        "{}, filled {}, {}",
        forecast.name, forecast.filled, forecast.climate
    );
    let mut shown: Vec<&Named> = match &asked.columns {
        Some(Columns(named)) => named.clone(),
        None => ALL[..USUAL]
            .iter()
            .filter(|column| match column.kind {
                Kind::End(_) => !forecast.intervals.is_empty(),
                // A mound has no rim to be below.
                _ => column.name != "below-rim" || forecast.rim_m.is_some(),
            })
            .collect(),
    };
    let (mut columns, mut cells) = laid_out(forecast, &shown, rows);
    if asked.columns.is_none() && width(&columns, &cells) > WIDTH {
        // The last four columns add up to it.
        shown.retain(|column| column.name != "sunk");
        (columns, cells) = laid_out(forecast, &shown, rows);
    }
    let wide = width(&columns, &cells);
    if wide > WIDTH {
        let said = format!(
            "These columns make a table {wide} characters wide, and {WIDTH} are shown. Leave \
             some out, or take --csv, which has them all."
        );
        return Err(Trouble::bad_option("--columns", said));
    }
    let heading = heading(forecast, &shown, rows);
    Ok(format!(
        "{}{}\n{}",
        wrapped(&title, TextWidth::PLAIN),
        if heading.is_empty() {
            heading
        } else {
            wrapped(&heading, TextWidth::PLAIN)
        },
        table(&columns, cells, asked.look)
    ))
}

/// The columns of a table and its cells.
fn laid_out(
    forecast: &Forecast,
    shown: &[&Named],
    rows: &[&Month],
) -> (Vec<Column>, Vec<Vec<String>>) {
    let units = forecast.units;
    let mut columns = vec![
        Column::new("month", Stand::Right),
        Column::new("date", Stand::Left),
    ];
    let headings = shown.iter().map(|column| column.heading(units));
    columns.extend(headings.map(|heading| Column::new(heading, Stand::Right)));
    let cells = rows
        .iter()
        .map(|row| {
            let bands = bands_of(forecast, row);
            let figures = shown.iter().map(|column| column.cell(row, bands, units));
            [row.month.to_string(), row.date.to_string()]
                .into_iter()
                .chain(figures)
                .collect()
        })
        .collect();
    (columns, cells)
}

/// The bands of a row; none for the middle line alone.
fn bands_of<'a>(forecast: &'a Forecast, row: &Month) -> Option<&'a MonthIntervals> {
    forecast
        .intervals
        .iter()
        .find(|bands| bands.month == row.month)
}

/// What is said of the columns before the table; nothing where there is no height.
fn heading(forecast: &Forecast, shown: &[&Named], rows: &[&Month]) -> String {
    let units = forecast.units;
    let has = |name: &str| shown.iter().any(|column| column.name == name);
    let heights = shown
        .iter()
        .any(|column| matches!(column.kind, Kind::Height(_) | Kind::End(_)));
    if !heights {
        return String::new();
    }
    let mut said = format!("Heights in {}.", unit_in_words(units));
    let causes = ["settling", "sifting", "soft", "wood"];
    if shown.len() >= causes.len() && shown[shown.len() - 4..].iter().map(|c| c.name).eq(causes) {
        said.push_str(" The last four columns are where it went: they add up to what has sunk.");
    }
    if has("low") && has("high") && !forecast.intervals.is_empty() {
        said.push_str(if forecast.rim_m.is_some() {
            " Four times in five it lies between low and high below the rim."
        } else {
            " Four times in five it stands between low and high."
        });
    }
    let minus = |row: &&Month| {
        let low_m = bands_of(forecast, row).and_then(|bands| bands.below_rim_m);
        let lowest_m = low_m.map(|band| band.lower).or(row.below_rim_m);
        lowest_m.is_some_and(|below_m| figure(below_m, units).starts_with('-'))
    };
    if has("below-rim") && rows.iter().any(minus) {
        said.push_str(" Below the rim, a minus means above it.");
    }
    said
}

/// The unit of a heading ("in in" would be a riddle).
pub(crate) const fn unit_in_words(units: Units) -> &'static str {
    match units {
        Units::Metric => "cm",
        Units::Us | Units::UkGarden => "inches",
    }
}

/// What is shown of a layer, in the owner's units.
fn layer_cell(layer: &LayerMonth, show: LayersShow, units: Units) -> String {
    match show {
        LayersShow::Thickness => figure(layer.thickness_m, units),
        LayersShow::Warmth => temperature_figure(layer.temperature_c, units),
        LayersShow::Water => water_figure(layer.water_l, units),
        LayersShow::Airless => format!("{:.0}", layer.airless_days),
    }
}

/// The tables of layers.
fn layers(forecast: &Forecast, rows: &[&Month], asked: &ForecastArguments) -> String {
    let (units, show) = (forecast.units, asked.layers_show);
    let what = match show {
        LayersShow::Thickness => format!("Thickness of the layers in {}", unit_in_words(units)),
        LayersShow::Warmth => format!("Mean temperature of the layers in {}", degrees(units)),
        LayersShow::Water => format!("Water in the layers in {}", water_unit(units)),
        LayersShow::Airless => "Days of the month without enough air in the layers".to_owned(),
    };
    let rows: Vec<(String, Vec<String>)> = rows
        .iter()
        .map(|row| {
            let cells = row.layers.iter();
            let cells = cells.map(|layer| layer_cell(layer, show, units)).collect();
            (row.month.to_string(), cells)
        })
        .collect();
    layers_abreast(&what, &forecast.layers, "month", &rows, asked.look)
}

/// Figures whose bands a spreadsheet has: name, unit, and where they stand.
type Banded = (
    &'static str,
    &'static str,
    fn(&MonthIntervals) -> Option<Interval>,
);
static BANDED: [Banded; 4] = [
    ("height", "m", |bands| Some(bands.height_m)),
    ("below_rim", "m", |bands| bands.below_rim_m),
    ("sunk", "m", |bands| Some(bands.settlement_m)),
    ("carbon", "kg", |bands| Some(bands.carbon_kg)),
];

/// The months for a spreadsheet: metres, kilograms, litres and degrees Celsius whatever
/// the owner's units; of each layer what was asked for.
fn csv(
    forecast: &Forecast,
    rows: &[&Month],
    layers: Option<LayersShow>,
) -> Result<String, Trouble> {
    let mut heading: Vec<String> = [
        "month",
        "date",
        "height_m",
        "below_rim_m",
        "sunk_m",
        "added_m",
        "settling_m",
        "sifting_m",
        "soft_rot_m",
        "wood_rot_m",
        "carbon_kg",
        "carbon_left",
        "carbon_released_kg",
        "wet_kg",
        "load_kpa",
        "water_l",
        "water_in_wood",
        "root_zone_c",
        "root_zone_lift_c",
        "warm_days",
        "warm_days_open_ground",
        "nitrogen_organic_kg",
        "nitrogen_mineral_kg",
        "nitrogen_root_zone_g_m2",
        "nitrogen_freed_g_m2",
        "nitrogen_wanted_g_m2",
        "nitrogen_taken_g_m2",
        "nitrogen_leached_g_m2",
    ]
    .map(str::to_owned)
    .to_vec();
    if !forecast.intervals.is_empty() {
        for (figure, unit, _) in BANDED {
            heading.extend(["low", "high"].map(|end| format!("{figure}_{end}_{unit}")));
        }
        if forecast.deeper_than_m.is_some() {
            heading.push("chance_deeper".to_owned());
        }
    }
    if let Some(show) = layers {
        let what = match show {
            LayersShow::Thickness => "thickness_m",
            LayersShow::Warmth => "temperature_c",
            LayersShow::Water => "water_l",
            LayersShow::Airless => "airless_days",
        };
        heading.extend((1..=forecast.layers.len()).map(|n| format!("layer_{n}_{what}")));
    }
    let records = rows
        .iter()
        .map(|row| record_of(row, bands_of(forecast, row), layers));
    spreadsheet::csv(&heading, records)
}

/// A row for a spreadsheet.
fn record_of(row: &Month, bands: Option<&MonthIntervals>, layers: Option<LayersShow>) -> Vec<Cell> {
    let split = &row.parts;
    let mut cells = vec![
        Cell::whole(row.month),
        Cell::date(row.date),
        places(row.height_m),
    ];
    // A mound has no rim, and its cells stay empty.
    cells.push(row.below_rim_m.map_or(Cell::EMPTY, places));
    cells.extend(
        [
            row.settlement_m,
            row.added_m,
            split.mechanical_m,
            split.fines_migration_m,
            split.nonwoody_decay_m,
            split.wood_decay_m,
            row.carbon_kg,
            row.carbon_left,
            row.carbon_released_kg,
            row.total_mass_kg,
            row.vertical_stress_kpa,
            row.water_l,
            row.water_in_wood,
            row.root_zone_c,
            row.root_zone_lift_c,
            row.warm_days,
            row.warm_days_open_ground,
            row.nitrogen.organic_kg,
            row.nitrogen.mineral_kg,
            row.nitrogen.root_zone_g_m2,
            row.nitrogen.mineralised_g_m2,
            row.nitrogen.crop_demand_g_m2,
            row.nitrogen.crop_uptake_g_m2,
            row.nitrogen.leached_g_m2,
        ]
        .map(places),
    );
    if let Some(bands) = bands {
        for (_, _, band) in BANDED {
            let ends = band(bands).map(|band| [band.lower, band.upper]);
            cells.extend(ends.map_or([Cell::EMPTY; 2], |ends| ends.map(places)));
        }
        cells.extend(bands.chance_deeper.map(places));
    }
    if let Some(show) = layers {
        let of = |layer: &LayerMonth| match show {
            LayersShow::Thickness => layer.thickness_m,
            LayersShow::Warmth => layer.temperature_c,
            LayersShow::Water => layer.water_l,
            LayersShow::Airless => layer.airless_days,
        };
        cells.extend(row.layers.iter().map(|layer| places(of(layer))));
    }
    cells
}
