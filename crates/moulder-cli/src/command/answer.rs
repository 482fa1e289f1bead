//! `moulder answer`: what a bed comes to, within a screen.

use std::path::PathBuf;

use clap::Args;
use moulder::internals::bed::Bed;
use moulder::internals::topup::Buying;
use moulder_words::answer::part_of_order;

use crate::common::bed_file::{BedArguments, read_all, told_first};
use crate::common::bed_paths::bed_paths;
use crate::common::clock::ClockArguments;
use crate::common::feed::FeedArguments;
use crate::common::number::{SeedArguments, realisations, some_draws};
use crate::common::output::OutputArguments;
use crate::common::packs::PackArguments;
use crate::common::short_answer::{TEXT, in_lines, one_order, short_answer};
use crate::print::lines::{apart, listed};
use crate::print::progress::Progress;
use crate::trouble::Trouble;

#[derive(Debug, Args)]
pub(crate) struct AnswerArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// More bed files; a folder stands for all bed files in it
    #[arg(value_name = "MORE")]
    pub(crate) more: Vec<PathBuf>,

    #[command(flatten)]
    pub(crate) packs: PackArguments,

    #[command(flatten)]
    pub(crate) feed: FeedArguments,

    /// How many beds like it the ranges are reckoned from
    #[arg(long, value_name = "N", default_value = "64", value_parser = some_draws)]
    pub(crate) draws: u32,

    #[command(flatten)]
    pub(crate) seed: SeedArguments,

    #[command(flatten)]
    pub(crate) clock: ClockArguments,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

/// The answer to what was asked.
pub(crate) fn answer(asked: &AnswerArguments) -> Result<String, Trouble> {
    let (beds, files) = read_all(&asked.bed, &bed_paths(&asked.bed, &asked.more)?)?;
    let today = asked.clock.today();
    let material = asked.packs.material(&asked.bed.shelf)?;
    let draws = realisations(asked.draws, asked.seed.seed);
    let progress = Progress::of(asked.output.look);
    let mut told = Vec::new();
    let mut planned = Vec::new();
    for (bed, file) in beds.iter().zip(&files) {
        let (answer, topups) = short_answer(
            bed,
            (&material, &asked.packs),
            &asked.feed,
            draws,
            today,
            &progress.watch(),
        )
        .map_err(|error| Trouble::of_error(&file.name, &error))?;
        told.push(answer);
        planned.push(topups);
    }
    let first = files.first().map_or("", |file| file.name.as_str());
    let buying = Buying::in_one_of(asked.packs.ways(0.0));
    let dangers: Vec<_> = planned
        .iter()
        .map(|topups| topups.dangers.clone())
        .collect();
    let mut said = told_first(&beds, &dangers);
    let chooses = buying.ways.len() > 1;
    let is_alone = beds.iter().map(Bed::count).sum::<u32>() == 1;
    if chooses {
        // What is bought is told by the order, which chooses between the ways.
        for (answer, topups) in told.iter_mut().zip(&planned) {
            let buy = if is_alone {
                format!("{}. Measure first", one_order(&buying, &beds, &planned)?)
            } else {
                part_of_order(topups)
            };
            let mut lines = answer.lines.iter_mut();
            if let Some((_, about)) = lines.find(|(word, _)| *word == "Buy") {
                *about = buy;
            }
        }
    }
    if let ([only], [bed]) = (told.as_slice(), beds.as_slice()) {
        said += &in_lines(only);
        if bed.count() > 1 {
            said += &listed("Order", &one_order(&buying, &beds, &planned)?, TEXT);
        }
        let more = format!("moulder forecast | topup | check | tape {first}");
        said += &listed("More", &more, TEXT);
    } else {
        let paragraphs: Vec<String> = told.iter().map(in_lines).collect();
        said += &paragraphs.join("\n");
        said += &apart(&format!(
            "ONE ORDER: {}.",
            one_order(&buying, &beds, &planned)?
        ));
    }
    Ok(said)
}
