//! A bed, and the files that go with it.

use std::path::PathBuf;

use clap::Args;

use super::measure::latitude;
use super::shelf::ShelfArguments;
use super::units::UnitsName;

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
