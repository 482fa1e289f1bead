//! What `moulder report` takes.

use clap::Args;

use super::bed::BedArguments;
use super::destination::Destination;
use super::look::Look;
use super::number::{draws, some_months};

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

    /// How many draws the ranges rest on; 0 for the middle line alone, which is quick; 100 if
    /// nothing is said, and fewer for a bed of more than 200 ingredients
    #[arg(long, value_name = "N", value_parser = draws)]
    pub(crate) draws: Option<u32>,

    /// Seed of the draws: the same seed gives the same ranges
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}
