//! Every library that we depend on is in the table of `DEVELOPERS.md`, with its reason.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use toml::Table;

/// The manifests of the workspace.
fn manifests() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let crates = fs::read_dir(root.join("crates")).unwrap();
    crates
        .map(|folder| folder.unwrap().path())
        .chain([root.to_owned(), root.join("benches")])
        .map(|folder| folder.join("Cargo.toml"))
        .collect()
}

/// The names under that heading in all manifests, without our own crates.
fn libraries(heading: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    for manifest in manifests() {
        let table: Table = fs::read_to_string(&manifest).unwrap().parse().unwrap();
        if let Some(found) = table.get(heading) {
            names.extend(found.as_table().unwrap().keys().cloned());
        }
    }
    names.retain(|name| !name.starts_with("moulder"));
    names
}

/// The first words of the rows below a heading of `DEVELOPERS.md`.
fn listed(heading: &str) -> BTreeSet<String> {
    let page = include_str!("../DEVELOPERS.md");
    let (_, section) = page.split_once(heading).unwrap();
    let section = section.split("\n##").next().unwrap();
    let mut names = BTreeSet::new();
    for row in section.lines().filter(|line| line.starts_with("| `")) {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        let [name, reason] = cells[..] else {
            panic!("not a name and a reason: {row}");
        };
        assert!(reason.len() > 10, "no reason: {row}");
        assert!(
            names.insert(name.trim_matches('`').to_owned()),
            "twice: {row}"
        );
    }
    names
}

#[test]
fn every_library_has_its_reason() {
    let shipped = libraries("dependencies");
    assert!(shipped.contains("serde"), "{shipped:?}");
    assert_eq!(listed("### In what we ship"), shipped);
    let for_tests: BTreeSet<String> = libraries("dev-dependencies")
        .difference(&shipped)
        .cloned()
        .collect();
    assert_eq!(listed("### In tests alone"), for_tests);
}
