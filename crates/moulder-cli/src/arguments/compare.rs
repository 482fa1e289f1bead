//! What `moulder compare` takes.

use std::path::PathBuf;

use clap::Args;

use super::bed::BedArguments;
use super::destination::Destination;
use super::look::Look;
use super::number::{draws, months, within};
use super::pack::PackArguments;

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

pub(super) fn some_draws(text: &str) -> Result<u32, String> {
    draws(text)?;
    within(text, 2, 10_000)
}
