//! Forecasts compared with observations: the open observed cases, by class.
//!
//! ```text
//! cargo run --release --example cases
//! cargo run --release --example cases -- --draws 64
//! ```
//!
//! `open.json` has the cases with their sources; `beds/` one bed per case, written from its
//! description before any forecast of it was run, with what was chosen where the description is
//! silent, and a few named variants of that. Each reading is compared with the 80 % interval
//! over all of these. It is a report and judges nothing: it exits with 1 only where a bed file
//! cannot be read or built, or a case has no bed, or a bed no case.
#![allow(clippy::print_stdout, reason = "an example shows its answer")]
#![allow(
    dead_code,
    reason = "examples/series uses the rest of the shared files"
)]

mod discrepancy;
mod draws;
mod files;
mod forecasts;
mod observed;
mod proper;
mod range;
mod report;
mod scaled;
mod score;

use std::process::ExitCode;

use moulder::internals::fault::error::Error;
use moulder::internals::library::Library;
use report::Row;

/// Default number of realisations of each bed of a case: with the two variants that most cases
/// have, the ends of an interval rest on five realisations beyond each.
const DRAWS_A_BED: u32 = 16;

fn main() -> ExitCode {
    match asked().and_then(run) {
        Ok(()) => ExitCode::SUCCESS,
        Err(faults) => {
            for fault in faults {
                println!("{fault}");
            }
            ExitCode::FAILURE
        }
    }
}

/// Number of realisations of each bed.
fn asked() -> Result<u32, Vec<String>> {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let count = match given.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        [] => Some(DRAWS_A_BED),
        ["--draws", count] => count.parse().ok().filter(|count| *count > 0),
        _ => None,
    };
    count.ok_or_else(|| vec!["asked for as in: --draws 64".to_owned()])
}

fn run(draws: u32) -> Result<(), Vec<String>> {
    let path = files::folder("cases").join("open.json");
    let text = std::fs::read_to_string(path).map_err(|error| vec![error.to_string()])?;
    let cases = observed::cases(&text).map_err(|fault| vec![format!("open.json: {fault}")])?;
    let beds = files::beds("cases", &Library::built_in())?;
    let misfits = files::misfits(&cases, &beds);
    if !misfits.is_empty() {
        return Err(misfits);
    }
    let mut rows = Vec::new();
    for case in &cases {
        let fault = |error: Error| vec![format!("{}: {error}", case.id)];
        let heights_cm = forecasts::heights_cm(case, &beds);
        let (height_cm, heights_cm) = heights_cm.map_err(|error| fault(error.into()))?;
        let told = forecasts::told(case, &beds, draws).map_err(fault)?;
        for (reading, told) in case.readings.iter().zip(told) {
            let score = score::score(reading, &told);
            rows.push(Row {
                case,
                reading,
                height_cm,
                heights_cm,
                told,
                score,
            });
        }
    }
    report::print(&cases, &rows, draws);
    println!();
    println!("Standard deviation of the model discrepancy, and the classes it is from:");
    discrepancy::print(&cases, &beds);
    Ok(())
}
