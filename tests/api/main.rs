//! The public interface, one listing per crate, so that a change of it is seen and intended.
//!
//! Renew the listings with `INSTA_UPDATE=always cargo test --test api`.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod listing;

use std::fs;
use std::path::{Path, PathBuf};

use listing::{FrontDoor, Listing};

fn root_of(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("crates")
        .join(name)
        .join("src/lib.rs")
}

fn listing_of(name: &str) -> Listing {
    listing::of(&root_of(name), &name.replace('-', "_"))
}

/// The libraries; the command's contract is its output.
const LIBRARIES: [&str; 7] = [
    "moulder",
    "moulder-bridge",
    "moulder-chart",
    "moulder-core",
    "moulder-page",
    "moulder-solve",
    "moulder-words",
];

#[test]
fn what_is_public_is_as_listed() {
    for name in LIBRARIES {
        let by_door = listing::by_door(&root_of(name), &name.replace('-', "_"));
        // Where a front door hands on what is behind it, the rest is listed apart.
        if name == "moulder" || name == "moulder-chart" {
            let [door, internals] = by_door;
            insta::assert_snapshot!(name, door.text);
            insta::assert_snapshot!(format!("{name}-internals"), internals.text);
        } else {
            insta::assert_snapshot!(name, listing_of(name).text);
        }
    }
}

/// The listing finds what it should and leaves out what is private, so that an empty listing
/// cannot pass for a small one.
#[test]
fn a_listing_holds_what_is_public_and_no_more() {
    let sample = listing::of(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/api/sample/lib.rs"),
        "sample",
    );
    let text = sample.text;
    insta::assert_snapshot!("sample", text);
    assert!(!text.to_lowercase().contains("hidden"), "{text}");
    for shown in [
        "seen_function",
        "seen_method",
        "Seen",
        "seen_field",
        "made_by_macro",
        "DEEP",
        "ThisWay",
    ] {
        assert!(text.contains(shown), "{shown} is missing:\n{text}");
    }
    let foreign: Vec<String> = sample.foreign.into_iter().collect();
    assert_eq!(
        foreign,
        ["other::Kind", "renamed::deep::Thing", "whole::path::To"]
    );
}

/// No other library appears in the interface, except those whose types are part of our
/// vocabulary: calendar days, and the traits and schema by which values become JSON; thiserror
/// implements traits of the standard library and shows nothing of its own. So libraries can be
/// changed without breaking users.
#[test]
fn no_other_library_shows_through() {
    const WORDS: [&str; 4] = ["jiff::civil", "schemars::", "serde::", "thiserror::Error"];
    for name in LIBRARIES {
        for path in listing_of(name).foreign {
            // The bridge is about JSON: its values are what is asked and answered.
            let is_json = name == "moulder-bridge" && path == "serde_json::Value";
            assert!(
                is_json || WORDS.iter().any(|word| path.starts_with(word)),
                "{name} shows {path}"
            );
        }
    }
}

/// The front door stays small: every name at the root is one that a newcomer meets.
#[test]
fn the_front_door_is_small() {
    let door = FrontDoor::of(&root_of("moulder"));
    assert!(door.root.len() <= 48, "{:?}", door.root);
    assert!(door.modules.len() <= 8, "{:?}", door.modules);
    for name in ["Bed", "Forecast", "Error", "Sourced", "forecast_all"] {
        assert!(door.root.contains(name), "{name}");
    }
    assert!(!door.modules.contains("internals"));
}

/// Charts and pages use the front door and words alone: so it suffices.
#[test]
fn charts_and_pages_take_the_front_door() {
    for name in ["moulder-chart", "moulder-page"] {
        let folder = root_of(name).with_file_name("");
        let mut count = 0;
        for file in sources(&folder) {
            let text = fs::read_to_string(&file).unwrap();
            assert!(!text.contains("moulder::internals"), "{}", file.display());
            count += usize::from(text.contains("moulder::"));
        }
        assert!(count > 3, "{name}");
    }
}

/// Every name at the root has an example that runs.
#[test]
fn every_name_at_the_root_has_an_example() {
    // Calendar days are another library's.
    const FOREIGN: [&str; 2] = ["Date", "date"];
    let mut texts = Vec::new();
    for name in ["moulder", "moulder-core"] {
        for file in sources(&root_of(name).with_file_name("")) {
            texts.push(fs::read_to_string(file).unwrap());
        }
    }
    for name in FrontDoor::of(&root_of("moulder")).root {
        if FOREIGN.contains(&&*name) {
            continue;
        }
        let defined = if name == "Sourced" { "Value" } else { &name };
        let has_example = texts.iter().any(|text| has_example(text, defined));
        assert!(has_example, "{name} has no example");
    }
}

/// Whether a text defines that name below docs with an example.
fn has_example(text: &str, name: &str) -> bool {
    let lines: Vec<&str> = text.lines().map(str::trim_start).collect();
    let kinds = ["struct", "enum", "fn", "const fn", "type"];
    let is_head = |line: &str| {
        let mut heads = kinds.iter().map(|kind| format!("pub {kind} {name}"));
        heads.any(|head| {
            let rest = line.strip_prefix(&head);
            rest.is_some_and(|rest| rest.starts_with([' ', '(', '<', ';', '{']))
        })
    };
    (0..lines.len()).any(|at| {
        let before = lines[..at].iter().rev();
        let mut above = before
            .take_while(|line| line.starts_with("///") || !line.ends_with('}') && !line.is_empty());
        is_head(lines[at]) && above.any(|line| *line == "/// ```")
    })
}

/// Every source file below a folder.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(sources(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
    files
}
