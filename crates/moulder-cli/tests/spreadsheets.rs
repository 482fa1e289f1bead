//! No table for a spreadsheet holds a formula, whatever the things in it are called; and its figures
//! are those of the answer in JSON, whatever its units.

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

/// What a unit in the name of a column is worth in the one that stands there in SI; what is added
/// to a figure first, and what it is then multiplied by. NIST SP 811 (2008), appendix B (memory).
const UNITS: [(&str, &str, f64, f64); 11] = [
    ("cm", "m", 0.0, 0.01),
    ("in", "m", 0.0, 0.0254),
    ("L", "m3", 0.0, 0.001),
    ("cu_ft", "m3", 0.0, 0.028_316_846_592),
    ("lb", "kg", 0.0, 0.453_592_37),
    ("g", "kg", 0.0, 0.001),
    ("oz", "kg", 0.0, 0.028_349_523_125),
    ("L", "l", 0.0, 1.0),
    ("US_gal", "l", 0.0, 3.785_411_784),
    ("degC", "c", 0.0, 1.0),
    ("degF", "c", -32.0, 1.0 / 1.8),
];

/// A table: the names of its columns, and its rows.
struct Table {
    names: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    fn of(words: &[&str]) -> Self {
        let text = moulder(words);
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let row = |record: &csv::StringRecord| record.iter().map(str::to_owned).collect();
        Self {
            names: row(reader.headers().unwrap()),
            rows: reader
                .records()
                .map(|record| row(&record.unwrap()))
                .collect(),
        }
    }

    /// A figure in SI, by the name of its column without the unit.
    fn si(&self, row: usize, name: &str, si: &str) -> f64 {
        let named = |unit: &str| name.replacen('*', unit, 1);
        let unit = |(unit, of, _, _): &&(&str, &str, f64, f64)| {
            *of == si && self.names.contains(&named(unit))
        };
        let found = UNITS.iter().find(unit).copied();
        let (unit, _, more, times) = found.unwrap_or((si, si, 0.0, 1.0));
        let column = self.names.iter().position(|there| *there == named(unit));
        let column = column.unwrap_or_else(|| panic!("{name} in {:?}", self.names));
        let figure: f64 = self.rows[row][column].parse().unwrap();
        // A difference of temperatures has no zero of its own.
        let more = if name.contains("lift") { 0.0 } else { more };
        (figure + more) * times
    }
}

/// The figures of a table in every owner's units are those of the answer in JSON: by the pointer
/// of a list there, by the pointer within one of it and the column, whose unit is left open.
fn is_the_answer(words: &[&str], list: &str, figures: &[(&str, &str, &str)]) {
    for units in ["metric", "us", "uk-garden"] {
        let words = [words, &["--units", units]].concat();
        let json = moulder(&[&words[..], &["--json"]].concat());
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let list = json.pointer(list).unwrap().as_array().unwrap();
        let table = Table::of(&[&words[..], &["--csv"]].concat());
        assert_eq!(table.rows.len(), list.len());
        for (row, entry) in list.iter().enumerate() {
            for (pointer, name, si) in figures {
                let told = entry.pointer(pointer).unwrap().as_f64().unwrap();
                let found = table.si(row, name, si);
                let off = (found - told).abs();
                let is_it = off <= 1e-6 * told.abs() + 1e-6;
                assert!(is_it, "{units} {name} {row}: {found} {told}");
            }
        }
    }
}

#[test]
fn figures_are_those_of_the_answer() {
    let bed = "tests/beds/inches.toml";
    let months = ["forecast", bed, "--months", "2", "--draws", "4"];
    let of_months = [
        ("/height_m", "height_*", "m"),
        ("/below_rim_m", "below_rim_*", "m"),
        ("/parts/nonwoody_decay_m", "soft_rot_*", "m"),
        ("/carbon_kg", "carbon_*", "kg"),
        ("/total_mass_kg", "wet_*", "kg"),
        ("/water_l", "water_*", "l"),
        ("/root_zone_c", "root_zone_*", "c"),
        ("/root_zone_lift_c", "root_zone_lift_*", "c"),
        ("/nitrogen/organic_kg", "nitrogen_organic_*", "kg"),
        ("/nitrogen/mineral_kg", "nitrogen_mineral_*", "kg"),
    ];
    is_the_answer(&months, "/months", &of_months);
    let ends = [
        ("/height_m/lower", "height_low_*", "m"),
        ("/below_rim_m/upper", "below_rim_high_*", "m"),
        ("/carbon_kg/lower", "carbon_low_*", "kg"),
    ];
    is_the_answer(&months, "/intervals", &ends);
    let years = ["ledger", bed, "--years", "1", "--draws", "0"];
    let of_years = [
        ("/left/all_kg", "carbon_*", "kg"),
        ("/released_co2_kg", "co2_released_*", "kg"),
        ("/layers/0/wood_kg", "layer_1_wood_*", "kg"),
    ];
    is_the_answer(&[&years[..], &["--layers"]].concat(), "/rows", &of_years);
    let list = ["topup", bed, "--years", "2", "--draws"];
    let of_list = [
        ("/below_before_m", "below_before_*", "m"),
        ("/laid_m3", "laid_*", "m3"),
        ("/laid_kg", "laid_*", "kg"),
        ("/left_over_m3", "left_over_*", "m3"),
    ];
    is_the_answer(&[&list[..], &["0"]].concat(), "/top_ups", &of_list);
    let points = [
        ("/below_before_m/lower", "below_before_*_low", "m"),
        ("/laid_m3/mean", "laid_*_mean", "m3"),
        ("/laid_kg/upper", "laid_*_high", "kg"),
    ];
    is_the_answer(&[&list[..], &["4"]].concat(), "/intervals/top_ups", &points);
}

/// In SI each column has the name it has in the answer's JSON, and five places.
#[test]
fn si_is_the_same_for_every_owner() {
    for table in TABLES {
        let own = ["tests/beds/inches.toml", "--draws", "0", "--csv", "--si"];
        let of = |units| moulder(&[*table, &own, &["--units", units]].concat());
        let table = of("us");
        assert_eq!(table, of("metric"));
        assert!(!table.contains("_cm") && !table.contains("_lb"), "{table}");
    }
}

/// Packs are bought whole.
#[test]
fn packs_are_whole_numbers() {
    for draws in ["0", "4"] {
        let words = ["topup", "tests/beds/inches.toml", "--csv", "--draws", draws];
        let table = Table::of(&words);
        let bought = |name: &&String| name.starts_with("bought");
        assert!(table.names.iter().any(|name| bought(&name)));
        for row in &table.rows {
            for (name, cell) in table.names.iter().zip(row).filter(|(name, _)| bought(name)) {
                assert!(
                    cell.bytes().all(|sign| sign.is_ascii_digit()),
                    "{name} {cell}"
                );
            }
        }
    }
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
