//! Does the page on the constants say what the source says, and all of it?
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "../examples/write_docs/constants.rs"]
mod constants;

use std::path::Path;

use constants::{cell, page};
use moulder_core::bed::parameters::CONSTANTS;

#[test]
fn the_page_on_the_constants_is_not_stale() {
    let made = page(Path::new(env!("CARGO_MANIFEST_DIR"))).unwrap();
    assert!(
        include_str!("../docs/constants.md") == made,
        "make it anew: cargo run --example write_docs"
    );
}

/// Every constant that realisations draw has its row, with the number that the laws take.
#[test]
fn every_uncertain_constant_has_a_row() {
    let page = include_str!("../docs/constants.md");
    for row in CONSTANTS {
        let value = row.value;
        let ending = format!(
            "| {} | {} | {} |",
            cell(&value.unit),
            format!("{:?}", value.status).to_lowercase(),
            cell(&value.source)
        );
        let of_it = page.lines().filter(|line| line.ends_with(&ending));
        let figures = [value.best, value.spread.low, value.spread.high];
        let found = of_it.filter(|line| {
            let cells: Vec<&str> = line.split(" | ").collect();
            let written = cells[3].parse().ok().zip(cells[4].split_once(" to "));
            written.is_some_and(|(best, (low, high)): (f64, _)| {
                let read = [best, low.parse().unwrap(), high.parse().unwrap()];
                read.map(f64::to_bits) == figures.map(f64::to_bits)
            })
        });
        assert_eq!(found.count(), 1, "{}: {ending}", value.source);
    }
}
