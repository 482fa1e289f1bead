//! The calibration that ships, repeated: what the published series say of what families of
//! figures have in common.
//!
//! ```text
//! cargo run --release --example posterior
//! cargo run --release --example posterior -- --write
//! cargo run --example posterior -- --small
//! ```
//!
//! 1. Realisations of every series of soil, soft matter and chips that no figure was made with,
//!    under the priors of the shelf: all that is uncertain, its weather and discrepancy included.
//! 2. An emulator of each reading: `-ln(1 - strain)` as a polynomial of second degree, without
//!    cross terms, in the deviations that move it. What it leaves, by cross-validation, is the
//!    spread of the likelihood, with the give or take of the reading.
//! 3. A random walk on prior times likelihood, once with all sources, once without each.
//! 4. The mean and the covariance of the deviations that the series inform, kept with the shelf
//!    (`calibration.json`) and without each source (`left_out.json`, by which `examples/series`
//!    scores it); what no series informs keeps its prior and is listed.
//! 5. Realisations under the result, against what the emulator says of them.
//!
//! It exits with 1 where the calibration that ships does not come out again.
#![allow(clippy::print_stdout, reason = "an example shows its answer")]
#![allow(dead_code, reason = "examples/cases uses the rest of the shared files")]

#[path = "../cases/draws.rs"]
mod draws;
mod emulator;
#[path = "../cases/files.rs"]
mod files;
mod likelihood;
#[path = "../cases/observed.rs"]
mod observed;
mod options;
#[path = "../cases/range.rs"]
mod range;
mod reading;
mod report;
#[path = "../cases/scaled.rs"]
mod scaled;
mod summary;
mod walk;

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;

use moulder::internals::library::Library;
use moulder::internals::library::calibration::Calibration;

use likelihood::Term;
use observed::Case;
use options::Options;
use reading::{Readings, readings};

fn main() -> ExitCode {
    match Options::given().and_then(run) {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            println!("{fault}");
            ExitCode::FAILURE
        }
    }
}

fn run(options: Options) -> Result<(), String> {
    let cases = calibrating()?;
    let prior = realised(&cases, &options, Calibration::none())?;
    let terms: Vec<Term<'_>> = prior.iter().flat_map(Term::of).collect();
    let (kept, found) = summary::calibration(&terms, options.steps)?;
    report::print_emulators(&terms);
    report::print_posterior(&kept, &found, &terms);
    let mut left_out = BTreeMap::new();
    for source in kept.sources() {
        let others: Vec<Term<'_>> = terms
            .iter()
            .filter(|term| term.source != *source)
            .cloned()
            .collect();
        let (without, _) = summary::calibration(&others, options.steps)?;
        left_out.insert(source.clone(), without);
    }
    let check = realised(&cases, &options.for_check(), kept.clone())?;
    report::print_check(&terms, &kept, &check);
    if options.is_written {
        write("crates/moulder/data/calibration.json", &kept)?;
        return write("examples/posterior/left_out.json", &left_out);
    }
    report::print_against(&found)
}

/// The cases that calibrate: no figure or law was made with them, and they are no stacks of wood,
/// which settle also by causes outside the model.
fn calibrating() -> Result<Vec<Case>, String> {
    let path = files::folder("series").join("series.json");
    let text = std::fs::read_to_string(path).map_err(|error| error.to_string())?;
    let cases = observed::cases(&text)?.into_iter();
    let is_free = |case: &Case| case.not_scored.is_none() && case.used.is_none();
    let is_partly = |case: &Case| files::PARTLY.iter().any(|(class, _)| *class == case.class);
    Ok(cases
        .filter(|case| is_free(case) && !is_partly(case))
        .collect())
}

/// The realisations of all readings under a calibration.
fn realised(
    cases: &[Case],
    options: &Options,
    calibration: Calibration,
) -> Result<Vec<Readings>, String> {
    let beds = files::beds("series", &Library::calibrated(&calibration));
    let beds = beds.map_err(|faults| faults.join("\n"))?;
    let calibration = Arc::new(calibration);
    let mut all = Vec::new();
    for case in cases {
        let of_case = readings(case, &beds, options.draws, &calibration);
        all.push(of_case.map_err(|error| format!("{}: {error}", case.id))?);
    }
    Ok(all)
}

fn write(file: &str, what: &impl serde::Serialize) -> Result<(), String> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(file);
    let text = serde_json::to_string_pretty(what).map_err(|error| error.to_string())?;
    std::fs::write(path, text + "\n").map_err(|error| format!("{file}: {error}"))
}
