//! `moulder unknowns`: how much of the variance each uncertain parameter causes, and how to
//! measure it.

use clap::Args;
use moulder::internals::bed::Bed;
use moulder::internals::uncertainty::sensitivity::{
    ParameterSensitivity, Sensitivity, USUAL_ROWS, sensitivity,
};
use moulder::internals::uncertainty::sobol::LEAST_ROWS;
use moulder_words::sensitivity::{how_to_measure, most_in_a_sentence, rows_in_words, what};

use crate::common::bed_file::BedArguments;
use crate::common::number::{some_months, within};
use crate::common::output::OutputArguments;
use crate::print::lines::{apart, plain};
use crate::print::screen::pretty;
use crate::print::table::Table;
use crate::trouble::Trouble;

#[derive(Debug, Args)]
pub(crate) struct UnknownsArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How many months after filling
    #[arg(long, value_name = "N", default_value = "6", value_parser = some_months)]
    pub(crate) at: u32,

    /// How many beds like it the shares are reckoned from; each takes a forecast for every
    /// line of the answer and one more
    #[arg(long, value_name = "N", default_value_t = USUAL_ROWS, value_parser = rows)]
    pub(crate) draws: u32,

    /// Another number makes up other beds like it; the same number gives the same shares
    #[arg(long, value_name = "N", default_value = "1", hide_default_value = true)]
    pub(crate) seed: u64,

    /// Write all of it as JSON, for programs: in metres and shares of 1
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

fn rows(text: &str) -> Result<u32, String> {
    within(text, LEAST_ROWS, 10_000)
}

/// A share of the variance below this is not worth a row.
const SMALL: f64 = 0.03;

/// The answer to what was asked.
pub(crate) fn answer(asked: &UnknownsArguments) -> Result<String, Trouble> {
    let read = asked.bed.read()?;
    let first = read.dangers(false)?;
    let found = read.run(asked.output.look, |bed, watch| {
        sensitivity(bed, asked.at, asked.draws, asked.seed, watch)
    })?;
    if asked.json {
        return Ok(pretty(&found));
    }
    Ok(first + &in_words(&found, asked) + &set_aside(&read.bed))
}

/// That readings do not count here; empty for a bed without.
fn set_aside(bed: &Bed) -> String {
    let which = match bed.readings().len() {
        0 => return String::new(),
        1 => "The tape reading in the bed file is".to_owned(),
        count => format!("The {count} tape readings in the bed file are"),
    };
    apart(&format!(
        "{which} set aside here: this is about the bed as it was filled. What a tape has narrowed \
         since is told by moulder fit."
    ))
}

fn in_words(found: &Sensitivity, asked: &UnknownsArguments) -> String {
    let mut said = plain(&most_in_a_sentence(found));
    let (large, small): (Vec<&ParameterSensitivity>, Vec<&ParameterSensitivity>) = found
        .groups
        .iter()
        .partition(|one| one.total.share >= SMALL || one.first_order.share >= SMALL);
    if !large.is_empty() {
        said += &apart(&rows_in_words(found));
        said.push('\n');
        let mut table = Table::of(&large);
        table
            .wrapped("what is not known", |one| what(one.group).to_owned())
            .wrapped("how to measure it", |one| {
                how_to_measure(one.group).to_owned()
            })
            .numbers(
                ["alone", "give or\ntake", "in all", "give or\ntake"],
                |one| {
                    let (first_order, total) = (one.first_order, one.total);
                    [
                        percent(first_order.share.max(0.0)),
                        percent(first_order.standard_error),
                        percent(total.share),
                        percent(total.standard_error),
                    ]
                },
            );
        said += &table.drawn(asked.output.look);
    }
    if !small.is_empty() && !large.is_empty() {
        let names: Vec<&str> = small.iter().map(|one| what(one.group)).collect();
        let rest = format!(
            "All else, under {} each in all: {}.",
            percent(SMALL),
            names.join("; ")
        );
        said += &apart(&rest);
    }
    said
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}
