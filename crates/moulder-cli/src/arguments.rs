//! What can be typed after `moulder`: a file for each command, and one for each thing that
//! several take.

mod bed;
mod chart;
mod check;
mod climates;
mod codes;
mod compare;
mod destination;
mod fit;
mod forecast;
mod ledger;
mod look;
mod materials;
mod measure;
mod number;
mod pack;
mod plan;
mod report;
mod shelf;
mod starter;
mod topup;
mod units;
mod unknowns;

use clap::{Parser, Subcommand};

pub(crate) use bed::BedArguments;
pub(crate) use chart::ChartArguments;
pub(crate) use check::CheckArguments;
pub(crate) use climates::{ClimatesArguments, Spot};
pub(crate) use codes::CodesArguments;
pub(crate) use compare::CompareArguments;
pub(crate) use destination::Destination;
pub(crate) use fit::FitArguments;
pub(crate) use forecast::{ForecastArguments, LayersShow};
pub(crate) use ledger::LedgerArguments;
pub(crate) use look::Look;
pub(crate) use materials::MaterialsArguments;
pub(crate) use pack::PackArguments;
pub(crate) use plan::PlanArguments;
pub(crate) use report::ReportArguments;
pub(crate) use shelf::ShelfArguments;
pub(crate) use starter::{Hemisphere, NewArguments, StarterShape};
pub(crate) use topup::TopupArguments;
pub(crate) use units::UnitsName;
pub(crate) use unknowns::UnknownsArguments;

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
    /// Where the carbon of a bed goes, year by year, and against burning its wood
    Ledger(LedgerArguments),
    /// Draw a bed's forecast as a picture: SVG, or PNG by the file's ending
    Chart(ChartArguments),
    /// A narrower forecast from what a tape said since, and what that teaches
    Fit(FitArguments),
    /// A page to keep or print: forecast, shopping list, cautions, charts
    Report(ReportArguments),
    /// Two designs or more side by side, under the same draws
    Compare(CompareArguments),
    /// What makes the range of a forecast wide, and what to measure to narrow it
    Unknowns(UnknownsArguments),
    /// When to top beds up, with how much, and what to buy for it
    Topup(Box<TopupArguments>),
    /// How much of what to fill a bed with, so that it stands right once it has settled
    Plan(PlanArguments),
    /// Read a bed file back to you in words: layers, height, weight, what was assumed
    Check(CheckArguments),
    /// The materials you can fill a bed with; all numbers of one, with their sources
    Materials(MaterialsArguments),
    /// The climates a bed can stand in; the twelve months of one
    Climates(ClimatesArguments),
    /// A bed file to start from, with notes, ready to be made your own
    New(NewArguments),
    /// What the codes of faults and notices mean, and what to do; one with an example
    Codes(CodesArguments),
    /// The JSON Schema of a bed file, for those who write bed files by program
    Schema,
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
