//! `moulder fit`: a bed's forecast given its readings.

use clap::Args;
use moulder::internals::fault::FaultCode;
use moulder::internals::fit::ensemble::LEAST_REALISATIONS;
use moulder::internals::fit::{Fit, Fitting, fit};
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::height::{figure, spelt};
use moulder_words::fit::{draws_in_words, fit_in_a_sentence, posterior_in_words, room_in_words};

use crate::common::bed_file::{BedArguments, layer_names};
use crate::common::number::{EveryArguments, SeedArguments, draws_from, months};
use crate::common::output::OutputArguments;
use crate::print::lines::{apart, plain, title};
use crate::print::notices;
use crate::print::screen::pretty;
use crate::print::table::Table;
use crate::trouble::Trouble;
use crate::trouble::complaint::Complaint;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct FitArguments {
    #[command(flatten)]
    pub(crate) bed: BedArguments,

    /// How many months after filling to tell; a year beyond the last reading if nothing is
    /// said
    #[arg(long, value_name = "N", value_parser = months)]
    pub(crate) months: Option<u32>,

    #[command(flatten)]
    pub(crate) every: EveryArguments,

    /// How many beds like it to weigh by the readings; up to sixteen times as many are made where
    /// too few agree
    #[arg(long, value_name = "N", default_value = "128", value_parser = draws_to_weigh)]
    pub(crate) draws: u32,

    #[command(flatten)]
    pub(crate) seed: SeedArguments,

    /// Write all of it as JSON, for programs: in metres
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) output: OutputArguments,
}

fn draws_to_weigh(text: &str) -> Result<u32, String> {
    draws_from(text, LEAST_REALISATIONS)
}

/// What to write into a bed file that holds no reading.
const HOW_TO: &str = "\
Hold a tape to the bed, from the rim straight down to the soil, and write what
it says at the end of the bed file:

[[reading]]
on        = 2026-06-14
below-rim = \"17 cm\"

From the ground up it is height = \"70 cm\" instead. Each look at the tape gets a
[[reading]] of its own.
";

/// The answer to what was asked.
pub(crate) fn answer(asked: &FitArguments) -> Result<String, Trouble> {
    let read = asked.bed.read()?;
    if read.bed.readings().is_empty() {
        return Err(Trouble::BadInput(vec![no_reading(read.name())]));
    }
    let first = read.dangers(false)?;
    let fitting = Fitting {
        months: asked.months,
        ensemble_size: asked.draws,
        seed: asked.seed.seed,
    };
    let fit = read.run(asked.output.look, |bed, watch| fit(bed, fitting, watch))?;
    if asked.json {
        return Ok(pretty(&fit));
    }
    Ok(first + &in_words(&fit, &layer_names(&read.bed), asked))
}

/// A bed without readings; with how one is written.
fn no_reading(name: &str) -> Complaint {
    let said = format!("{name} holds no tape reading to fit to.");
    let words = format!("{}\n{HOW_TO}", plain(&said));
    let refusal = Refusal::new(FaultCode::MissingField, said).file(name);
    Complaint::laid_out(words, vec![refusal.path("/reading")])
}

fn in_words(fit: &Fit, layers: &[String], asked: &FitArguments) -> String {
    let mut said = String::new();
    let told = [fit_in_a_sentence(fit), Some(draws_in_words(fit))];
    for sentence in told.into_iter().flatten() {
        said += &plain(&sentence);
    }
    said.push('\n');
    said += &title(&fit.name, fit.filled, &fit.climate);
    let from = match fit.rim_m {
        Some(_) => "How far below the rim",
        None => "How high over the ground",
    };
    let heading = format!(
        "{from}, in {}. 8 in 10 such beds lie between low and high.",
        spelt(fit.units)
    );
    said += &plain(&heading);
    said.push('\n');
    said += &readings(fit, asked);
    said += &apart(&posterior_in_words(fit));
    said.push('\n');
    said += &forecast(fit, asked);
    if let Some(room) = room_in_words(fit) {
        said += &apart(&room);
    }
    said += &notices::in_short(&fit.notices, layers);
    said
}

/// A height as it is measured: from the rim down where there is one.
fn measured(fit: &Fit, height_m: f64) -> String {
    figure(
        fit.rim_m.map_or(height_m, |rim_m| rim_m - height_m),
        fit.units,
    )
}

/// The ends of an interval as they are measured.
fn ends(fit: &Fit, band: Interval) -> [String; 2] {
    let (first, last) = match fit.rim_m {
        Some(_) => (band.upper, band.lower),
        None => (band.lower, band.upper),
    };
    [measured(fit, first), measured(fit, last)]
}

/// The table of readings.
fn readings(fit: &Fit, asked: &FitArguments) -> String {
    let mut table = Table::of(&fit.readings);
    table
        .left("read on", |reading| reading.on.to_string())
        .right("read", |reading| measured(fit, reading.seen_m))
        .numbers(["before\nlow", "\nhigh"], |reading| {
            ends(fit, reading.before_m)
        });
    table.numbers(["after\nlow", "\nhigh"], |reading| {
        ends(fit, reading.after_m)
    });
    table.left("", |reading| {
        let mark = if reading.is_doubted { "doubted" } else { "" };
        mark.to_owned()
    });
    table.drawn(asked.output.look)
}

/// The table of months.
fn forecast(fit: &Fit, asked: &FitArguments) -> String {
    let rows = asked.every.of(&fit.months, |row| row.month);
    let of = |band: Interval| {
        let [first, last] = ends(fit, band);
        [first, measured(fit, band.mean), last]
    };
    let mut table = Table::of(&rows);
    table
        .right("month", |row| row.month.to_string())
        .left("date", |row| row.date.to_string())
        .interval("before", |row| of(row.height_before_m));
    table.interval("after", |row| of(row.height_m));
    table.drawn(asked.output.look)
}
