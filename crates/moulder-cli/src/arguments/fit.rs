//! What `moulder fit` takes.

use clap::Args;
use moulder::internals::fit::ensemble::LEAST_REALISATIONS;

use super::bed::BedArguments;
use super::destination::Destination;
use super::look::Look;
use super::number::{draws, every, months, within};

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

fn draws_to_weigh(text: &str) -> Result<u32, String> {
    draws(text)?;
    within(text, LEAST_REALISATIONS, 10_000)
}
