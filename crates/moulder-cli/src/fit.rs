//! `moulder fit`: a bed's forecast after a tape was held to it.

use moulder::internals::fault::FaultCode;
use moulder::internals::fit::{Fit, Fitting, fit};
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::height::figure;
use moulder_words::fit::{draws_in_words, fit_in_a_sentence, posterior_in_words, room_in_words};

use crate::arguments::FitArguments;
use crate::bed_file::BedFile;
use crate::complaint::Complaint;
use crate::lines::{TextWidth, wrapped};
use crate::output::pretty;
use crate::progress::Progress;
use crate::refusal::Refusal;
use crate::table::{Column, Stand, table};
use crate::trouble::Trouble;
use crate::{forecast, notices};

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
    let file = BedFile::open(&asked.bed.bed)?;
    let bed = file.read(&asked.bed)?;
    let name = &file.file.name;
    if bed.readings().is_empty() {
        return Err(Trouble::BadInput(vec![no_reading(name)]));
    }
    let first = notices::first_of(std::iter::once((&bed, &**name)))?;
    let fitting = Fitting {
        months: asked.months,
        ensemble_size: asked.draws,
        seed: asked.seed,
    };
    let fit = fit(&bed, fitting, &Progress::of(asked.look).watch())
        .map_err(|error| forecast::refused(name, error))?;
    if asked.json {
        return Ok(pretty(&fit));
    }
    let layers: Vec<String> = bed
        .layers()
        .iter()
        .map(|layer| layer.name.clone())
        .collect();
    Ok(first + &in_words(&fit, &layers, asked))
}

/// There is nothing to fit to; with how a reading is written.
fn no_reading(name: &str) -> Complaint {
    let said = format!("{name} holds no tape reading to fit to.");
    let words = format!("{}\n{HOW_TO}", wrapped(&said, TextWidth::PLAIN));
    let refusal = Refusal::new(FaultCode::MissingField, said).file(name);
    Complaint::laid_out(words, refusal.path("/reading"))
}

fn in_words(fit: &Fit, layers: &[String], asked: &FitArguments) -> String {
    let mut said = String::new();
    let told = [fit_in_a_sentence(fit), Some(draws_in_words(fit))];
    for sentence in told.into_iter().flatten() {
        said.push_str(&wrapped(&sentence, TextWidth::PLAIN));
    }
    said.push('\n');
    let title = format!("{}, filled {}, {}", fit.name, fit.filled, fit.climate);
    said.push_str(&wrapped(&title, TextWidth::PLAIN));
    let from = match fit.rim_m {
        Some(_) => "How far below the rim",
        None => "How high over the ground",
    };
    let heading = format!(
        "{from}, in {}. Four times in five it lies between low and high.",
        forecast::unit_in_words(fit.units)
    );
    said.push_str(&wrapped(&heading, TextWidth::PLAIN));
    said.push('\n');
    said.push_str(&readings(fit, asked));
    if let Some(posterior_summary) = posterior_in_words(fit) {
        said.push('\n');
        said.push_str(&wrapped(&posterior_summary, TextWidth::PLAIN));
    }
    said.push('\n');
    said.push_str(&months(fit, asked));
    if let Some(room) = room_in_words(fit) {
        said.push('\n');
        said.push_str(&wrapped(&room, TextWidth::PLAIN));
    }
    said.push_str(&notices::in_short(&fit.notices, layers));
    said
}

/// A height as it is measured: from the rim down where there is one.
fn measured(fit: &Fit, height_m: f64) -> String {
    figure(
        fit.rim_m.map_or(height_m, |rim_m| rim_m - height_m),
        fit.units,
    )
}

/// The ends of a band as they are measured.
fn ends(fit: &Fit, band: Interval) -> [String; 2] {
    let (first, last) = match fit.rim_m {
        Some(_) => (band.upper, band.lower),
        None => (band.lower, band.upper),
    };
    [measured(fit, first), measured(fit, last)]
}

/// The table of readings.
fn readings(fit: &Fit, asked: &FitArguments) -> String {
    let mut columns = vec![
        Column::new("read on", Stand::Left),
        Column::new("read", Stand::Right),
        Column::new("before\nlow", Stand::Right),
        Column::new("\nhigh", Stand::Right),
    ];
    if !fit.agreement.contradicts {
        columns.push(Column::new("after\nlow", Stand::Right));
        columns.push(Column::new("\nhigh", Stand::Right));
    }
    columns.push(Column::new("", Stand::Left));
    let rows = fit.readings.iter().map(|reading| {
        let mut cells = vec![reading.on.to_string(), measured(fit, reading.seen_m)];
        cells.extend(ends(fit, reading.before_m));
        if !fit.agreement.contradicts {
            cells.extend(ends(fit, reading.after_m));
        }
        let mark = if reading.is_doubted { "doubted" } else { "" };
        cells.push(mark.to_owned());
        cells
    });
    table(&columns, rows.collect(), asked.look)
}

/// The table of months.
fn months(fit: &Fit, asked: &FitArguments) -> String {
    let mut columns = vec![
        Column::new("month", Stand::Right),
        Column::new("date", Stand::Left),
        Column::new("before\nlow", Stand::Right),
        Column::new("\nmiddle", Stand::Right),
        Column::new("\nhigh", Stand::Right),
    ];
    if !fit.agreement.contradicts {
        columns.push(Column::new("after\nlow", Stand::Right));
        columns.push(Column::new("\nmiddle", Stand::Right));
        columns.push(Column::new("\nhigh", Stand::Right));
    }
    let last = fit.months.last().map_or(0, |row| row.month);
    let shown = fit.months.iter();
    let shown = shown.filter(|row| row.month % asked.every == 0 || row.month == last);
    let rows = shown.map(|row| {
        let of = |band: Interval| {
            let [first, last] = ends(fit, band);
            [first, measured(fit, band.median), last]
        };
        let mut cells = vec![row.month.to_string(), row.date.to_string()];
        cells.extend(of(row.height_before_m));
        if !fit.agreement.contradicts {
            cells.extend(of(row.height_m));
        }
        cells
    });
    table(&columns, rows.collect(), asked.look)
}
