//! Every check of the library against external figures, as one table.
//!
//! ```text
//! cargo run --release --example validation
//! ```
//!
//! Each figure is computed here, through the public interface of the crates, and compared with
//! a published one: to half of its last digit, or to more with the reason beneath. What is from
//! memory, common practice, or only computed by us in another way is marked so. Exits with 1 on
//! any miss.
//!
//! Where a test of the library has the same figure, the file of the subject names it.
#![allow(clippy::print_stdout, reason = "an example shows its answer")]

mod beds;
mod chance;
mod check;
mod climate;
mod decay;
mod evapotranspiration;
mod gases;
mod mixture;
mod moisture;
mod nitrogen;
mod packing;
#[path = "../../crates/moulder/tests/printed/mod.rs"]
mod printed;
#[path = "../../crates/moulder/tests/records/mod.rs"]
mod records;
mod settlement;
mod shelf;
mod source;
mod subject;
#[path = "../../tests/support/mod.rs"]
mod support;
mod table;
mod tally;
mod temperature;
mod units;
mod wood;

use std::process::ExitCode;

use subject::Subject;

/// Not covered by the checks above.
const NOT_VALIDATED: &[&str] = &[
    "No measured height series of a wood-filled bed was found: how fast a whole bed sinks is \
     held to what the trade says, which has no source.",
    "Beds, mounds and heaps that others saw sink are a report with its misses: cargo run \
     --release --example cases.",
    "Litter of 26 sites, half of them fitted and half predicted, is a program of its own: cargo \
     run --release --example litter.",
    "Whether the laws that are our own closures hold (they say so where they stand): sifting, \
     treading, the wind through a stack, what roots find of nitrogen, what rain takes of it.",
    "Settling is held to textbook clay; chips in a column settle less than their measured \
     compressibility has it (off, above); brush, turf and green waste under soil have nothing.",
    "Water and heat inside a wood-filled bed, month by month: only heaps were found.",
    "Gases: what escapes as methane or nitrous oxide is an inventory's factor, no forecast.",
    "That the fast path solves the laws it is given is another question: cargo run --release \
     --example accuracy, and the tests.",
];

fn main() -> ExitCode {
    let subjects = subjects();
    for line in report(&subjects) {
        println!("{line}");
    }
    if tally::missed(&subjects) == 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

fn subjects() -> Vec<Subject> {
    vec![
        climate::subject(),
        evapotranspiration::subject(),
        temperature::subject(),
        moisture::subject(),
        decay::subject(),
        wood::subject(),
        settlement::subject(),
        packing::subject(),
        nitrogen::subject(),
        mixture::subject(),
        gases::subject(),
        shelf::subject(),
        beds::subject(),
        chance::subject(),
        units::subject(),
    ]
}

fn report(subjects: &[Subject]) -> Vec<String> {
    let mut lines = table::heading();
    lines.extend(subjects.iter().flat_map(table::lines));
    lines.extend(table::summary(subjects));
    lines.extend([String::new(), "WHAT IS NOT VALIDATED".to_owned()]);
    lines.extend(NOT_VALIDATED.iter().flat_map(|text| {
        let mut wrapped = table::wrapped(text, "  ");
        if let Some(first) = wrapped.first_mut() {
            first.replace_range(..1, "-");
        }
        wrapped
    }));
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::Verdict;

    #[test]
    fn no_check_is_missed_and_every_line_fits() {
        let subjects = subjects();
        for subject in &subjects {
            assert!(!subject.sources.is_empty(), "{}", subject.title);
            for source in &subject.sources {
                assert!(!source.checks.is_empty(), "{}", source.name);
                for check in &source.checks {
                    assert_ne!(check.verdict(), Verdict::Miss, "{}: {check:?}", source.name);
                }
            }
        }
        let lines = report(&subjects).into_iter();
        let wide = lines.filter(|line| line.chars().count() > table::WIDTH);
        assert_eq!(wide.collect::<Vec<_>>(), Vec::<String>::new());
    }
}
