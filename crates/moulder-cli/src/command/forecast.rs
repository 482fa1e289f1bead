//! `moulder forecast`: a bed month by month.

use clap::{Args, ValueEnum};
use moulder::internals::bed::Bed;
use moulder::internals::fit::current::current_forecast;
use moulder::internals::forecast::intervals::MonthIntervals;
use moulder::internals::forecast::{Forecast, LayerMonth, Month};
use moulder::internals::quantity::amount::{water_figure, water_unit};
use moulder::internals::quantity::height::{figure, in_unit, spelt};
use moulder::internals::quantity::units::Units;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::months_measured;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_bridge::recipe::ahead::as_of;
use moulder_words::climate::estimate_in_words;
use moulder_words::feeding::{doses_in_words, month_name, twelve_months};
use moulder_words::forecast::{
    bands_of, chance_in_a_sentence, how_sure, in_a_sentence, spoken_date,
};
use moulder_words::nitrogen::nitrogen_in_a_sentence;
use moulder_words::parts::row_adding_up;
use moulder_words::warmth::{degrees, temperature_figure, warmth_in_a_sentence};
use moulder_words::water::{water_in_a_sentence, weather_in_a_sentence};

use crate::common::assumed;
use crate::common::bed_file::{BedArguments, ReadBed};
use crate::common::clock::ClockArguments;
use crate::common::feed::FeedArguments;
use crate::common::number::{EveryArguments, draws, height, months, realisations};
use crate::common::output::OutputArguments;
use crate::print::abreast::layers_abreast;
use crate::print::columns::{ALL, ColumnNames, Columns, Kind, Named};
use crate::print::lines::{WIDTH, apart, plain, title};
use crate::print::notices;
use crate::print::screen::pretty;
use crate::print::spreadsheet::{Quantity, Sheet, SheetArguments, SheetUnits};
use crate::print::table::Table;
use crate::trouble::Trouble;

#[derive(Debug, Args)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a switch that can be typed on its own"
)]
pub(crate) struct ForecastArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How many months after filling to tell, at most 1200 (a hundred years); 12 if nothing is
    /// said, and a year beyond the last tape reading
    #[arg(long, value_name = "N", value_parser = months)]
    pub(crate) months: Option<u32>,

    #[command(flatten)]
    pub(crate) every: EveryArguments,

    /// How many beds like it the range is reckoned from; 0 for one run with the best figures,
    /// no range, which is quick
    #[arg(long, value_name = "N", default_value = "64", value_parser = draws)]
    pub(crate) draws: u32,

    /// Another number makes up other beds like it; the same number gives the same range
    #[arg(long, value_name = "N", default_value = "1")]
    pub(crate) seed: u64,

    /// Tell the chance that it lies deeper below the rim than this, as in "30 cm"
    #[arg(long, value_name = "HEIGHT", value_parser = height)]
    pub(crate) deeper_than: Option<f64>,

    /// The columns of the table, with commas between, as in sunk,water,warmth; "help" lists
    /// them all
    #[arg(long, value_name = "NAMES", value_parser = ColumnNames,
          conflicts_with_all = ["json", "csv"])]
    pub(crate) columns: Option<Columns>,

    /// Show how thick each layer is as well
    #[arg(long)]
    pub(crate) layers: bool,

    /// What to show of each layer instead of its thickness
    #[arg(
        long,
        value_enum,
        value_name = "WHAT",
        requires = "layers",
        default_value = "thickness",
        hide_possible_values = true,
        hide_default_value = true,
        help = "What to show of each layer: thickness (if not given), warmth, water or airless"
    )]
    pub(crate) layers_show: LayersShow,

    #[command(flatten)]
    pub(crate) feed: FeedArguments,

    #[command(flatten)]
    pub(crate) clock: ClockArguments,

    /// List every value that was assumed because the bed file is silent, with its source and
    /// how far it widens the range of what has sunk by the last month; takes two forecasts each,
    /// and of a bed of more than a hundred ingredients leaves out those on which little of it rests
    #[arg(long)]
    pub(crate) defaults: bool,

    /// Write the whole forecast as JSON, for programs: all months, in metres and kilograms
    #[arg(long, conflicts_with = "csv")]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) sheet: SheetArguments,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

/// What can be shown of each layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum LayersShow {
    /// How thick it is
    Thickness,
    /// Its mean temperature over the month
    Warmth,
    /// The water in it
    Water,
    /// Days of the month on which it had too little air
    Airless,
}

/// Columns shown when none are named: the first of all.
const USUAL: usize = 9;

/// The answer to what was asked.
pub(crate) fn answer(asked: &ForecastArguments) -> Result<String, Trouble> {
    let read = asked.bed.read()?;
    let bed = &read.bed;
    if asked.deeper_than.is_some() && bed.rim_m().is_none() {
        let said = "A bed without a rim lies below none: leave --deeper-than out.";
        return Err(Trouble::bad_option("--deeper-than", said));
    }
    if asked.deeper_than.is_some() && asked.draws == 0 {
        let said = "One run alone tells no chance: leave --draws 0 out.";
        return Err(Trouble::bad_option("--draws", said));
    }
    let first = read.dangers(asked.sheet.csv)?;
    let months = asked.months.unwrap_or_else(|| a_year_on(bed));
    let draws = Realisations {
        deeper_than_m: asked.deeper_than,
        ..realisations(asked.draws, asked.seed)
    };
    let look = asked.output.look;
    let mut forecast = read.run(look, |bed, watch| {
        current_forecast(bed, months, draws, watch)
    })?;
    if asked.defaults && months > 0 {
        forecast.defaults = assumed::widths(&read, months, look)?;
    }
    if asked.json {
        return Ok(pretty(&forecast));
    }
    let rows = asked.every.of(&forecast.months, |row| row.month);
    let rows = rows.into_iter().map(|row| Row {
        is: row.clone(),
        bands: bands_of(&forecast, row),
    });
    let mut rows: Vec<Row<'_>> = rows.collect();
    if asked.sheet.csv {
        let layers = asked.layers.then_some(asked.layers_show);
        let units = asked.sheet.units(forecast.units);
        return Ok(csv(&forecast, &rows, layers, units));
    }
    for row in &mut rows {
        row.is = row_adding_up(&row.is, forecast.units);
    }
    let nitrogen = nitrogen_told(&read, &forecast, asked, draws)?;
    Ok(first + &in_words(bed, &forecast, &rows, &nitrogen, asked)?)
}

/// Months to the end of a year after filling, or after the last reading.
fn a_year_on(bed: &Bed) -> u32 {
    (months_measured(bed) + 12).min(MONTHS_LIMIT)
}

/// A month with its intervals; none for the nominal run alone.
struct Row<'a> {
    is: Month,
    bands: Option<&'a MonthIntervals>,
}

fn in_words(
    bed: &Bed,
    forecast: &Forecast,
    rows: &[Row<'_>],
    nitrogen: &str,
    asked: &ForecastArguments,
) -> Result<String, Trouble> {
    let mut said = String::new();
    if let Some(sentence) = in_a_sentence(forecast) {
        said += &plain(&sentence);
        if let Some(chance) = chance_in_a_sentence(forecast) {
            said += &plain(&chance);
        }
        said += &plain(&how_sure(forecast));
        said.push('\n');
    }
    said += &table(forecast, rows, asked)?;
    if asked.layers {
        said += &layers(forecast, rows, asked);
    }
    said += &weather_told(bed, forecast);
    said += nitrogen;
    said += &notices::in_short(&forecast.notices, &forecast.layers);
    let months = forecast.months.last().map_or(0, |row| row.month);
    if asked.defaults && months > 0 {
        said += &assumed::by_width(bed, &forecast.defaults, months);
    } else if asked.defaults {
        said += &assumed::listed(bed, true);
    } else {
        said += &assumed::in_short(bed);
    }
    Ok(said)
}

/// Temperature and water in a paragraph; empty for day zero alone.
fn weather_told(bed: &Bed, forecast: &Forecast) -> String {
    let (Some(warmth), Some(water)) = (
        warmth_in_a_sentence(forecast),
        water_in_a_sentence(forecast),
    ) else {
        return String::new();
    };
    let weather = weather_in_a_sentence(forecast);
    let estimated = estimate_in_words(bed.climate(), forecast.units);
    let estimated = estimated.map_or_else(String::new, |said| format!(" {said}"));
    apart(&format!("{warmth} {water} {weather}{estimated}"))
}

/// Nitrogen in a paragraph and what to feed in the year from today on, where that is something
/// month by month; empty for less than a year, or where nothing grows.
fn nitrogen_told(
    read: &ReadBed,
    forecast: &Forecast,
    asked: &ForecastArguments,
    draws: Realisations,
) -> Result<String, Trouble> {
    let Some(nitrogen) = nitrogen_in_a_sentence(forecast) else {
        return Ok(String::new());
    };
    let mut said = apart(&nitrogen);
    // Doses take a range.
    if draws.ensemble_size == 0 {
        return Ok(said);
    }
    let feeding = read.run(asked.output.look, |bed, watch| {
        let from = as_of(bed, asked.clock.today());
        asked.feed.doses(bed, from, draws, watch)
    })?;
    let months = twelve_months(forecast, Some(&feeding));
    let Some((from, _)) = months.first() else {
        return Ok(said);
    };
    if months.iter().all(|(_, word)| word == "enough") {
        return Ok(said);
    }
    said += &apart(&format!(
        "To feed from {} on: {}.",
        spoken_date(*from),
        doses_in_words(forecast, &feeding)
    ));
    said.push('\n');
    let cells = months.iter();
    let cells = cells.map(|(begins, word)| format!("{} {word:WORD$}", month_name(*begins)));
    let cells: Vec<String> = cells.collect();
    for quarter in cells.chunks(3) {
        said += format!("  {}", quarter.concat()).trim_end();
        said.push('\n');
    }
    Ok(said)
}

/// Width of a word of a month; characters.
const WORD: usize = 15;

/// The table of months under its heading.
fn table(
    forecast: &Forecast,
    rows: &[Row<'_>],
    asked: &ForecastArguments,
) -> Result<String, Trouble> {
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
    let mut table = laid_out(forecast, &shown, rows);
    if asked.columns.is_none() && table.width() > WIDTH {
        // The last four columns add up to it.
        shown.retain(|column| column.name != "sunk");
        table = laid_out(forecast, &shown, rows);
    }
    let wide = table.width();
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
        title(&forecast.name, forecast.filled, &forecast.climate),
        if heading.is_empty() {
            heading
        } else {
            plain(&heading)
        },
        table.drawn(asked.output.look)
    ))
}

/// The table of those columns.
fn laid_out<'r>(forecast: &Forecast, shown: &[&Named], rows: &'r [Row<'r>]) -> Table<'r, Row<'r>> {
    let units = forecast.units;
    let mut table = Table::of(rows);
    table
        .right("month", |row| row.is.month.to_string())
        .left("date", |row| row.is.date.to_string());
    for column in shown {
        table.right(column.heading(units), |row| {
            column.cell(&row.is, row.bands, units)
        });
    }
    table
}

/// The heading of the table; empty where no column is a height.
fn heading(forecast: &Forecast, shown: &[&Named], rows: &[Row<'_>]) -> String {
    /// What is nearer to zero than this is shown as zero.
    const HALF_A_TENTH: f64 = 0.05;
    let units = forecast.units;
    let has = |name: &str| shown.iter().any(|column| column.name == name);
    let heights = shown
        .iter()
        .any(|column| matches!(column.kind, Kind::Height(_) | Kind::End(_)));
    if !heights {
        return String::new();
    }
    let mut said = format!("Heights in {}.", spelt(units));
    let causes = ["settling", "sifting", "soft", "wood"];
    if shown.len() >= causes.len() && shown[shown.len() - 4..].iter().map(|c| c.name).eq(causes) {
        said.push_str(" The last four columns are where it went: they add up to what has sunk.");
    }
    if has("low") && has("high") && !forecast.intervals.is_empty() {
        said.push_str(if forecast.rim_m.is_some() {
            " 8 in 10 such beds lie between low and high below the rim."
        } else {
            " 8 in 10 such mounds stand between low and high."
        });
    }
    let minus = |row: &Row<'_>| {
        let low_m = row.bands.and_then(|bands| bands.below_rim_m);
        let lowest_m = low_m.map(|band| band.lower).or(row.is.below_rim_m);
        lowest_m.is_some_and(|below_m| in_unit(below_m, units) <= -HALF_A_TENTH)
    };
    if has("below-rim") && rows.iter().any(minus) {
        said.push_str(" Below the rim, a minus means above it.");
    }
    said
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
fn layers(forecast: &Forecast, rows: &[Row<'_>], asked: &ForecastArguments) -> String {
    let (units, show) = (forecast.units, asked.layers_show);
    let what = match show {
        LayersShow::Thickness => format!("Thickness of the layers in {}", spelt(units)),
        LayersShow::Warmth => format!("Mean temperature of the layers in {}", degrees(units)),
        LayersShow::Water => format!("Water in the layers in {}", water_unit(units)),
        LayersShow::Airless => "Days of the month without enough air in the layers".to_owned(),
    };
    let rows: Vec<(String, Vec<String>)> = rows
        .iter()
        .map(|row| {
            let cells = row.is.layers.iter();
            let cells = cells.map(|layer| layer_cell(layer, show, units)).collect();
            (row.is.month.to_string(), cells)
        })
        .collect();
    layers_abreast(&what, &forecast.layers, "month", &rows, asked.output.look)
}

/// The months for a spreadsheet; of each layer what was asked for.
fn csv(
    forecast: &Forecast,
    rows: &[Row<'_>],
    layers: Option<LayersShow>,
    units: SheetUnits,
) -> String {
    use Quantity::{Height, Plain, SmallWeight, Temperature, TemperatureDifference, Water, Weight};
    let mut sheet = Sheet::of(rows, units);
    sheet
        .shown("month", |row| Some(row.is.month))
        .shown("date", |row| Some(row.is.date))
        .measured("height", Height, |row| row.is.height_m)
        // A mound has no rim, and its cells stay empty.
        .measured("below_rim", Height, |row| row.is.below_rim_m)
        .measured("sunk", Height, |row| row.is.settlement_m)
        .measured("added", Height, |row| row.is.added_m)
        .measured("settling", Height, |row| row.is.parts.mechanical_m)
        .measured("sifting", Height, |row| row.is.parts.fines_migration_m)
        .measured("soft_rot", Height, |row| row.is.parts.nonwoody_decay_m)
        .measured("wood_rot", Height, |row| row.is.parts.wood_decay_m)
        .measured("carbon", Weight, |row| row.is.carbon_kg)
        .number("carbon_left", |row| row.is.carbon_left)
        .measured("carbon_released", Weight, |row| row.is.carbon_released_kg)
        .measured("wet", Weight, |row| row.is.total_mass_kg)
        .number("load_kpa", |row| row.is.vertical_stress_kpa)
        .measured("water", Water, |row| row.is.water_l)
        .number("water_in_wood", |row| row.is.water_in_wood)
        .measured("root_zone", Temperature, |row| row.is.root_zone_c)
        .measured("root_zone_lift", TemperatureDifference, |row| {
            row.is.root_zone_lift_c
        })
        .number("warm_days", |row| row.is.warm_days)
        .number("warm_days_open_ground", |row| row.is.warm_days_open_ground)
        .measured("nitrogen_organic", SmallWeight, |row| {
            row.is.nitrogen.organic_kg
        })
        .measured("nitrogen_mineral", SmallWeight, |row| {
            row.is.nitrogen.mineral_kg
        })
        .number("nitrogen_root_zone_g_m2", |row| {
            row.is.nitrogen.root_zone_g_m2
        })
        .number("nitrogen_freed_g_m2", |row| {
            row.is.nitrogen.mineralised_g_m2
        })
        .number("nitrogen_wanted_g_m2", |row| {
            row.is.nitrogen.crop_demand_g_m2
        })
        .number("nitrogen_taken_g_m2", |row| {
            row.is.nitrogen.crop_uptake_g_m2
        })
        .number("nitrogen_leached_g_m2", |row| row.is.nitrogen.leached_g_m2);
    if !forecast.intervals.is_empty() {
        sheet
            .ends("height", Height, |row| Some(row.bands?.height_m))
            .ends("below_rim", Height, |row| row.bands?.below_rim_m)
            .ends("sunk", Height, |row| Some(row.bands?.settlement_m))
            .ends("carbon", Weight, |row| Some(row.bands?.carbon_kg));
        if forecast.deeper_than_m.is_some() {
            sheet.number("chance_deeper", |row| row.bands?.chance_deeper);
        }
    }
    if let Some(show) = layers {
        let (what, quantity, of): (_, _, fn(&LayerMonth) -> f64) = match show {
            LayersShow::Thickness => ("thickness", Height, |layer| layer.thickness_m),
            LayersShow::Warmth => ("temperature", Temperature, |layer| layer.temperature_c),
            LayersShow::Water => ("water", Water, |layer| layer.water_l),
            LayersShow::Airless => ("airless_days", Plain, |layer| layer.airless_days),
        };
        for index in 0..forecast.layers.len() {
            sheet.measured(&format!("layer_{}_{what}", index + 1), quantity, |row| {
                row.is.layers.get(index).map(of)
            });
        }
    }
    sheet.csv()
}
