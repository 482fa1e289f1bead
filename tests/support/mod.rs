//! Beds for the tests, and one way of comparing numbers.
#![allow(dead_code, reason = "each test file uses a part of it")]

pub(crate) mod accounts;
pub(crate) mod trial;

use moulder::bed::Bed;
use moulder::catalogue::Catalogue;
use moulder::limit::{LAYERS, MATERIALS_A_LAYER};
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

/// The largest bed there may be: as many layers of as many ingredients as the reader takes,
/// the shelf over and over, or of one material alone.
pub(crate) fn largest_bed(of: Option<&str>) -> Bed {
    let shelf = Catalogue::built_in();
    let names: Vec<&str> = shelf.iter().map(|it| it.name.as_str()).collect();
    let ingredient = |place: usize| {
        let name = of.unwrap_or_else(|| names[place % names.len()]);
        format!("{{ material = \"{name}\", amount = \"10 L\" }},\n")
    };
    let head = "format = 1\nname = \"the largest\"\nfilled = 2026-03-14\n\
         climate = \"Cambridge UK\"\n[bed]\nshape = \"box\"\nwidth = \"1.2 m\"\n\
         length = \"2.4 m\"\nrim = \"2 m\"\n";
    let layer = |layer: usize| {
        let places = layer * MATERIALS_A_LAYER..(layer + 1) * MATERIALS_A_LAYER;
        let put: String = places.map(ingredient).collect();
        format!("[[layer]]\nput = [\n{put}]\n")
    };
    let layers: String = (0..LAYERS).map(layer).collect();
    read(&format!("{head}{layers}"))
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
