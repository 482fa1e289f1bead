//! What `moulder topup` takes.

use std::path::PathBuf;

use clap::Args;

use super::bed::BedArguments;
use super::destination::Destination;
use super::look::Look;
use super::measure::{height, money};
use super::number::{draws, within};
use super::pack::PackArguments;

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

    /// How many draws the ranges rest on; 0 for the middle line alone, which is quick. Where
    /// the bed file holds readings, up to 25 times as many are weighed by them, which takes 4
    /// draws at least
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

/// Months of the year, 1 to 12.
#[derive(Debug, Clone)]
pub(crate) struct MonthList(pub(crate) Vec<u8>);

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
