//! Beds for the tests, and one way of comparing numbers.
#![allow(dead_code, reason = "each test file uses a part of it")]

pub(crate) mod accounts;
pub(crate) mod trial;

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicU32, Ordering};

use moulder::internals::bed::Bed;
use moulder::internals::library::Library;
use moulder::internals::read::read_toml;
use moulder::internals::text::limit::{LAYERS, MATERIALS_A_LAYER};

/// The demo bulk bag.
pub(crate) fn demo_bag() -> Bed {
    read(include_str!("../../examples/beds/bulk-bag.toml"))
}

/// The demo box with a log base.
pub(crate) fn demo_box() -> Bed {
    read(include_str!("../../examples/beds/log-box.toml"))
}

/// Mounds steeper than what they are made of rests: loam alone; logs alone, which rest steeper;
/// and a bit of everything over a trench.
pub(crate) const MOUNDS: [&str; 3] = [
    r#"
format = 1
name = "a mound of loam"
filled = 2026-03-14
climate = "Cambridge UK"
[bed]
shape = "mound"
width = "2 m"
length = "4 m"
slope = "65 deg"
[[layer]]
put = [{ material = "loamy topsoil", amount = "150 cm" }]
"#,
    r#"
format = 1
name = "a mound of logs"
filled = 2026-03-14
climate = "Cambridge UK"
[bed]
shape = "mound"
width = "2 m"
length = "4 m"
slope = "60 deg"
[[layer]]
put = [{ material = "birch log", amount = "100 cm" }]
"#,
    r#"
format = 1
name = "a mound over a trench"
filled = 2026-10-15
climate = "Cambridge UK"
[bed]
shape = "mound"
width = "1.8 m"
length = "4 m"
slope = "60 deg"
trench = "25 cm"
[[layer]]
put = [{ material = "birch log", amount = "40 cm" }]
[[layer]]
put = [{ material = "woody prunings", amount = "25 cm" }]
[[layer]]
put = [{ material = "deciduous leaves", amount = "25 cm" }]
[[layer]]
put = [{ material = "loamy topsoil", amount = "25 cm" }]
"#,
];

/// The largest bed accepted: as many layers of as many ingredients as the reader takes, all
/// library materials in turn, or one material alone.
pub(crate) fn largest_bed(of: Option<&str>) -> Bed {
    let library = Library::built_in();
    let names: Vec<&str> = library.materials().map(|it| it.name.as_str()).collect();
    let ingredient = |place: usize| {
        let name = of.unwrap_or_else(|| names[place % names.len()]);
        format!("{{ material = \"{name}\", amount = \"10 L\" }},\n")
    };
    let mut text = "format = 1\nname = \"the largest\"\nfilled = 2026-03-14\n\
         climate = \"Cambridge UK\"\n[bed]\nshape = \"box\"\nwidth = \"1.2 m\"\n\
         length = \"2.4 m\"\nrim = \"2 m\"\n"
        .to_owned();
    for layer in 0..LAYERS {
        let places = layer * MATERIALS_A_LAYER..(layer + 1) * MATERIALS_A_LAYER;
        let put: String = places.map(ingredient).collect();
        text.extend(["[[layer]]\nput = [\n", &put, "]\n"]);
    }
    read(&text)
}

/// Reads a bed file that must be without faults.
pub(crate) fn read(text: &str) -> Bed {
    match read_toml(text, &Library::built_in()) {
        Ok(bed) => bed,
        Err(faults) => panic!("{}", moulder::internals::fault::sentence::faults(&faults)),
    }
}

/// Counts the runs of everything that reports its progress to it.
#[derive(Debug, Default)]
pub(crate) struct Counter(AtomicU32);

impl Counter {
    /// To be called after each run.
    pub(crate) fn count(&self, done: u32, _of: u32) -> ControlFlow<()> {
        self.0.fetch_add(u32::from(done > 0), Ordering::Relaxed);
        ControlFlow::Continue(())
    }

    /// The count so far.
    pub(crate) fn done(&self) -> u32 {
        self.0.load(Ordering::Relaxed)
    }
}

/// Compares two numbers, and shows both with both tolerances on failure.
#[track_caller]
pub(crate) fn assert_close(actual: f64, expected: f64, relative: f64, absolute: f64) {
    let allowed = absolute + relative * expected.abs();
    assert!(
        (actual - expected).abs() <= allowed,
        "{actual} is not {expected} within {relative:e} relative and {absolute:e} absolute"
    );
}
