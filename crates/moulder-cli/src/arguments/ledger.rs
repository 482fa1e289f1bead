//! What `moulder ledger` takes.

use clap::Args;
use moulder::internals::text::limit::MONTHS_LIMIT;

use super::bed::BedArguments;
use super::destination::Destination;
use super::look::Look;
use super::number::{draws, months};

/// Months in a year.
const MONTHS_A_YEAR: u32 = 12;

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

fn years(text: &str) -> Result<u32, String> {
    let limit = MONTHS_LIMIT / MONTHS_A_YEAR;
    text.parse()
        .ok()
        .filter(|years| (1..=limit).contains(years))
        .ok_or_else(|| format!("a ledger looks 1 to {limit} whole years ahead"))
}
