//! How good are the forecasts? Published series and the open observed cases, scored against two
//! rules of thumb, and against an earlier run of this program.
//!
//! ```text
//! cargo run --release --example series
//! cargo run --release --example series -- --draws 200 --save before.json
//! cargo run --release --example series -- --draws 200 --against before.json
//! cargo run --example series -- --small
//! ```
//!
//! `series.json` has the series with their sources, and what cannot be simulated with the reason;
//! `beds/` one bed per series, written from its description before any forecast of it was run,
//! and a few named variants of that. Series that figures or laws were made with are marked as
//! used and stand apart; a series of the calibration that ships is scored under one without its
//! source (`examples/posterior`). The cases are those of `examples/cases`, marked as seen: laws were chosen
//! by their misses. It judges nothing: it exits with 1 only where a file cannot
//! be read or built, or a series has no bed, or a bed no series.
#![allow(clippy::print_stdout, reason = "an example shows its answer")]
#![allow(dead_code, reason = "examples/cases uses the rest of the shared files")]

#[path = "../cases/discrepancy.rs"]
mod discrepancy;
#[path = "../cases/draws.rs"]
mod draws;
#[path = "../cases/files.rs"]
mod files;
mod left_out;
mod marks;
#[path = "../cases/observed.rs"]
mod observed;
mod options;
mod paired;
mod part;
#[path = "../cases/proper.rs"]
mod proper;
#[path = "../cases/range.rs"]
mod range;
mod report;
mod row;
mod saved;
#[path = "../cases/scaled.rs"]
mod scaled;
mod subject;
mod thumb;
mod versus;
mod widened;

use std::process::ExitCode;

use left_out::LeftOut;
use marks::{Marks, marks};
use observed::Case;
use options::{Options, SMALL_MONTHS};
use row::Row;
use saved::Saved;
use subject::{Set, Subject};
use thumb::RULES;

fn main() -> ExitCode {
    match Options::given().and_then(|options| run(&options)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(faults) => {
            for fault in faults {
                println!("{fault}");
            }
            ExitCode::FAILURE
        }
    }
}

fn run(options: &Options) -> Result<(), Vec<String>> {
    let earlier = options.against.as_deref().map(saved::read).transpose()?;
    let series = listed(Set::Series)?;
    let seen = listed(Set::Seen)?;
    let mut subjects = Vec::new();
    for (set, (cases, beds)) in [(Set::Series, &series), (Set::Seen, &seen)] {
        for case in cases.iter().filter(|case| case.not_scored.is_none()) {
            let is_short = case
                .readings
                .iter()
                .all(|reading| reading.months.high <= SMALL_MONTHS);
            if options.is_small && !is_short {
                continue;
            }
            let set = case.used.as_ref().map_or(set, |_| Set::Used);
            let under = beds.of(&case.group);
            let (beds, calibration) = (&under.beds, &under.calibration);
            let of_case = Subject::of_case(set, case, beds, options.draws, calibration);
            subjects.extend(of_case.map_err(|error| vec![format!("{}: {error}", case.id)])?);
        }
    }
    let rows: Vec<Row<'_>> = subjects
        .iter()
        .map(|subject| Row {
            subject,
            ours: marks(subject, &subject.members()),
            rules: RULES.map(|rule| scored(subject, rule, &subjects)),
        })
        .collect();
    report::print(&rows, options);
    let parts = part::parts(&rows);
    part::print_pooled(&parts);
    versus::print_rules(&parts);
    widened::print(&rows);
    println!();
    println!(
        "Standard deviation of the model discrepancy, and the classes it is from: priors of the"
    );
    println!("program, none of them set from a source that is scored.");
    for (cases, beds) in [&series, &seen] {
        discrepancy::print(cases, beds.kept());
    }
    report::print_not_scored(&series.0);
    if let Some((earlier, file)) = earlier.zip(options.against.as_deref()) {
        versus::print_against(&Saved::of(&rows, options.draws), &earlier, file);
    }
    match &options.save {
        Some(file) => saved::write(file, &Saved::of(&rows, options.draws)),
        None => Ok(()),
    }
}

/// The marks of a rule of thumb; none for what it does not speak of.
fn scored(subject: &Subject<'_>, rule: thumb::Rule, all: &[Subject<'_>]) -> Option<Marks> {
    let members = rule.members(subject, all)?;
    Some(marks(subject, &members))
}

/// The cases of a set and their beds.
fn listed(set: Set) -> Result<(Vec<Case>, LeftOut), Vec<String>> {
    let (example, file) = set.place();
    let path = files::folder(example).join(file);
    let text = std::fs::read_to_string(path).map_err(|error| vec![format!("{file}: {error}")])?;
    let cases = observed::cases(&text).map_err(|fault| vec![format!("{file}: {fault}")])?;
    let beds = LeftOut::read(example)?;
    let misfits = files::misfits(&cases, beds.kept());
    if misfits.is_empty() {
        Ok((cases, beds))
    } else {
        Err(misfits)
    }
}
