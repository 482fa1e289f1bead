//! What `moulder forecast` takes.

use clap::{Args, ValueEnum};

use super::bed::BedArguments;
use super::destination::Destination;
use super::look::Look;
use super::measure::height;
use super::number::{draws, every, months};
use crate::columns::{ColumnNames, Columns};

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
    /// how wide it makes the sink by the last month; takes two forecasts each, and of a bed of
    /// more than a hundred ingredients leaves out those on which little of it rests
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
