//! Beds for the tests, and one way of comparing numbers.
#![allow(dead_code, reason = "each test file uses a part of it")]

pub(crate) mod accounts;
pub(crate) mod trial;

use moulder::bed::Bed;
use moulder::catalogue::Catalogue;
use moulder::read::read_toml;
use moulder::station::Stations;
use moulder::watcher::{Go, Watcher};

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
        Err(faults) => panic!("{}", moulder::text::faults(&faults)),
    }
}

/// Counts what is worked at, whatever it is called to watch one after the other.
#[derive(Debug, Default)]
pub(crate) struct Counter {
    /// How much was done in all.
    pub(crate) done: u32,
    so_far: u32,
}

impl Watcher for Counter {
    fn done(&mut self, so_far: u32, _of: u32) -> Go {
        // Something else begins where it falls back.
        self.done += so_far.saturating_sub(self.so_far);
        self.so_far = so_far;
        Go::On
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
