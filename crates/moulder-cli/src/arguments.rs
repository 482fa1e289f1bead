//! What can be typed after `moulder`.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use moulder::forecast::MONTHS_LIMIT;

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
    /// Read a bed file back to you in words: layers, height, weight, what was assumed
    Check(CheckArguments),
    /// The materials you can fill a bed with; all numbers of one, with their sources
    Materials(MaterialsArguments),
    /// The climates a bed can stand in; the twelve months of one
    Climates(ClimatesArguments),
    /// A bed file to start from, with notes, ready to be made your own
    New(NewArguments),
    /// The JSON Schema of a bed file, for those who write bed files by program
    Schema,
}

#[derive(Debug, Args)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a switch that can be typed on its own"
)]
pub(crate) struct ForecastArguments {
    /// The bed file: TOML, or JSON if it ends in .json; "-" reads what is piped in
    pub(crate) bed: PathBuf,

    /// How many months to look ahead, at most 1200 (a hundred years)
    #[arg(long, value_name = "N", default_value = "12", value_parser = months)]
    pub(crate) months: u32,

    /// Show only every Nth month, and the last
    #[arg(long, value_name = "N", default_value = "1", value_parser = every, hide_default_value = true)]
    pub(crate) every: u32,

    /// Show how thick each layer is as well
    #[arg(long)]
    pub(crate) layers: bool,

    /// List every value that was assumed because the bed file is silent, with its source
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
pub(crate) struct CheckArguments {
    /// The bed file: TOML, or JSON if it ends in .json; "-" reads what is piped in
    pub(crate) bed: PathBuf,

    /// Give the source of every value that was assumed
    #[arg(long)]
    pub(crate) defaults: bool,

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

    /// Answer in JSON, for programs
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

#[derive(Debug, Args)]
pub(crate) struct NewArguments {
    /// What holds the filling
    #[arg(value_enum)]
    pub(crate) shape: StarterShape,

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
