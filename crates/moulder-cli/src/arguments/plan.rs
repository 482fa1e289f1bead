//! What `moulder plan` takes.

use std::path::PathBuf;

use clap::Args;

use super::destination::Destination;
use super::look::Look;
use super::shelf::ShelfArguments;
use super::units::UnitsName;

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
