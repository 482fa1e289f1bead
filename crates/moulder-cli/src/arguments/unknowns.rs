//! What `moulder unknowns` takes.

use clap::Args;
use moulder::internals::uncertainty::sensitivity::USUAL_ROWS;
use moulder::internals::uncertainty::sobol::LEAST_ROWS;

use super::bed::BedArguments;
use super::destination::Destination;
use super::look::Look;
use super::number::{some_months, within};

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

fn rows(text: &str) -> Result<u32, String> {
    within(text, LEAST_ROWS, 10_000)
}
