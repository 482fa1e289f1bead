//! Whatever stands in the way of an answer in JSON is told in JSON, in one form.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use moulder::internals::fault::FaultCode;
use serde_json::{Value, json};

const BED: &str = "tests/beds/one-layer.json";
const MOUND: &str = "tests/refused/mound.toml";
const MEASURED: &str = "tests/beds/inches.toml";
const FAULTY: &str = "tests/beds/five-faults.toml";
const NARROW: &str = "tests/refused/narrow-mound.toml";
const LAID_ON: &str = "tests/refused/laid-on-mound.toml";
const NO_TEXT: &str = "tests/refused/no-text.toml";
const PLAN: &str = "../../examples/plans/long-box.toml";
const WEATHER: &str = "tests/weather/hill-farm.csv";
const NOWHERE: &str = "tests/refused/nowhere.toml";

/// What every refusal holds.
const FIELDS: [&str; 10] = [
    "code", "expected", "file", "found", "help", "material", "option", "path", "place", "said",
];

fn moulder(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_moulder"))
        .args(words)
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

/// The refusals of a command, after it was held to what holds for all: the exit code that
/// people get, known codes, one form, and nothing said beside it.
fn refused(words: &[&str]) -> Vec<Value> {
    let told = moulder(&[words, &["--json"]].concat());
    let said = moulder(words);
    assert_eq!(told.status.code(), said.status.code(), "{words:?}");
    assert!(
        said.stdout.is_empty() && !said.stderr.is_empty(),
        "{words:?}"
    );
    assert_eq!(String::from_utf8(told.stderr).unwrap(), "", "{words:?}");
    let refusals: Vec<Value> = serde_json::from_slice(&told.stdout).unwrap();
    assert!(!refusals.is_empty(), "{words:?}");
    for refusal in &refusals {
        let fields: BTreeSet<&str> = refusal
            .as_object()
            .unwrap()
            .keys()
            .map(String::as_str)
            .collect();
        assert_eq!(fields, BTreeSet::from(FIELDS), "{words:?}");
        let code = refusal["code"].as_str().unwrap();
        assert!(FaultCode::ALL.iter().any(|known| known.as_str() == code));
        assert!(refusal["said"].as_str().unwrap().len() > 10, "{refusal}");
        assert!(
            refusal["place"].is_null() || refusal["file"].is_string(),
            "{refusal}"
        );
    }
    refusals
}

/// Holds the first refusal of a command to what is expected, and gives the exit code.
fn first(words: &[&str], expected: &Value) -> i32 {
    let refusals = refused(words);
    for (field, value) in expected.as_object().unwrap() {
        assert_eq!(&refusals[0][field], value, "{words:?}: {}", refusals[0]);
    }
    moulder(words).status.code().unwrap()
}

/// Each command that reads a bed or a plan, as far as its file, with what comes after it.
fn readers() -> [(&'static str, &'static [&'static str]); 8] {
    [
        ("forecast", &["--draws", "0"]),
        ("ledger", &["--draws", "0", "--years", "1"]),
        ("compare", &[BED, "--draws", "2", "--months", "1"]),
        ("fit", &["--draws", "100"]),
        ("unknowns", &["--draws", "8", "--at", "1"]),
        ("topup", &["--draws", "0", "--years", "1"]),
        ("check", &[]),
        ("plan", &[]),
    ]
}

/// A file that is larger than any bed.
fn large(folder: &Path) -> String {
    let path = folder.join("large.toml");
    fs::write(&path, "#".repeat(300_000)).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn files_that_cannot_be_read() {
    let folder = tempfile::tempdir().unwrap();
    let large = large(folder.path());
    for (command, rest) in readers() {
        let of = |file: &str, code: &str, place: Value, exit: i32| {
            let words = [&[command, file], rest].concat();
            let expected = json!({ "code": code, "file": file, "place": place });
            assert_eq!(first(&words, &expected), exit);
        };
        of(NOWHERE, "unreadable", Value::Null, 1);
        of(&large, "too-big", json!({ "line": 1, "column": 1 }), 2);
        of(NO_TEXT, "not-text", json!({ "line": 2, "column": 9 }), 2);
        match command {
            "topup" => of("tests/refused/empty", "too-few", Value::Null, 2),
            _ => of("tests/refused", "unreadable", Value::Null, 1),
        }
    }
}

#[test]
fn files_that_say_what_will_not_do() {
    for (command, rest) in readers() {
        let of = |file: &str, expected: Value| {
            let mut expected = expected;
            expected["file"] = file.into();
            assert_eq!(first(&[&[command, file], rest].concat(), &expected), 2);
        };
        if command == "plan" {
            let place = json!({ "line": 12, "column": 1 });
            of("tests/plans/slips.toml", json!({ "place": place }));
            continue;
        }
        let place = json!({ "line": 4, "column": 11 });
        of(FAULTY, json!({ "code": "not-a-date", "place": place }));
        let place = json!({ "line": 8, "column": 1 });
        of(
            NARROW,
            json!({ "code": "no-room", "place": place, "path": "/layer/0" }),
        );
    }
}

#[test]
fn other_files_that_will_not_do() {
    let slips = "tests/shelves/slips.toml";
    let mut commands: Vec<Vec<&str>> = readers()
        .into_iter()
        .map(|(command, rest)| {
            let file = if command == "plan" { PLAN } else { BED };
            [&[command, file], rest].concat()
        })
        .collect();
    commands.push(vec!["materials"]);
    for words in commands {
        let with = |more: &[&str], expected: Value| first(&[&words, more].concat(), &expected);
        let shelf = json!({ "code": "unreadable", "file": NOWHERE });
        assert_eq!(with(&["--shelf", NOWHERE], shelf), 1);
        let shelf = json!({ "code": "not-text", "file": NO_TEXT });
        assert_eq!(with(&["--shelf", NO_TEXT], shelf), 2);
        let place = json!({ "line": 2, "column": 1 });
        let shelf = json!({ "file": slips, "place": place, "material": "hazel rods" });
        assert_eq!(with(&["--shelf", slips], shelf), 2);
        if ["plan", "materials"].contains(&words[0]) {
            continue;
        }
        let weather = json!({ "code": "unreadable", "file": NOWHERE });
        assert_eq!(with(&["--weather", NOWHERE], weather), 1);
        let place = json!({ "line": 6, "column": 3 });
        let weather = json!({ "file": "tests/weather/slips.csv", "place": place });
        let here = ["--weather", "tests/weather/slips.csv", "--latitude", "52"];
        assert_eq!(with(&here, weather), 2);
        let weather = json!({ "code": "missing-option", "option": "--latitude", "file": WEATHER });
        assert_eq!(with(&["--weather", WEATHER], weather), 2);
    }
}

#[test]
fn answers_that_cannot_be_put_where_they_were_to_go() {
    for (command, rest) in readers() {
        if command == "check" {
            continue;
        }
        let file = if command == "plan" { PLAN } else { BED };
        for (output, force) in [(file, "--force"), ("tests/refused", "--force")] {
            let words = [&[command, file, "-o", output, force], rest].concat();
            let expected = json!({ "code": "unwritable", "file": output, "option": "--output" });
            assert_eq!(first(&words, &expected), 1);
        }
        let words = [&[command, file, "-o", FAULTY], rest].concat();
        let expected = json!({ "code": "unwritable", "file": FAULTY, "option": "--output" });
        assert_eq!(first(&words, &expected), 1);
    }
    let words = [
        "ledger",
        BED,
        "--draws",
        "0",
        "--years",
        "1",
        "-o",
        "tests/no/a.json",
    ];
    let expected = json!({ "code": "unwritable", "file": "tests/no/a.json" });
    assert_eq!(first(&words, &expected), 1);
}

#[test]
fn what_was_typed_and_cannot_be_understood() {
    let all = readers().map(|(command, _)| command);
    for command in all
        .into_iter()
        .chain(["materials", "climates", "codes", "sources"])
    {
        let expected = json!({ "code": "bad-option", "option": "--colour" });
        assert_eq!(first(&[command, "--colour"], &expected), 2);
        if ["materials", "climates", "codes", "sources"].contains(&command) {
            continue;
        }
        assert_eq!(first(&[command], &json!({ "code": "missing-option" })), 2);
        let expected = json!({ "code": "bad-option", "option": "--units", "found": "furlongs" });
        assert_eq!(first(&[command, BED, "--units", "furlongs"], &expected), 2);
    }
    for (words, option) in [
        (vec!["forecast", BED, "--months", "many"], "--months"),
        (vec!["forecast", BED, "--latitude", "52"], "--weather"),
        (vec!["climates", "--near", "north"], "--near"),
        (vec!["climates", "--elevation", "3 m"], "--near"),
        (vec!["fit", MEASURED, "--draws", "3"], "--draws"),
        (vec!["forcast", BED], "forcast"),
    ] {
        assert_eq!(first(&words, &json!({ "option": option })), 2);
    }
}

/// Options that were understood, and will not do with the rest.
#[test]
fn what_does_not_go_together() {
    for (words, code, option) in [
        (
            vec!["forecast", MOUND, "--deeper-than", "9 cm"],
            "bad-option",
            "--deeper-than",
        ),
        (
            vec!["forecast", BED, "--deeper-than", "9 cm", "--draws", "0"],
            "bad-option",
            "--draws",
        ),
        (
            vec![
                "topup",
                BED,
                "--with",
                "birch log",
                "--soil",
                "9 cm",
                "--draws",
                "0",
            ],
            "bad-option",
            "--with",
        ),
        (
            vec!["topup", BED, "--with", "lome", "--draws", "0"],
            "unknown-material",
            "--with",
        ),
        (
            vec!["compare", BED, BED, "--with", "lome"],
            "unknown-material",
            "--with",
        ),
        (
            vec!["fit", MEASURED, "--months", "1"],
            "bad-option",
            "--months",
        ),
        (vec!["materials", "beach log"], "unknown-material", "<NAME>"),
        (vec!["climates", "Cambrige"], "unknown-climate", "<NAME>"),
        (vec!["codes", "decimal-coma"], "unknown-word", "<CODE>"),
    ] {
        let expected = json!({ "code": code, "option": option });
        assert_eq!(first(&words, &expected), 2);
    }
    let place = json!({ "pointer": "/added" });
    let expected = json!({ "code": "no-room", "file": LAID_ON, "place": place });
    for words in [
        vec!["forecast", LAID_ON, "--months", "24", "--draws", "0"],
        vec!["ledger", LAID_ON, "--years", "2", "--draws", "0"],
        vec!["check", LAID_ON],
    ] {
        assert_eq!(first(&words, &expected), 2);
    }
    let expected = json!({ "code": "missing-field", "file": BED, "path": "/reading" });
    assert_eq!(first(&["fit", BED], &expected), 2);
}

#[test]
fn several_beds_are_told_of_together() {
    for command in ["compare", "topup"] {
        let refusals = refused(&[command, FAULTY, NARROW, NO_TEXT]);
        let files: BTreeSet<&str> = refusals
            .iter()
            .map(|refusal| refusal["file"].as_str().unwrap())
            .collect();
        assert_eq!(files, BTreeSet::from([FAULTY, NARROW, NO_TEXT]));
    }
}

/// After two dashes all that is typed is a name.
#[test]
fn a_name_is_no_option() {
    let output = moulder(&["check", "--", "--json"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(output.stdout.is_empty() && !output.stderr.is_empty());
}

/// What does not go with `--json` itself is told in JSON as well.
#[test]
fn json_and_csv_do_not_go_together() {
    let output = moulder(&["forecast", BED, "--csv", "--json"]);
    assert_eq!(output.status.code(), Some(2));
    let refusals: Vec<Value> = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(refusals[0]["code"], "bad-option");
    assert!(output.stderr.is_empty());
}
