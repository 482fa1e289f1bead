//! Simulation-based calibration of fits, on many beds.
//!
//! ```sh
//! cargo run --release --example calibration                # 500 beds
//! cargo run --release --example calibration -- --beds 60 --errors 3
//! ```
//!
//! `--errors 3` takes reading errors three times those the fit assumes, which must show.
#![allow(clippy::print_stdout, reason = "its answer is what it prints")]

mod ranks;

use moulder::internals::library::Library;
use moulder::internals::read::read_toml;

use ranks::{Ranks, Trial, chi_square_p, farthest, ranks};

/// A bed that is quick to run.
const BED: &str = include_str!("bed.toml");

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut trial = Trial {
        months: 8,
        draws: 2000,
        beds: 500,
    };
    let mut error_factor = 1.0;
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let value = words.next().unwrap_or_default();
        match word.as_str() {
            "--beds" => trial.beds = value.parse()?,
            "--draws" => trial.draws = value.parse()?,
            "--errors" => error_factor = value.parse()?,
            other => return Err(format!("{other} is not known: --beds, --draws, --errors").into()),
        }
    }
    let bed = read_toml(BED, &Library::built_in())?;
    let [
        Ranks {
            height,
            sunk,
            effective,
        },
    ] = ranks(&bed, trial, [error_factor])?;
    println!(
        "{} beds, {} draws of which {effective:.0} count on the mean, errors {error_factor} times as told",
        trial.beds, trial.draws
    );
    let mut is_sure = true;
    for (what, ranks) in [("height at the end", height), ("sunk half way", sunk)] {
        let (far, once_in_a_thousand) = farthest(&ranks);
        is_sure &= chi_square_p(&ranks) > 0.001 && far < once_in_a_thousand;
        println!(
            "{what}: chi-square in {} bins p = {:.4}; ranks off by {far:.3} at most, band {once_in_a_thousand:.3}",
            ranks::BINS,
            chi_square_p(&ranks)
        );
    }
    if is_sure {
        Ok(())
    } else {
        Err("fits are not as sure as they say".into())
    }
}
