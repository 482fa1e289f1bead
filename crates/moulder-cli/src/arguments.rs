//! What can be typed after `moulder`.

use std::path::PathBuf;

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
use moulder::bed::Units;
use moulder::ensemble::LEAST_DRAWS;
use moulder::forecast::MONTHS_LIMIT;
use moulder::influence::USUAL_ROWS;
use moulder::measure::Measures;
use moulder::quantity;
use moulder::sample::SAMPLES_LIMIT;
use moulder::sensitivity::LEAST_ROWS;
use moulder::unit::Dimension;
use moulder_chart::look::Look as ChartLook;

use crate::chart_kind::ChartKind;
use crate::columns::{ColumnNames, Columns};

/// Months in a year.
const MONTHS_A_YEAR: u32 = 12;

/// Forecasts how a deep garden bed filled with logs, prunings, green waste, turf and
/// topsoil sinks as it rots.
#[derive(Debug, Parser)]
#[command(
    name = "moulder",
    version,
    disable_help_subcommand = true,
    max_term_width = 80,
    term_width = 80
)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// How far a bed sinks, month by month, and why
    Forecast(ForecastArguments),
    /// Where the carbon of a bed goes, year by year, and against burning its wood
    Ledger(LedgerArguments),
    /// Draw a bed's forecast as a picture: SVG, or PNG by the file's ending
    Chart(ChartArguments),
    /// A narrower forecast from what a tape said since, and what that teaches
    Fit(FitArguments),
    /// A page to keep or print: forecast, shopping list, cautions, charts
    Report(ReportArguments),
    /// Two designs or more side by side, under the same draws
    Compare(CompareArguments),
    /// What makes the range of a forecast wide, and what to measure to narrow it
    Unknowns(UnknownsArguments),
    /// When to top beds up, with how much, and what to buy for it
    Topup(Box<TopupArguments>),
    /// How much of what to fill a bed with, so that it stands right once it has settled
    Plan(PlanArguments),
    /// Read a bed file back to you in words: layers, height, weight, what was assumed
    Check(CheckArguments),
    /// The materials you can fill a bed with; all numbers of one, with their sources
    Materials(MaterialsArguments),
    /// The climates a bed can stand in; the twelve months of one
    Climates(ClimatesArguments),
    /// A bed file to start from, with notes, ready to be made your own
    New(NewArguments),
    /// What the codes of faults and notices mean, and what to do; one with an example
    Codes(CodesArguments),
    /// The JSON Schema of a bed file, for those who write bed files by program
    Schema,
}

#[derive(Debug, Args)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a switch that can be typed on its own"
)]
pub(crate) struct ForecastArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How many months to look ahead, at most 1200 (a hundred years)
    #[arg(long, value_name = "N", default_value = "12", value_parser = months)]
    pub(crate) months: u32,

    /// Show only every Nth month, and the last
    #[arg(long, value_name = "N", default_value = "1", value_parser = every, hide_default_value = true)]
    pub(crate) every: u32,

    /// How many draws the range rests on; 0 for the middle line alone, which is quick
    #[arg(long, value_name = "N", default_value = "100", value_parser = draws)]
    pub(crate) draws: u32,

    /// Seed of the draws: the same seed gives the same range
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

    /// List every value that was assumed because the bed file is silent, with its source and
    /// how wide it makes the sink by the last month; takes two forecasts each
    #[arg(long)]
    pub(crate) defaults: bool,

    /// Write the whole forecast as JSON, for programs: all months, in metres and kilograms
    #[arg(long, conflicts_with = "csv")]
    pub(crate) json: bool,

    /// Write the months as CSV, for a spreadsheet: in metres and kilograms
    #[arg(long)]
    pub(crate) csv: bool,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

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

    /// How many draws the ranges rest on; 0 for the middle line alone, which is quick
    #[arg(long, value_name = "N", default_value = "40", value_parser = draws)]
    pub(crate) draws: u32,

    /// Seed of the draws: the same seed gives the same ranges
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    /// Show the carbon of each layer as well
    #[arg(long)]
    pub(crate) layers: bool,

    /// List every value that was assumed because the bed file is silent, with its source
    #[arg(long)]
    pub(crate) defaults: bool,

    /// Write the whole ledger as JSON, for programs: all layers, in kilograms
    #[arg(long, conflicts_with = "csv")]
    pub(crate) json: bool,

    /// Write the years as CSV, for a spreadsheet: in kilograms
    #[arg(long)]
    pub(crate) csv: bool,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

impl LedgerArguments {
    /// How many months to look ahead.
    pub(crate) fn months(&self) -> u32 {
        self.months.unwrap_or(self.years * MONTHS_A_YEAR)
    }
}

#[derive(Debug, Args)]
pub(crate) struct TopupArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// More bed files; a folder stands for all bed files in it
    #[arg(value_name = "MORE")]
    pub(crate) more: Vec<PathBuf>,

    /// How many years to look ahead, at most 20
    #[arg(long, value_name = "N", default_value = "3", value_parser = topup_years)]
    pub(crate) years: u32,

    /// Top up in these months of each year, as in 3,10; the month before spring planting
    /// (March, or September in the south) if nothing is said
    #[arg(long = "in", value_name = "MONTHS", value_parser = month_list,
          conflicts_with_all = ["below", "soil"])]
    pub(crate) months: Option<MonthList>,

    /// Top up as soon as the soil lies this far below the rim, as in "5 cm"
    #[arg(long, value_name = "HEIGHT", value_parser = height, conflicts_with = "soil")]
    pub(crate) below: Option<f64>,

    /// Top up as soon as the growing soil is thinner than this, as in "15 cm"
    #[arg(long, value_name = "HEIGHT", value_parser = height)]
    pub(crate) soil: Option<f64>,

    #[command(flatten)]
    pub(crate) packs: PackArguments,

    /// What each delivery costs on top
    #[arg(long, value_name = "MONEY", requires = "price", value_parser = money)]
    pub(crate) delivery: Option<f64>,

    /// How many days before it is needed an order must be made
    #[arg(long, value_name = "N", default_value = "0", value_parser = lead,
          hide_default_value = true)]
    pub(crate) lead_days: u32,

    /// Spend no more than this on a bed in a calendar year
    #[arg(long, value_name = "MONEY", requires = "price", value_parser = money)]
    pub(crate) budget: Option<f64>,

    /// Lay on no more than this at once, so that the crowns of plants stand, as in "5 cm"
    #[arg(long, value_name = "HEIGHT", value_parser = height)]
    pub(crate) at_most: Option<f64>,

    /// Also say how high to heap the bed at the start to be level after N months
    #[arg(long, value_name = "N", value_parser = overfill_months)]
    pub(crate) overfill: Option<u32>,

    /// How many draws the ranges rest on; 0 for the middle line alone, which is quick
    #[arg(long, value_name = "N", default_value = "40", value_parser = draws)]
    pub(crate) draws: u32,

    /// Seed of the draws: the same seed gives the same ranges
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    /// Write all of it as JSON, for programs: a bed each, in metres and kilograms
    #[arg(long, conflicts_with = "csv")]
    pub(crate) json: bool,

    /// Write the list as CSV, for a spreadsheet
    #[arg(long)]
    pub(crate) csv: bool,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

#[derive(Debug, Args)]
pub(crate) struct CompareArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// The beds to compare it with
    #[arg(value_name = "OTHER", required = true)]
    pub(crate) others: Vec<PathBuf>,

    /// How many months after filling they are compared
    #[arg(long, value_name = "N", default_value = "60", value_parser = months)]
    pub(crate) months: u32,

    /// How many draws the ranges rest on
    #[arg(long, value_name = "N", default_value = "40", value_parser = some_draws)]
    pub(crate) draws: u32,

    /// Seed of the draws: the same seed gives the same ranges
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    #[command(flatten)]
    pub(crate) packs: PackArguments,

    /// Write all of it as JSON, for programs: in metres and kilograms
    #[arg(long, conflicts_with = "page")]
    pub(crate) json: bool,

    /// Write one page to keep or print, with charts, cautions and sources, as moulder report
    /// does of one bed: an HTML file that fetches nothing; at most four beds
    #[arg(long)]
    pub(crate) page: bool,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

#[derive(Debug, Args)]
pub(crate) struct ChartArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// What to draw
    #[arg(long, value_name = "KIND", default_value = ChartKind::USUAL.word(), value_parser = kinds())]
    pub(crate) kind: ChartKind,

    /// For the comparison: a bed to set beside it; may be given three times
    #[arg(long, value_name = "OTHER")]
    pub(crate) beside: Vec<PathBuf>,

    /// For top-ups: lay on as soon as the soil lies this far below the rim, as in "5 cm"; in
    /// the month before spring if nothing is said
    #[arg(long, value_name = "HEIGHT", value_parser = height)]
    pub(crate) below: Option<f64>,

    #[command(flatten)]
    pub(crate) packs: PackArguments,

    /// How many months to look ahead, at most 1200 (a hundred years); 24 when nothing is
    /// said, 60 for the cross-section and a comparison, 36 for top-ups, 6 for unknowns, and
    /// for a fit a year beyond the last reading
    #[arg(long, value_name = "N", value_parser = months)]
    pub(crate) months: Option<u32>,

    /// For the cross-section: the months since filling that are drawn, such as 0,12,36
    #[arg(long, value_name = "MONTHS", value_delimiter = ',', value_parser = months)]
    pub(crate) at: Vec<u32>,

    /// How many draws the range rests on; 0 for the middle line alone, which is quick; 100
    /// when nothing is said, 40 for top-ups and a comparison, 64 and at least 8 for unknowns,
    /// 500 and at least 100 for a fit
    #[arg(long, value_name = "N", value_parser = draws)]
    pub(crate) draws: Option<u32>,

    /// Seed of the draws: the same seed gives the same range
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    /// Width of the picture, from 320 (a telephone) to 4000; a PNG has twice as many dots
    #[arg(long, value_name = "PIXELS", default_value = "800", value_parser = width)]
    pub(crate) width: u32,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

#[derive(Debug, Args)]
#[command(after_help = "\
The page is one HTML file for any browser, on a phone, a screen or paper. It holds all \
it needs: nothing is fetched, and it has no script.")]
pub(crate) struct ReportArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How many months to look ahead, at most 1200 (a hundred years); the shopping list is
    /// always of two years
    #[arg(long, value_name = "N", default_value = "24", value_parser = some_months)]
    pub(crate) months: u32,

    /// How many draws the ranges rest on; 0 for the middle line alone, which is quick
    #[arg(long, value_name = "N", default_value = "100", value_parser = draws)]
    pub(crate) draws: u32,

    /// Seed of the draws: the same seed gives the same ranges
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

/// The kinds of charts, with what each shows.
fn kinds() -> impl TypedValueParser<Value = ChartKind> {
    let listed = ChartKind::all().map(|kind| PossibleValue::new(kind.word()).help(kind.about()));
    PossibleValuesParser::new(listed)
        .map(|word| ChartKind::named(&word).expect("the parser lets only listed kinds through"))
}

fn width(text: &str) -> Result<u32, String> {
    within(text, ChartLook::NARROWEST, ChartLook::WIDEST)
}

#[derive(Debug, Args)]
pub(crate) struct FitArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How many months after filling to tell; a year beyond the last reading if nothing is
    /// said
    #[arg(long, value_name = "N", value_parser = months)]
    pub(crate) months: Option<u32>,

    /// Show only every Nth month, and the last
    #[arg(long, value_name = "N", default_value = "1", value_parser = every, hide_default_value = true)]
    pub(crate) every: u32,

    /// How many draws to weigh by the readings; up to four times as many are made where too
    /// few agree
    #[arg(long, value_name = "N", default_value = "500", value_parser = draws_to_weigh)]
    pub(crate) draws: u32,

    /// Seed of the draws: the same seed gives the same ranges
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    /// Write all of it as JSON, for programs: in metres
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

#[derive(Debug, Args)]
pub(crate) struct UnknownsArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How many months after filling
    #[arg(long, value_name = "N", default_value = "6", value_parser = some_months)]
    pub(crate) at: u32,

    /// How many draws the shares rest on; each takes a forecast for every line of the
    /// answer and two more
    #[arg(long, value_name = "N", default_value_t = USUAL_ROWS, value_parser = rows)]
    pub(crate) draws: u32,

    /// Seed of the draws: the same seed gives the same shares
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    /// Write all of it as JSON, for programs: in metres and shares of 1
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

/// Months of the year, 1 to 12.
#[derive(Debug, Clone)]
pub(crate) struct MonthList(pub(crate) Vec<u8>);

#[derive(Debug, Args)]
pub(crate) struct PlanArguments {
    /// The plan file: TOML, or JSON if it ends in .json; "-" reads what is piped in
    pub(crate) plan: PathBuf,

    #[command(flatten)]
    pub(crate) shelf: ShelfArguments,

    /// The units of the answer, whatever the plan file says
    #[arg(
        long,
        value_enum,
        value_name = "UNITS",
        hide_possible_values = true,
        help = "The units of the answer, whatever the plan file says: metric, us or uk-garden"
    )]
    pub(crate) units: Option<UnitsName>,

    /// Write fill number N as a bed file, which forecast and check read
    #[arg(long, value_name = "N", conflicts_with = "json")]
    pub(crate) write_bed: Option<usize>,

    /// List every value that was assumed because the plan file is silent, with its source
    #[arg(long)]
    pub(crate) defaults: bool,

    /// Write the whole answer as JSON, for programs: in metres and kilograms
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
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

/// A bed, with what lies in other files.
#[derive(Debug, Clone, Args)]
pub(crate) struct BedArguments {
    /// The bed file: TOML, or JSON if it ends in .json; "-" reads what is piped in
    pub(crate) bed: PathBuf,

    #[command(flatten)]
    pub(crate) shelf: ShelfArguments,

    /// A CSV file of months or days of your own weather, to use instead of the bed's climate
    #[arg(long, value_name = "FILE")]
    pub(crate) weather: Option<PathBuf>,

    /// Where that weather was measured, in degrees, south negative; needed unless the bed file
    /// holds a climate of its own
    #[arg(long, value_name = "DEGREES", requires = "weather", allow_negative_numbers = true,
          value_parser = latitude)]
    pub(crate) latitude: Option<f64>,

    /// The units of the answer, whatever the bed file says
    #[arg(
        long,
        value_enum,
        value_name = "UNITS",
        hide_possible_values = true,
        help = "The units of the answer, whatever the bed file says: metric, us or uk-garden"
    )]
    pub(crate) units: Option<UnitsName>,
}

/// Materials of one's own.
#[derive(Debug, Clone, Args)]
pub(crate) struct ShelfArguments {
    /// A TOML file of your own materials, laid over ours; may be given again for more
    #[arg(long, value_name = "FILE")]
    pub(crate) shelf: Vec<PathBuf>,
}

/// What beds are topped up with, and how it is sold.
#[derive(Debug, Clone, Args)]
pub(crate) struct PackArguments {
    /// What to top up with; loamy topsoil if nothing is said
    #[arg(long, value_name = "MATERIAL")]
    pub(crate) with: Option<String>,

    /// What it is sold in; "40 L" if nothing is said
    #[arg(long, value_name = "VOLUME", value_parser = volume)]
    pub(crate) sold_in: Option<f64>,

    /// What one of these is called; bag if nothing is said
    #[arg(long, value_name = "NAME", value_parser = pack_name)]
    pub(crate) called: Option<String>,

    /// What one of these costs, in your money
    #[arg(long, value_name = "MONEY", value_parser = money)]
    pub(crate) price: Option<f64>,
}

/// The units an owner thinks in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsName {
    /// Centimetres, litres, kilograms
    Metric,
    /// Inches, cubic feet and yards, pounds
    Us,
    /// Inches for heights, litres and kilograms for the rest
    UkGarden,
}

impl From<UnitsName> for Units {
    fn from(name: UnitsName) -> Self {
        match name {
            UnitsName::Metric => Self::Metric,
            UnitsName::Us => Self::Us,
            UnitsName::UkGarden => Self::UkGarden,
        }
    }
}

#[derive(Debug, Args)]
pub(crate) struct CheckArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// Give the source of every value that was assumed, and how wide it makes the sink by
    /// month 6; takes two forecasts each
    #[arg(long)]
    pub(crate) defaults: bool,

    /// End with 3 when a warning or a danger stands that the bed file does not acknowledge
    #[arg(long)]
    pub(crate) strict: bool,

    /// Answer in JSON, for programs: the bed as understood, or a list of what is wrong with it
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

#[derive(Debug, Args)]
pub(crate) struct MaterialsArguments {
    /// One material, to see all its numbers; without it, the list of all
    #[arg(num_args = 0..)]
    pub(crate) name: Vec<String>,

    #[command(flatten)]
    pub(crate) shelf: ShelfArguments,

    /// Answer in JSON, for programs
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

#[derive(Debug, Args)]
pub(crate) struct ClimatesArguments {
    /// One climate, to see its twelve months; without it, the list of all
    #[arg(num_args = 0..)]
    pub(crate) name: Vec<String>,

    /// The climates nearest to a place, in degrees; south and west are negative, as in
    /// 52.6,1.3 or -42.9,147.3
    #[arg(long, value_name = "LAT,LON", conflicts_with = "name", allow_hyphen_values = true,
          value_parser = spot)]
    pub(crate) near: Option<Spot>,

    /// How high that place lies above the sea, as in "120 m" or "400 ft"
    #[arg(long, value_name = "HEIGHT", requires = "near", allow_hyphen_values = true,
          value_parser = elevation)]
    pub(crate) elevation: Option<f64>,

    /// Answer in JSON, for programs
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

#[derive(Debug, Args)]
pub(crate) struct CodesArguments {
    /// One code, to see its cause, its cure and an example; without it, the list of all
    pub(crate) code: Option<String>,

    /// Answer in JSON, for programs
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct NewArguments {
    /// What holds the filling
    #[arg(value_enum)]
    pub(crate) shape: StarterShape,

    /// The units it is written in
    #[arg(long, value_enum, value_name = "UNITS", default_value = "metric")]
    pub(crate) units: UnitsName,

    /// Where on earth: decides the day of filling and the climate
    #[arg(long, value_enum, value_name = "HALF", default_value = "north")]
    pub(crate) hemisphere: Hemisphere,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

/// The shapes that there is a starter for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum StarterShape {
    /// Upright walls on a rectangle: boards, sleepers, bricks
    Box,
    /// Upright walls on a circle: a ring, a tank, a round planter
    Round,
    /// A cloth bag, such as a builder's bulk bag
    Bag,
    /// A heap with sloping sides and no walls
    Mound,
}

/// Halves of the earth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Hemisphere {
    /// North of the equator
    North,
    /// South of the equator, where spring begins in September
    South,
}

/// How tables are drawn.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct Look {
    /// Rule tables with plain hyphens, for screens and screen readers that stumble over lines
    #[arg(long)]
    pub(crate) plain: bool,
}

/// Where an answer goes.
#[derive(Debug, Args)]
pub(crate) struct Destination {
    /// Write to this file instead of the screen; the file appears whole or not at all
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,

    /// Replace the file if there is one already
    #[arg(long, requires = "output")]
    pub(crate) force: bool,
}

fn months(text: &str) -> Result<u32, String> {
    text.parse()
        .ok()
        .filter(|months| *months <= MONTHS_LIMIT)
        .ok_or_else(|| {
            format!("a forecast looks 0 to {MONTHS_LIMIT} whole months ahead, a hundred years")
        })
}

fn years(text: &str) -> Result<u32, String> {
    let limit = MONTHS_LIMIT / MONTHS_A_YEAR;
    text.parse()
        .ok()
        .filter(|years| (1..=limit).contains(years))
        .ok_or_else(|| format!("a ledger looks 1 to {limit} whole years ahead"))
}

/// A place on the map; degrees, south and west negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spot {
    pub(crate) latitude_deg: f64,
    pub(crate) longitude_deg: f64,
}

fn spot(text: &str) -> Result<Spot, String> {
    let place = text.split_once(',').and_then(|(latitude, longitude)| {
        let latitude_deg = latitude.trim().parse().ok()?;
        let longitude_deg = longitude.trim().parse().ok()?;
        let likely =
            (-90.0..=90.0).contains(&latitude_deg) && (-180.0..=180.0).contains(&longitude_deg);
        likely.then_some(Spot {
            latitude_deg,
            longitude_deg,
        })
    });
    place.ok_or_else(|| {
        "write latitude and longitude in degrees with a comma between and no blank, as in \
         52.6,1.3 (south and west are negative)"
            .to_owned()
    })
}

fn latitude(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|latitude_deg| (-90.0..=90.0).contains(latitude_deg))
        .ok_or_else(|| {
            "it must be a number of degrees from -90 to 90, south negative, as in 52.6".to_owned()
        })
}

/// A height above the sea; m. Polders lie below it.
fn elevation(text: &str) -> Result<f64, String> {
    let (sign, height) = match text.trim().strip_prefix('-') {
        Some(below) => (-1.0, below.trim_start()),
        None => (1.0, text),
    };
    match quantity::parse(height, &[Dimension::Length], &Measures::default()) {
        Ok(height) if height.value < 9_000.0 => Ok(sign * height.value),
        _ => Err("it must be a length with its unit, as in \"120 m\" or \"400 ft\"".to_owned()),
    }
}

/// A height or thickness above zero; m.
fn height(text: &str) -> Result<f64, String> {
    match quantity::parse(text, &[Dimension::Length], &Measures::default()) {
        Ok(height) if height.value > 0.0 && height.value <= 5.0 => Ok(height.value),
        _ => Err(
            "it must be a height with its unit, up to 5 m, as in \"5 cm\" or \"2 in\"".to_owned(),
        ),
    }
}

/// A volume above zero; m3.
fn volume(text: &str) -> Result<f64, String> {
    match quantity::parse(text, &[Dimension::Volume], &Measures::default()) {
        Ok(volume) if volume.value >= 1e-3 && volume.value <= 100.0 => Ok(volume.value),
        _ => Err(
            "it must be a volume with its unit, from 1 L to 100 m3, as in \"40 L\", \"1 bulk-bag\" or \"1 cu yd\""
                .to_owned(),
        ),
    }
}

/// What a pack is called.
fn pack_name(text: &str) -> Result<String, String> {
    let name = text.trim();
    let is_name = name
        .chars()
        .all(|c| c.is_alphanumeric() || c == ' ' || c == '-');
    if name.is_empty() || !is_name || name.chars().count() > 20 {
        return Err("it must be a short name of letters, as in bag".to_owned());
    }
    Ok(name.to_owned())
}

/// Money, without a sign of any currency.
fn money(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|money| (0.0..=1e9).contains(money))
        .ok_or_else(|| "it must be a number, 0 or more, as in 4.50".to_owned())
}

/// Months by number, comma between.
fn month_list(text: &str) -> Result<MonthList, String> {
    let months: Option<Vec<u8>> = text
        .split(',')
        .map(|month| {
            let month: u8 = month.trim().parse().ok()?;
            (1..=12).contains(&month).then_some(month)
        })
        .collect();
    let mut months = months.ok_or_else(|| {
        "write months as numbers from 1 to 12 with commas between, as in 3,10".to_owned()
    })?;
    months.sort_unstable();
    months.dedup();
    Ok(MonthList(months))
}

fn topup_years(text: &str) -> Result<u32, String> {
    within(text, 1, 20)
}

fn lead(text: &str) -> Result<u32, String> {
    within(text, 0, 730)
}

fn overfill_months(text: &str) -> Result<u32, String> {
    within(text, 1, 60)
}

fn within(text: &str, least: u32, most: u32) -> Result<u32, String> {
    text.parse()
        .ok()
        .filter(|number| (least..=most).contains(number))
        .ok_or_else(|| format!("it must be a whole number from {least} to {most}"))
}

fn draws_to_weigh(text: &str) -> Result<u32, String> {
    draws(text)?;
    within(text, LEAST_DRAWS, 10_000)
}

fn some_draws(text: &str) -> Result<u32, String> {
    draws(text)?;
    within(text, 2, 10_000)
}

fn some_months(text: &str) -> Result<u32, String> {
    months(text)?;
    match within(text, 1, MONTHS_LIMIT) {
        Err(_) => Err("on the day of filling nothing has sunk yet; ask for 1 or more".to_owned()),
        asked => asked,
    }
}

fn rows(text: &str) -> Result<u32, String> {
    within(text, LEAST_ROWS, 10_000)
}

fn draws(text: &str) -> Result<u32, String> {
    if text.trim() == "1" {
        return Err(
            "one draw makes no range: ask for 2 or more, or 0 for the middle line alone".to_owned(),
        );
    }
    within(text, 0, SAMPLES_LIMIT)
}

fn every(text: &str) -> Result<u32, String> {
    text.parse()
        .ok()
        .filter(|every| *every > 0)
        .ok_or_else(|| "it must be a whole number, 1 or more".to_owned())
}

#[cfg(test)]
mod tests {
    use super::Arguments;
    use clap::CommandFactory;

    #[test]
    fn the_arguments_do_not_contradict_each_other() {
        Arguments::command().debug_assert();
    }
}
