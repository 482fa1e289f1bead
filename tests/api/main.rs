//! What is public, as one listing a crate: a change of it is seen, and meant.
//!
//! The listings are made anew by `INSTA_UPDATE=always cargo test --test api`.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod listing;

use std::fs;
use std::path::Path;

use listing::Listing;

fn listing_of(name: &str) -> Listing {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("crates")
        .join(name);
    listing::of(&root.join("src/lib.rs"), &name.replace('-', "_"))
}

/// The libraries; the command's own contract is what it prints.
const LIBRARIES: [&str; 6] = [
    "moulder",
    "moulder-chart",
    "moulder-core",
    "moulder-page",
    "moulder-solve",
    "moulder-words",
];

#[test]
fn what_is_public_is_as_listed() {
    for name in LIBRARIES {
        insta::assert_snapshot!(name, listing_of(name).text);
    }
}

/// The walk finds what it should and leaves out what is nobody else's: so that an empty
/// listing cannot pass for a small one.
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

/// No other library shows through, save those whose types are words of ours: days of the
/// calendar, and the traits and the schema by which values become JSON. So we may change
/// libraries without breaking who uses us.
#[test]
fn no_other_library_shows_through() {
    const WORDS: [&str; 3] = ["jiff::civil", "schemars::", "serde::"];
    for name in LIBRARIES {
        for path in listing_of(name).foreign {
            assert!(
                WORDS.iter().any(|word| path.starts_with(word)),
                "{name} shows {path}"
            );
        }
    }
}

/// Each module of the laws, the march and the facade shows how it is used, by an example
/// that runs. Charts and pages are shown on the front of their crates.
#[test]
fn every_module_has_an_example() {
    for name in ["moulder", "moulder-core", "moulder-solve"] {
        let source = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("crates")
            .join(name)
            .join("src");
        let root = fs::read_to_string(source.join("lib.rs")).unwrap();
        let modules = root
            .lines()
            .filter_map(|line| line.strip_prefix("pub mod "));
        let mut count = 0;
        for module in modules.map(|module| module.trim_end_matches(';')) {
            let mut files = vec![source.join(format!("{module}.rs"))];
            if let Ok(folder) = fs::read_dir(source.join(module)) {
                files.extend(folder.map(|file| file.unwrap().path()));
            }
            let has_example = files.iter().any(|file| {
                let text = fs::read_to_string(file).unwrap_or_default();
                // A fence opens where none is open; without a word it opens code that runs.
                let mut is_inside = false;
                text.lines().map(str::trim_start).any(|line| {
                    let docs = ["//! ```", "/// ```"].map(|fence| line.strip_prefix(fence));
                    let fence = docs.into_iter().flatten().next();
                    is_inside ^= fence.is_some();
                    is_inside && fence == Some("")
                })
            });
            assert!(has_example, "{name}::{module} has no example");
            count += 1;
        }
        assert!(count > 5, "{name} has {count} modules");
    }
}
