//! The commands: a file for each, with what it takes and its answer.

mod added;
mod answer;
mod chart;
mod check;
mod climates;
mod codes;
mod compare;
mod fed;
mod fit;
mod forecast;
mod ledger;
mod materials;
mod new;
mod plan;
mod report;
mod serve_lines;
mod sources;
mod tape;
mod topup;
mod unknowns;

use clap::{Arg, Parser, Subcommand};
use moulder::internals::bed::document;

use crate::common::output::Output;
use crate::print::screen::pretty;
use crate::trouble::{Trouble, screen};

/// The answer to `moulder` alone.
const FIRST_STEPS: &str = "\
moulder forecasts how a deep bed filled with logs and green waste sinks.
Get a bed file to make your own:  moulder new box -o bed.toml
Then ask how far it will sink:    moulder bed.toml
";

/// What to do with a page.
const PAGE_HINT: &str = "Open it in any browser, or print it.";

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
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// What a bed comes to, in a few lines: how far it sinks, what to buy, what to mind;
    /// "moulder BED" for short
    #[command(after_help = "For example: moulder my-bed.toml --price 5.98")]
    Answer(Box<answer::AnswerArguments>),
    /// How far a bed sinks, month by month, and why
    #[command(after_help = "For example: moulder forecast my-bed.toml --months 24 --every 3")]
    Forecast(forecast::ForecastArguments),
    /// Where the carbon of a bed goes, year by year, set against burning its wood
    #[command(after_help = "For example: moulder ledger my-bed.toml --years 20")]
    Ledger(ledger::LedgerArguments),
    /// Draw a bed's forecast as a picture: SVG, or PNG by the file's ending
    #[command(after_help = "For example: moulder chart my-bed.toml --kind section -o bed.svg")]
    Chart(chart::ChartArguments),
    /// Write down in the bed file what a tape measure says, and hear what to expect now
    #[command(
        mut_arg("bed", plain_file),
        after_help = "For example: moulder tape my-bed.toml \"31 cm\" \"33 cm\""
    )]
    Tape(tape::TapeArguments),
    /// Write down in the bed file what was laid on the bed
    #[command(
        mut_arg("bed", plain_file),
        after_help = "For example: moulder added my-bed.toml \"3 barrow\" --with \"garden compost\""
    )]
    Added(added::AddedArguments),
    /// Write down in the bed file what the bed was fed
    #[command(
        mut_arg("bed", plain_file),
        after_help = "For example: moulder fed my-bed.toml \"55 g\" --feed \"13 % N\""
    )]
    Fed(fed::FedArguments),
    /// How the tape readings in a bed file narrow its forecast, and what they teach
    #[command(after_help = "For example: moulder fit my-bed.toml")]
    Fit(fit::FitArguments),
    /// A page to keep or print: a sheet to hang beside the bed, then the rest
    Report(Box<report::ReportArguments>),
    /// Two designs or more side by side, in the same weather
    #[command(after_help = "For example: moulder compare my-bed.toml my-other-bed.toml")]
    Compare(compare::CompareArguments),
    /// What makes the range of a forecast wide, and what to measure to narrow it
    #[command(after_help = "For example: moulder unknowns my-bed.toml --at 12")]
    Unknowns(unknowns::UnknownsArguments),
    /// When to top beds up, with how much, and what to buy for it
    #[command(
        after_help = "For example: moulder topup my-bed.toml --sold-in \"40 L at 5.98\" --calendar bed.ics"
    )]
    Topup(Box<topup::TopupArguments>),
    /// How much of what to fill a bed with, so that it stands right once it has settled
    #[command(after_help = "For example: moulder plan my-plan.toml --write-bed 1 -o my-bed.toml")]
    Plan(plan::PlanArguments),
    /// Read a bed file back to you in words: layers, height, weight, what was assumed
    #[command(after_help = "For example: moulder check my-bed.toml")]
    Check(check::CheckArguments),
    /// The materials you can fill a bed with; or all figures of one, with their sources
    #[command(after_help = "For example: moulder materials birch log")]
    Materials(materials::MaterialsArguments),
    /// The climates on the list; or the twelve months of one, or of any town
    #[command(after_help = "For example: moulder climates \"Lyon, France\"")]
    Climates(climates::ClimatesArguments),
    /// What every figure rests on, and how many were read, recalled or judged
    #[command(after_help = "For example: moulder sources straw")]
    Sources(sources::SourcesArguments),
    /// A bed file or a plan file to start from, with notes, ready to be made your own
    #[command(after_help = "For example: moulder new bag -o my-bed.toml")]
    New(new::NewArguments),
    /// What the words in brackets after a fault or a caution mean, and what to do
    #[command(after_help = "For example: moulder codes thin-soil")]
    Codes(codes::CodesArguments),
    /// The JSON Schema of a bed file, for those who write bed files by program
    #[command(after_help = "For example: moulder schema > bed.schema.json")]
    Schema,
    /// Answer the questions of other programs: JSON, a line in, a line out
    #[command(
        after_help = "For example: echo '{\"ask\": \"schema\"}' | moulder serve-lines\n\n\
        A line in is a question, as in {\"id\": 1, \"ask\": \"forecast\", \"bed\": {..}, \
        \"months\": 12}; the line out is {\"id\": 1, \"answer\": {..}} or {\"id\": 1, \
        \"refused\": {..}}. {\"ask\": \"schema\"} tells all there is to ask. With \
        \"progress\": true lines of progress come before the answer; {\"stop\": 1} stops \
        question 1. It ends with its input."
    )]
    ServeLines,
}

/// A bed file that is written into cannot be piped in.
fn plain_file(bed: Arg) -> Arg {
    // An argument that is changed comes last, unless it says where it stands.
    let bed = bed.index(1);
    bed.help("The bed file, which is written into: TOML, or JSON if it ends in .json")
}

impl Arguments {
    /// Answers what was asked, where it was asked for.
    pub(crate) fn answer(self) -> Result<(), Trouble> {
        let Some(command) = self.command else {
            return screen(FIRST_STEPS);
        };
        match command {
            Command::Answer(asked) => {
                let read = asked.bed.paths_with(&asked.more);
                asked.output.put(&read, "", || answer::answer(&asked))
            }
            Command::Forecast(asked) => asked
                .output
                .put(&asked.bed.paths(), "", || forecast::answer(&asked)),
            Command::Ledger(asked) => asked
                .output
                .put(&asked.bed.paths(), "", || ledger::answer(&asked)),
            Command::Chart(asked) => chart::answer(&asked),
            Command::Report(asked) => {
                let read = asked.bed.paths_with(&asked.more);
                asked
                    .output
                    .put(&read, PAGE_HINT, || report::answer(&asked))
            }
            Command::Compare(asked) => {
                let hint = if asked.page { PAGE_HINT } else { "" };
                let read = asked.bed.paths_with(&asked.others);
                asked.output.put(&read, hint, || compare::answer(&asked))
            }
            Command::Fit(asked) => asked
                .output
                .put(&asked.bed.paths(), "", || fit::answer(&asked)),
            Command::Unknowns(asked) => asked
                .output
                .put(&asked.bed.paths(), "", || unknowns::answer(&asked)),
            Command::Topup(asked) => {
                let read = asked.bed.paths_with(&asked.more);
                let Some(file) = &asked.calendar else {
                    return asked.output.put(&read, "", || topup::answer(&asked));
                };
                let force = asked.output.destination.force;
                let output = Output::to("--calendar", Some(file), force, &read)?;
                output.put(&topup::answer(&asked)?, topup::calendar::HINT)
            }
            Command::Plan(asked) => {
                let hint = asked.write_bed.map_or("", |_| plan::BED_HINT);
                let read = asked.shelf.paths_with(&asked.plan);
                asked.output.put(&read, hint, || plan::answer(&asked))
            }
            Command::Tape(asked) => tape::answer(&asked),
            Command::Added(asked) => added::answer(&asked),
            Command::Fed(asked) => fed::answer(&asked),
            Command::Check(asked) => screen(&check::answer(&asked)?),
            Command::Materials(asked) => screen(&materials::answer(&asked)?),
            Command::Climates(asked) => screen(&climates::answer(&asked)?),
            Command::Sources(asked) => screen(&sources::answer(&asked)?),
            Command::Codes(asked) => screen(&codes::answer(&asked)?),
            Command::New(asked) => new::answer(&asked),
            Command::ServeLines => serve_lines::answer(),
            Command::Schema => screen(&pretty(&document::schema())),
        }
    }
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
