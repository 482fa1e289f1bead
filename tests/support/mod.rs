//! Beds for the tests, and one way of comparing numbers.
#![allow(dead_code, reason = "each test file uses a part of it")]

pub(crate) mod accounts;
pub(crate) mod trial;

use moulder::bed::Bed;
use moulder::library::climates::Stations;
use moulder::library::materials::Catalogue;
use moulder::read::read_toml;

/// The demo bulk bag.
pub(crate) fn demo_bag() -> Bed {
    read(include_str!("../../examples/beds/bulk-bag.toml"))
}

/// The demo box with a log base.
pub(crate) fn demo_box() -> Bed {
    read(include_str!("../../examples/beds/log-box.toml"))
}

/// Reads a bed file that must be free of faults.
pub(crate) fn read(text: &str) -> Bed {
    match read_toml(text, &Catalogue::built_in(), &Stations::built_in()) {
        Ok(bed) => bed,
        Err(faults) => panic!("{}", moulder::fault::sentence::faults(&faults)),
    }
}

/// Holds a number to another, and shows both with both tolerances if it fails.
#[track_caller]
pub(crate) fn assert_close(actual: f64, expected: f64, relative: f64, absolute: f64) {
    let allowed = absolute + relative * expected.abs();
    assert!(
        (actual - expected).abs() <= allowed,
        "{actual} is not {expected} within {relative:e} relative and {absolute:e} absolute"
    );
}
