//! `moulder unknowns`: what makes the range wide, and what to measure.

use moulder::internals::uncertainty::sensitivity::{
    ParameterSensitivity, Sensitivity, sensitivity,
};
use moulder_words::sensitivity::{how_to_measure, most_in_a_sentence, rows_in_words, what};

use crate::arguments::UnknownsArguments;
use crate::bed_file::BedFile;
use crate::lines::{TextWidth, wrapped};
use crate::output::pretty;
use crate::progress::Progress;
use crate::table::{Column, Stand, table};
use crate::trouble::Trouble;
use crate::{forecast, notices};

/// A share of the variance below this is not worth a row.
const SMALL: f64 = 0.03;

/// The answer to what was asked.
pub(crate) fn answer(asked: &UnknownsArguments) -> Result<String, Trouble> {
    let file = BedFile::open(&asked.bed.bed)?;
    let bed = file.read(&asked.bed)?;
    let first = notices::first_of(std::iter::once((&bed, &*file.file.name)))?;
    let progress = Progress::of(asked.look);
    let found = sensitivity(&bed, asked.at, asked.draws, asked.seed, &progress.watch())
        .map_err(|error| forecast::refused(&file.file.name, error))?;
    if asked.json {
        return Ok(pretty(&found));
    }
    Ok(first + &in_words(&found, asked))
}

fn in_words(found: &Sensitivity, asked: &UnknownsArguments) -> String {
    let mut said = wrapped(&most_in_a_sentence(found), TextWidth::PLAIN);
    let (large, small): (Vec<&ParameterSensitivity>, Vec<&ParameterSensitivity>) = found
        .groups
        .iter()
        .partition(|one| one.total.share >= SMALL || one.first_order.share >= SMALL);
    if !large.is_empty() {
        said.push('\n');
        said.push_str(&wrapped(&rows_in_words(found), TextWidth::PLAIN));
        said.push('\n');
        let columns = [
            Column::new("what is not known", Stand::Wrapped),
            Column::new("how to measure it", Stand::Wrapped),
            Column::new("alone", Stand::Right),
            Column::new("give or\ntake", Stand::Right),
            Column::new("in all", Stand::Right),
            Column::new("give or\ntake", Stand::Right),
        ];
        let row = |one: &&ParameterSensitivity| {
            let (first_order, total) = (one.first_order, one.total);
            vec![
                what(one.group).to_owned(),
                how_to_measure(one.group).to_owned(),
                percent(first_order.share.max(0.0)),
                percent(first_order.standard_error),
                percent(total.share),
                percent(total.standard_error),
            ]
        };
        let rows = large.iter().map(row).collect();
        said.push_str(&table(&columns, rows, asked.look));
    }
    if !small.is_empty() && !large.is_empty() {
        let names: Vec<&str> = small.iter().map(|one| what(one.group)).collect();
        let rest = format!(
            "All else, under {} each in all: {}.",
            percent(SMALL),
            names.join("; ")
        );
        said.push('\n');
        said.push_str(&wrapped(&rest, TextWidth::PLAIN));
    }
    said
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}
