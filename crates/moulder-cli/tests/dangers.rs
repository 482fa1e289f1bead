//! What may hurt someone stands before anything else, whatever was asked about a bed.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const SAFE: &str = "../../examples/beds/bulk-bag.toml";

/// How the danger begins.
const ON_A_DECK: &str = "On a deck the bed weighs";

/// Questions about a bed that are answered in words; DECK and PLAN are files with a danger.
const IN_WORDS: &[&[&str]] = &[
    &["forecast", "DECK", "--draws", "0", "--months", "2"],
    &["forecast", "DECK", "--draws", "4", "--months", "2"],
    &["forecast", "DECK", "--draws", "0", "--months", "0"],
    &["ledger", "DECK", "--draws", "0", "--years", "1"],
    &["ledger", "DECK", "--draws", "4", "--years", "1"],
    &["fit", "DECK", "--draws", "100"],
    &["answer", "DECK", "--draws", "4", "--today", "2026-10-02"],
    &["compare", "DECK", SAFE, "--draws", "4", "--months", "2"],
    &["compare", SAFE, "DECK", "--draws", "4", "--months", "2"],
    &["unknowns", "DECK", "--draws", "8", "--at", "2"],
    &["topup", "DECK", "--draws", "0", "--years", "1"],
    &["topup", "DECK", "--draws", "4", "--years", "1"],
    &["topup", SAFE, "DECK", "--draws", "0", "--years", "1"],
    &["check", "DECK"],
    &["check", "DECK", "--strict"],
    &["plan", "PLAN", "--shelf", "SHELF"],
    &[
        "tape",
        "DECK",
        "5 cm",
        "--on",
        "2026-10-01",
        "--today",
        "2026-10-02",
        "--draws",
        "4",
    ],
    &[
        "added",
        "DECK",
        "9 L",
        "--with",
        "turf",
        "--on",
        "2026-10-01",
        "--today",
        "2026-10-02",
        "--draws",
        "4",
    ],
    &[
        "fed",
        "DECK",
        "9 g",
        "--feed",
        "9 % N",
        "--on",
        "2026-10-01",
        "--today",
        "2026-10-02",
        "--draws",
        "4",
    ],
];

/// Questions that are answered by something else than words.
const ASIDE: &[&[&str]] = &[
    &["forecast", "DECK", "--draws", "0", "--csv"],
    &["ledger", "DECK", "--draws", "0", "--csv"],
    &["topup", "DECK", "--draws", "0", "--csv"],
    &["topup", "DECK", "--draws", "4", "--csv"],
    &["chart", "DECK", "--draws", "0"],
    &["chart", "DECK", "--kind", "section", "--at", "2"],
    &["chart", "DECK", "--kind", "topups", "--draws", "0"],
    &["chart", "DECK", "--kind", "fit", "--draws", "100"],
    &[
        "chart",
        SAFE,
        "--kind",
        "comparison",
        "--beside",
        "DECK",
        "--draws",
        "0",
    ],
    &["plan", "PLAN", "--shelf", "SHELF", "--write-bed", "1"],
];

/// Questions whose answer is a page.
const PAGES: &[&[&str]] = &[
    &["report", "DECK", "--draws", "0", "--months", "2"],
    &[
        "compare", SAFE, "DECK", "--page", "--draws", "4", "--months", "2",
    ],
];

/// Questions of programs, and where the answer holds its notices.
const JSON: &[(&[&str], &str)] = &[
    (&["forecast", "DECK", "--draws", "0"], "/notices"),
    (&["ledger", "DECK", "--draws", "0"], "/dangers"),
    (&["fit", "DECK", "--draws", "100"], "/notices"),
    (
        &["compare", SAFE, "DECK", "--draws", "4", "--months", "2"],
        "/designs/1/dangers",
    ),
    (
        &["unknowns", "DECK", "--draws", "8", "--at", "2"],
        "/dangers",
    ),
    (&["topup", "DECK", "--draws", "0"], "/dangers"),
    (
        &["topup", SAFE, "DECK", "--draws", "4", "--years", "1"],
        "/1/dangers",
    ),
    (&["check", "DECK"], "/notices"),
    (&["plan", "PLAN", "--shelf", "SHELF"], "/fills/0/notices"),
];

/// A bed on a deck to which a tape was held, as it is or with what is changed in it.
fn deck(from: &str, to: &str) -> String {
    let reading = "\n[[reading]]\non = 2026-12-26\nbelow-rim = \"10 cm\"\n";
    let text = include_str!("beds/deck-box.toml").replacen(from, to, 1);
    text + reading
}

/// Runs it with those files in place of their names.
fn moulder(words: &[&str], folder: &Path) -> Output {
    let paths = ["DECK", "PLAN", "SHELF"].map(|name| (name, folder.join(name)));
    let placed = words.iter().map(|word| {
        let path = paths.iter().find(|(name, _)| name == word);
        path.map_or_else(|| word.into(), |(_, path)| path.as_os_str().to_owned())
    });
    Command::new(env!("CARGO_BIN_EXE_moulder"))
        .args(placed)
        .output()
        .unwrap()
}

/// A folder with the bed, a plan that has to use a tarred thing, and the shelf for it.
fn folder(deck: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let tarred = "\n[[hand]]\nmaterial = \"tarred rods\"\namount = \"300 L\"\nleast = \"5 %\"\n";
    let plan = include_str!("../../../examples/plans/long-box.toml").to_owned() + tarred;
    let shelf = include_str!("shelves/coppice.toml").replacen("hazel rods", "tarred rods", 1);
    let files = [("DECK", deck), ("PLAN", &plan), ("SHELF", &shelf)];
    for (name, text) in files {
        fs::write(folder.path().join(name), text).unwrap();
    }
    folder
}

/// The first paragraph, in one line.
fn first_paragraph(said: &str) -> String {
    let lines = said.lines().take_while(|line| !line.is_empty());
    lines.map(str::trim).collect::<Vec<_>>().join(" ")
}

#[test]
fn a_danger_is_the_first_thing_that_is_said() {
    let folder = folder(&deck("", ""));
    for words in IN_WORDS {
        let output = moulder(words, folder.path());
        let said = String::from_utf8(output.stdout).unwrap();
        let first = first_paragraph(&said);
        assert!(first.starts_with("Danger"), "{words:?}: {said}");
        if words[0] == "plan" {
            assert!(first.contains("Tarred rods: what keeps timber"), "{first}");
            // The same of every fill.
            assert_eq!(said.matches("(treated-timber)").count(), 1, "{said}");
            continue;
        }
        assert!(first.contains(ON_A_DECK), "{words:?}: {first}");
        assert_eq!(said.matches("(wet-weight)").count(), 1, "{said}");
        if words.contains(&SAFE) {
            let which = words.iter().filter(|word| [SAFE, "DECK"].contains(word));
            let number = which.clone().position(|word| *word == "DECK").unwrap() + 1;
            let named = format!("Danger, bed {number} (Deck box, Brickyard Lane): ");
            assert!(first.starts_with(&named), "{first}");
        }
        assert_eq!(String::from_utf8(output.stderr).unwrap(), "", "{words:?}");
    }
}

/// Where the answer is a table or a picture, it stays one.
#[test]
fn beside_a_table_or_a_picture_the_danger_is_told_aside() {
    let folder = folder(&deck("", ""));
    for words in ASIDE {
        let output = moulder(words, folder.path());
        assert_eq!(output.status.code(), Some(0), "{words:?}");
        let told = first_paragraph(&String::from_utf8(output.stderr).unwrap());
        assert!(told.starts_with("Danger"), "{words:?}: {told}");
        let answer = String::from_utf8(output.stdout).unwrap();
        assert!(!answer.contains("Danger"), "{words:?}");
        assert!(answer.starts_with(['<', '#', 'm', 'b']), "{answer:.40}");
    }
}

#[test]
fn a_page_begins_with_the_danger() {
    let folder = folder(&deck("", ""));
    for words in PAGES {
        let output = moulder(words, folder.path());
        let page = String::from_utf8(output.stdout).unwrap();
        let [danger, contents] = [ON_A_DECK, "<nav"].map(|what| page.find(what).unwrap());
        assert!(danger < contents, "{words:?}");
    }
}

#[test]
fn programs_are_told_the_danger_whatever_they_ask() {
    let folder = folder(&deck("", ""));
    for (words, place) in JSON {
        let output = moulder(&[words, &["--json"][..]].concat(), folder.path());
        let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
        let notices = answer.pointer(place).and_then(Value::as_array);
        let notices = notices.unwrap_or_else(|| panic!("{words:?}: {answer}"));
        let mut dangers = notices.iter().filter(|told| told["severity"] == "danger");
        let danger = dangers.next().unwrap_or_else(|| panic!("{words:?}"));
        assert_eq!(danger["acknowledged"], false, "{words:?}");
    }
}

/// A harmless bed, and one whose owner has seen to it: nothing goes before the answer.
#[test]
fn without_a_danger_nothing_is_said_of_one() {
    let harmless = folder(&deck("\"deck\"", "\"paving\""));
    let seen = folder(&deck("seen    = [", "seen    = [\"wet-weight\", "));
    let all = [IN_WORDS, ASIDE].concat();
    for words in all.into_iter().filter(|words| words[0] != "plan") {
        for folder in [&harmless, &seen] {
            let output = moulder(words, folder.path());
            let said = [output.stdout, output.stderr].map(|said| String::from_utf8(said).unwrap());
            assert!(!said.concat().contains("Danger"), "{words:?}: {said:?}");
            assert_eq!(said[1], "", "{words:?}");
        }
    }
}

/// A new command is asked here, or does not speak of a bed.
#[test]
fn every_command_about_a_bed_is_asked() {
    let help = moulder(&["--help"], Path::new("."));
    let help = String::from_utf8(help.stdout).unwrap();
    let (_, listed) = help.split_once("Commands:\n").unwrap();
    let commands = listed.lines().take_while(|line| !line.is_empty());
    let commands = commands.filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names: BTreeSet<&str> = commands
        .map(|line| line.split_whitespace().next().unwrap())
        .collect();
    let asked = [IN_WORDS, ASIDE, PAGES].concat();
    let mut known: BTreeSet<&str> = asked.iter().map(|words| words[0]).collect();
    known.extend([
        "materials",
        "climates",
        "new",
        "codes",
        "schema",
        "serve-lines",
        "sources",
    ]);
    assert_eq!(names, known);
}
