//! Do the page on the constants and the library's list say what the source says, and all of it?
//! Does the README say how many figures were read?
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "../examples/write_docs/constants.rs"]
mod constants;

use std::path::Path;

use constants::{cell, list, page};
use moulder_core::bed::parameters::CONSTANTS;
use moulder_words::sources::counted;

#[test]
fn the_page_on_the_constants_is_not_stale() {
    let made = page(Path::new(env!("CARGO_MANIFEST_DIR"))).unwrap();
    assert!(
        include_str!("../docs/constants.md") == made,
        "make it anew: cargo run --example write_docs"
    );
}

#[test]
fn the_list_of_the_library_is_not_stale() {
    let made = list(Path::new(env!("CARGO_MANIFEST_DIR"))).unwrap();
    assert!(
        include_str!("../crates/moulder/data/constants.json") == made,
        "make it anew: cargo run --example write_docs"
    );
}

#[test]
fn the_readme_counts_the_figures() {
    let readme: Vec<&str> = include_str!("../README.md").split_whitespace().collect();
    let said = counted();
    assert!(readme.join(" ").contains(&said), "README.md: {said}");
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
