//! No table for a spreadsheet holds a formula, whatever the things in it are called.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

/// What a formula begins with (OWASP, "CSV Injection"), also in full width.
const SIGNS: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// Every command that writes a table.
const TABLES: &[&[&str]] = &[
    &["forecast", "--months", "2", "--layers"],
    &["ledger", "--years", "1", "--layers"],
    &["topup", "--years", "2", "--price", "4.5"],
];

fn moulder(words: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_moulder"))
        .args(words)
        .output()
        .unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{words:?}: {complaint}");
    String::from_utf8(output.stdout).unwrap()
}

/// A bed with that name at every place where a name or a note can stand; it is heaped over
/// its rim.
fn bed(name: &str) -> serde_json::Value {
    let mut bed: serde_json::Value =
        serde_json::from_str(include_str!("beds/formulas.json")).unwrap();
    for path in [
        "/name",
        "/climate/name",
        "/layer/0/name",
        "/layer/1/name",
        "/layer/1/put/0/material",
        "/reading/0/note",
        "/added/0/note",
        "/added/0/material",
    ] {
        let place = bed.pointer_mut(path).unwrap();
        assert_eq!(place, "NAME", "{path}");
        *place = name.into();
    }
    bed
}

/// Puts the bed, and a shelf with its material, into the folder.
fn laid_out(folder: &Path, name: &str) -> [String; 2] {
    let shelf = include_str!("shelves/coppice.toml");
    let named = format!("name = {}", toml::Value::from(name));
    let shelf = shelf.replacen("name = \"hazel rods\"", &named, 1);
    let paths = [folder.join("bed.json"), folder.join("shelf.toml")];
    fs::write(&paths[0], bed(name).to_string()).unwrap();
    fs::write(&paths[1], shelf).unwrap();
    paths.map(|path| path.to_str().unwrap().to_owned())
}

fn cells(table: &str) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(table.as_bytes());
    let records = reader.records().map(Result::unwrap);
    records
        .flat_map(|record| record.iter().map(str::to_owned).collect::<Vec<_>>())
        .collect()
}

fn is_number(cell: &str) -> bool {
    cell.parse::<f64>().is_ok_and(f64::is_finite)
}

/// Also where a semicolon ends a cell, as in many countries, whatever quotes stand around.
fn could_run(cell: &str) -> bool {
    let mut parts = cell.split([';', '\n', '\r', '\t']);
    !is_number(cell) && parts.any(|part| part.trim_start().starts_with(SIGNS))
}

/// Asks for every table of a bed in which all has that name.
fn asks_for_tables(name: &str, draws: &str) {
    let folder = tempfile::tempdir().unwrap();
    let [bed, shelf] = laid_out(folder.path(), name);
    let with = format!("--with={name}");
    for table in TABLES {
        let own = [&bed, "--shelf", &shelf, "--draws", draws, "--csv"];
        let mut words = [*table, &own].concat();
        let is_list = table[0] == "topup";
        if is_list {
            words.extend([&*with, "--called=-bag"]);
        }
        let cells = cells(&moulder(&words));
        for cell in &cells {
            assert!(!could_run(cell), "{words:?}: {cell}");
        }
        // The bed, its material and what that is sold in stand there all the same.
        let kept = cells.iter().filter(|cell| cell.contains('\''));
        assert!(kept.count() >= 3 || !is_list, "{words:?}");
    }
}

#[test]
fn a_hostile_name_is_no_formula_in_any_table() {
    for sign in SIGNS {
        asks_for_tables(&format!("{sign}cmd|' /C calc'!A0"), "0");
        asks_for_tables(&format!("soil\"; {sign}1+2"), "0");
    }
    // Lists with ranges are written by themselves.
    asks_for_tables("=cmd|' /C calc'!A0", "4");
    asks_for_tables("＠SUM(1+2)", "4");
}

#[test]
fn a_negative_number_is_no_text() {
    let folder = tempfile::tempdir().unwrap();
    let [bed, shelf] = laid_out(folder.path(), "hazel rods");
    let words = ["forecast", &bed, "--shelf", &shelf, "--csv", "--draws", "0"];
    let table = moulder(&words);
    let heaped: Vec<&str> = table.lines().nth(1).unwrap().split(',').collect();
    assert!(
        heaped[3].starts_with('-') && is_number(heaped[3]),
        "{table}"
    );
}

/// A new command that writes tables is asked here as well.
#[test]
fn every_command_with_a_table_is_asked() {
    let help = moulder(&["--help"]);
    let (_, listed) = help.split_once("Commands:\n").unwrap();
    let commands = listed.lines().take_while(|line| !line.is_empty());
    let commands = commands.filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names = commands.map(|line| line.split_whitespace().next().unwrap());
    let with_tables: BTreeSet<&str> = names
        .filter(|name| *name != "help" && moulder(&[name, "--help"]).contains("--csv"))
        .collect();
    let asked: BTreeSet<&str> = TABLES.iter().map(|words| words[0]).collect();
    assert_eq!(with_tables, asked);
}
