//! What holds for every answer, whatever its numbers.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::io::{Read, Write};
use std::process::{Command, Output, Stdio};

const BEDS: [&str; 4] = [
    "../../examples/beds/bulk-bag.toml",
    "../../examples/beds/log-box.toml",
    "tests/beds/forty-layers.toml",
    "tests/beds/inches.toml",
];

const PLAN: &str = "../../examples/plans/long-box.toml";

/// Runs the program; what rests on draws is of its middle line alone, which is quick, unless draws
/// are asked for.
fn moulder(words: &[&str]) -> Output {
    let takes = ["forecast", "ledger", "plan", "topup"];
    let is_plain = words.first().is_some_and(|word| takes.contains(word))
        && !words.contains(&"--draws")
        && !words.contains(&"--help");
    let quick: &[&str] = if is_plain { &["--draws", "0"] } else { &[] };
    Command::new(env!("CARGO_BIN_EXE_moulder"))
        .args(words)
        .args(quick)
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

/// The answer to a question that must be answered.
fn answer(words: &[&str]) -> String {
    let output = moulder(words);
    let complaint = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(0), "{words:?}: {complaint}");
    assert_eq!(complaint, "", "{words:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// Everything that speaks in words rather than in JSON or CSV.
fn spoken() -> Vec<Vec<&'static str>> {
    let mut all = vec![
        vec![],
        vec!["--help"],
        vec!["forecast", "--help"],
        vec!["new", "--help"],
        vec!["materials"],
        vec!["climates"],
        vec!["climates", "Lebanon NH US"],
        vec!["climates", "--help"],
        vec!["codes"],
        vec!["codes", "--help"],
        vec!["sources"],
        vec!["sources", "straw"],
        vec!["sources", "--help"],
        vec!["chart", "--help"],
        vec!["check", "--help"],
        vec!["ledger", "--help"],
        vec!["plan", "--help"],
        vec!["report", "--help"],
        vec!["tape", "--help"],
        vec!["added", "--help"],
        vec!["fed", "--help"],
        vec!["plan", PLAN, "--defaults"],
        vec!["plan", PLAN, "--units", "us"],
        vec!["plan", PLAN, "--units", "us", "--draws", "4"],
        vec!["plan", "tests/plans/too-little.toml"],
        // A reading that is a surprise.
        vec![
            "forecast",
            "tests/beds/misread.toml",
            "--months",
            "4",
            "--draws",
            "4",
            "--units",
            "us",
        ],
        vec!["climates", "--near", "52.6,1.3"],
        vec!["climates", "--near", "-42,147.3", "--elevation", "400 m"],
        vec!["materials", "--shelf", "tests/shelves/coppice.toml"],
        vec![
            "check",
            "tests/beds/coppice.toml",
            "--shelf",
            "tests/shelves/coppice.toml",
            "--defaults",
        ],
    ];
    for units in ["metric", "us", "uk-garden"] {
        all.push(vec!["check", BEDS[0], "--units", units]);
        all.push(vec!["check", BEDS[2], "--units", units]);
        all.push(vec![
            "ledger", BEDS[2], "--units", units, "--layers", "--years", "1",
        ]);
        all.push(vec!["forecast", BEDS[3], "--units", units]);
    }
    for bed in BEDS {
        all.push(vec!["forecast", bed]);
        all.push(vec!["forecast", bed, "--draws", "10", "--every", "6"]);
        all.push(vec![
            "forecast", bed, "--months", "120", "--every", "25", "--layers",
        ]);
        all.push(vec!["forecast", bed, "--months", "2", "--defaults"]);
        all.push(vec!["check", bed]);
        all.push(vec!["check", bed, "--defaults"]);
        all.push(vec!["ledger", bed, "--years", "2", "--defaults"]);
        all.push(vec!["ledger", bed, "--years", "1", "--draws", "5"]);
        all.push(vec![
            "topup",
            bed,
            "--years",
            "1",
            "--draws",
            "5",
            "--below",
            "3 cm",
            "--lead-days",
            "30",
            "--price",
            "120",
            "--units",
            "us",
        ]);
    }
    all
}

#[test]
fn no_line_is_wider_than_the_screen() {
    let mut answers: Vec<String> = spoken().iter().map(|words| answer(words)).collect();
    let shelf: serde_json::Value = serde_json::from_str(&answer(&["materials", "--json"])).unwrap();
    for material in shelf.as_array().unwrap() {
        answers.push(answer(&["materials", material["name"].as_str().unwrap()]));
    }
    let codes: serde_json::Value = serde_json::from_str(&answer(&["codes", "--json"])).unwrap();
    assert!(codes.as_array().unwrap().len() > 30);
    for code in codes.as_array().unwrap() {
        let said = answer(&["codes", code["code"].as_str().unwrap()]);
        let example = code["example"].is_string();
        assert_eq!(said.contains("\nFor example:\n\n"), example, "{said}");
        answers.push(said);
    }
    for words in [
        vec!["codes", "no-such-code"],
        vec!["check", "tests/beds/five-faults.toml"],
        vec!["check", "tests/beds/steep-mound.toml"],
        vec!["materials", "beach log"],
        vec!["materials", "--shelf", "tests/shelves/slips.toml"],
        vec![
            "check",
            BEDS[0],
            "--weather",
            "tests/weather/slips.csv",
            "--latitude",
            "52",
        ],
        vec!["check", BEDS[0], "--weather", "tests/weather/hill-farm.csv"],
        vec!["climates", "--near", "north"],
        vec!["plan", "tests/plans/slips.toml"],
        vec!["plan", PLAN, "--write-bed", "9"],
    ] {
        let output = moulder(&words);
        assert_eq!(output.status.code(), Some(2));
        answers.push(String::from_utf8(output.stderr).unwrap());
    }
    assert!(answers.len() > 40);
    for text in answers {
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
            assert_eq!(line.trim_end(), line, "blanks at the end");
        }
    }
}

#[test]
fn plain_is_ascii() {
    for bed in BEDS {
        let text = answer(&["forecast", bed, "--layers", "--defaults", "--plain"]);
        assert!(text.is_ascii(), "{text}");
        assert!(!answer(&["forecast", bed]).is_ascii());
        let text = answer(&["ledger", bed, "--years", "1", "--layers", "--plain"]);
        assert!(text.is_ascii(), "{text}");
    }
    assert!(answer(&["materials", "--plain"]).is_ascii());
    assert!(answer(&["climates", "--plain"]).is_ascii());
}

#[test]
fn no_complaint_looks_like_a_compiler() {
    let text =
        String::from_utf8(moulder(&["check", "tests/beds/five-faults.toml"]).stderr).unwrap();
    assert!(
        text.starts_with("tests/beds/five-faults.toml has 5 faults:\n"),
        "{text}"
    );
    for frame in ["-->", "error", "|", "^"] {
        assert!(!text.contains(frame), "{frame}: {text}");
    }
}

#[test]
fn a_forecast_as_json_is_whole_whatever_is_shown() {
    for bed in BEDS {
        let text = answer(&["forecast", bed, "--months", "24", "--every", "12", "--json"]);
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(value["months"].as_array().unwrap().len(), 25);
        assert!(value["months"][24]["settlement_m"].as_f64().unwrap() > 0.0);
    }
}

#[test]
fn a_table_for_a_spreadsheet_has_its_columns() {
    let text = answer(&[
        "forecast", BEDS[0], "--months", "7", "--every", "3", "--csv", "--si",
    ]);
    let mut lines = text.lines();
    assert_eq!(
        lines.next(),
        Some(
            "month,date,height_m,below_rim_m,sunk_m,added_m,settling_m,sifting_m,soft_rot_m,\
             wood_rot_m,carbon_kg,carbon_left,carbon_released_kg,wet_kg,load_kpa,water_l,\
             water_in_wood,root_zone_c,root_zone_lift_c,warm_days,warm_days_open_ground,\
             nitrogen_organic_kg,nitrogen_mineral_kg,nitrogen_root_zone_g_m2,\
             nitrogen_freed_g_m2,nitrogen_wanted_g_m2,nitrogen_taken_g_m2,nitrogen_leached_g_m2"
        )
    );
    let months: Vec<&str> = lines.map(|line| line.split(',').next().unwrap()).collect();
    assert_eq!(months, ["0", "3", "6", "7"]);
    let with_layers = answer(&["forecast", BEDS[0], "--csv", "--si", "--layers"]);
    let heading = with_layers.lines().next().unwrap();
    assert!(
        heading.ends_with("layer_3_thickness_m,layer_4_thickness_m"),
        "{heading}"
    );
    let show = ["--csv", "--si", "--layers", "--layers-show", "warmth"];
    let warmth = answer(&[&["forecast", BEDS[0]], &show[..]].concat());
    let heading = warmth.lines().next().unwrap();
    assert!(heading.ends_with(",layer_4_temperature_c"), "{heading}");
}

/// The bands of the table, the spreadsheet and the JSON are the same, and the chance is
/// that of the bands.
#[test]
fn bands_say_the_same_to_people_and_programs() {
    let asked = ["forecast", BEDS[0], "--draws", "12", "--every", "12"];
    let asked = [&asked[..], &["--deeper-than", "30 cm"]].concat();
    let json = answer(&[&asked[..], &["--json"]].concat());
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(
        (json["ensemble_size"].as_u64(), json["seed"].as_u64()),
        (Some(12), Some(1))
    );
    let last = &json["intervals"][12];
    let below = |end: &str| last["below_rim_m"][end].as_f64().unwrap();
    let csv = answer(&[&asked[..], &["--csv", "--si"]].concat());
    let heading: Vec<&str> = csv.lines().next().unwrap().split(',').collect();
    let cells: Vec<&str> = csv.lines().last().unwrap().split(',').collect();
    let cell = |name: &str| cells[heading.iter().position(|head| *head == name).unwrap()];
    assert_eq!(cell("below_rim_low_m"), format!("{:.5}", below("lower")));
    assert_eq!(cell("below_rim_high_m"), format!("{:.5}", below("upper")));
    let chance = last["chance_deeper"].as_f64().unwrap();
    assert_eq!(cell("chance_deeper"), format!("{chance:.5}"));
    let said = answer(&asked);
    assert!(
        said.contains(&format!("{:.0} % by 14 Mar 2027", chance * 100.0)),
        "{said}"
    );
    let row = said
        .lines()
        .find(|line| line.starts_with("   12  "))
        .unwrap();
    let ends = format!(
        "{:.0}    {:.0} ",
        below("lower") * 100.0,
        below("upper") * 100.0
    );
    assert!(row.contains(&ends), "{row}: {ends}");
    // The rows are the means.
    let below_m = json["months"][12]["below_rim_m"].as_f64().unwrap();
    assert!((below("mean") - below_m).abs() < 1e-9);
    let alone = answer(&["forecast", BEDS[0], "--json"]);
    let alone: serde_json::Value = serde_json::from_str(&alone).unwrap();
    assert_eq!(alone["intervals"].as_array().map(Vec::len), Some(0));
}

/// The ledger's table, its JSON and its spreadsheet tell of the same rows.
#[test]
fn a_ledger_says_the_same_to_people_and_programs() {
    for (asked, months) in [
        (["--years", "2"], ["0", "12", "24"]),
        (["--months", "17"], ["0", "12", "17"]),
    ] {
        let words = [&["ledger", BEDS[0]], &asked[..]].concat();
        let json = answer(&[&words[..], &["--json"]].concat());
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let csv = answer(&[&words[..], &["--csv", "--si", "--layers"]].concat());
        let mut lines = csv.lines();
        let heading: Vec<&str> = lines.next().unwrap().split(',').collect();
        let released = heading
            .iter()
            .position(|name| *name == "co2_released_kg")
            .unwrap();
        assert_eq!(heading.last(), Some(&"layer_4_carbon_kg"));
        let said = answer(&words);
        for ((line, month), row) in lines.zip(months).zip(json["rows"].as_array().unwrap()) {
            let cells: Vec<&str> = line.split(',').collect();
            assert_eq!(cells.len(), heading.len());
            assert_eq!(cells[0], month);
            assert_eq!(row["month"].to_string(), month);
            let co2_kg = row["released_co2_kg"].as_f64().unwrap();
            assert_eq!(cells[released], format!("{co2_kg:.5}"));
            let shown = said
                .lines()
                .find(|line| line.contains(cells[1]) && !line.contains("filled"))
                .unwrap();
            assert!(shown.contains(&format!("  {co2_kg:.1}  ")), "{shown}");
        }
        assert_eq!(json["rows"].as_array().unwrap().len(), months.len());
        assert_eq!(csv.lines().count(), months.len() + 1);
    }
}

/// The mixture of a bed of one layer is that layer's, with a range around it.
#[test]
fn a_check_tells_programs_of_mixtures() {
    let one = &checked(&["tests/beds/one-layer.json"])["bed"];
    assert_eq!(one["mixture"], one["layers"][0]["mixture"]);
    let bag = &checked(&[BEDS[0]])["bed"];
    for layer in bag["layers"].as_array().unwrap() {
        let of = |end: &str| {
            layer["mixture"]["carbon_to_nitrogen"][end]
                .as_f64()
                .unwrap()
        };
        assert!(of("low") < of("best") && of("best") < of("high"), "{layer}");
    }
}

#[test]
fn a_check_as_json_holds_bed_notices_and_defaults_or_the_faults() {
    let value: serde_json::Value =
        serde_json::from_str(&answer(&["check", "tests/beds/inches.toml", "--json"])).unwrap();
    assert_eq!(value["bed"]["layers"][1]["put"][0]["written"], "1/2 cu yd");
    assert_eq!(value["notices"][0]["code"], "buried-services");
    assert!(!value["defaults"].as_array().unwrap().is_empty());

    let output = moulder(&["check", "tests/beds/five-faults.toml", "--json"]);
    assert_eq!(output.status.code(), Some(2));
    let faults: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(faults.as_array().unwrap().len(), 5);
    for fault in faults.as_array().unwrap() {
        assert_eq!(fault["file"], "tests/beds/five-faults.toml");
    }
}

/// A program learns from the exit code whether a warning stands, and from each notice
/// whether it was acknowledged.
#[test]
fn a_strict_check_ends_with_3_while_a_warning_stands() {
    let deck = "tests/beds/deck-box.toml";
    let output = moulder(&["check", deck, "--strict", "--json"]);
    assert_eq!(output.status.code(), Some(3));
    let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let notices = value["notices"].as_array().unwrap();
    let told = |code: &str| notices.iter().find(|told| told["code"] == code).unwrap();
    assert_eq!(told("wet-weight")["severity"], "danger");
    assert_eq!(told("wet-weight")["acknowledged"], false);
    assert_eq!(told("wall-contact")["severity"], "warning");
    assert_eq!(told("wall-contact")["acknowledged"], true);
    assert_eq!(told("weedkiller-carry-over")["layer"], 1);
    assert_eq!(value["bed"]["stands_on"], "deck");
    // Without being strict the same is no trouble, nor are notes alone.
    assert_eq!(moulder(&["check", deck, "--json"]).status.code(), Some(0));
    let notes = moulder(&["check", BEDS[1], "--strict"]);
    assert_eq!(notes.status.code(), Some(0));
    // All warnings acknowledged, it passes.
    let text = std::fs::read_to_string(deck).unwrap();
    let seen = text.replace(
        "[\"wall-contact\"",
        "[\"wall-contact\", \"wet-weight\", \"weedkiller-carry-over\"",
    );
    assert_ne!(seen, text);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("seen.toml");
    std::fs::write(&path, seen).unwrap();
    let output = moulder(&["check", path.to_str().unwrap(), "--strict"]);
    assert_eq!(output.status.code(), Some(0));
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(
        said.contains("Acknowledged in the file: wet-weight, "),
        "{said}"
    );
}

/// Slips in a file of materials and in one of weather come together, each with its file.
#[test]
fn faults_of_other_files_are_told_to_programs_as_well() {
    let output = moulder(&[
        "check",
        BEDS[0],
        "--json",
        "--shelf",
        "tests/shelves/slips.toml",
        "--weather",
        "tests/weather/slips.csv",
    ]);
    assert_eq!(output.status.code(), Some(2));
    let faults: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let files: Vec<&str> = faults
        .as_array()
        .unwrap()
        .iter()
        .map(|fault| fault["file"].as_str().unwrap())
        .collect();
    let (shelf, weather) = ("tests/shelves/slips.toml", "tests/weather/slips.csv");
    assert_eq!(files, [shelf, shelf, shelf, weather, weather]);
    assert_eq!(faults[1]["place"]["line"], 6);
}

/// The answer of `check` as JSON.
fn checked(words: &[&str]) -> serde_json::Value {
    let words: Vec<&str> = ["check", "--json"].iter().chain(words).copied().collect();
    serde_json::from_str(&answer(&words)).unwrap()
}

#[test]
fn own_weather_and_units_replace_those_of_the_bed() {
    let weather = ["--weather", "tests/weather/hill-farm.csv"];
    let own = checked(&[&["tests/beds/own-months.toml"], &weather[..]].concat());
    assert_eq!(own["bed"]["climate"]["name"], "hill-farm");
    // The bed's own table says where it lies, unless the words do.
    assert_eq!(own["bed"]["climate"]["latitude_deg"], 51.4);
    let south = checked(&[&[BEDS[0], "--latitude", "-41.5"], &weather[..]].concat());
    assert_eq!(south["bed"]["climate"]["latitude_deg"], -41.5);
    assert_eq!(south["bed"]["climate"]["rain_mm"][0], 88.0);
    let us = checked(&[BEDS[0], "--units", "us"]);
    assert_eq!(us["bed"]["units"], "us");
    assert_eq!(us["bed"]["layers"], checked(&[BEDS[0]])["bed"]["layers"]);
}

#[test]
fn the_volumes_of_the_layers_fill_the_bed() {
    for bed in [BEDS[0], BEDS[2], BEDS[3]] {
        let bed = &checked(&[bed])["bed"];
        let sum: f64 = bed["layers"]
            .as_array()
            .unwrap()
            .iter()
            .map(|layer| layer["volume_m3"].as_f64().unwrap())
            .sum();
        let stands = bed["height_m"].as_f64().unwrap() + bed["trench_m"].as_f64().unwrap();
        let whole = stands * bed["area_m2"].as_f64().unwrap();
        assert!((sum / whole - 1.0).abs() < 1e-9, "{sum} {whole}");
    }
}

#[test]
fn the_schema_is_json_and_speaks_of_layers() {
    let value: serde_json::Value = serde_json::from_str(&answer(&["schema"])).unwrap();
    assert!(value["properties"]["layer"].is_object());
}

/// What `new` writes follows the schema that `schema` writes, in every shape and all units.
#[test]
fn every_starter_follows_the_schema() {
    let schema: serde_json::Value = serde_json::from_str(&answer(&["schema"])).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for shape in ["box", "round", "bag", "mound"] {
        for units in ["metric", "us", "uk-garden"] {
            let text = answer(&["new", shape, "--units", units]);
            let mut table: toml::Table = text.parse().unwrap();
            // JSON has no days.
            let filled = table["filled"].as_datetime().unwrap().to_string();
            table.insert("filled".to_owned(), filled.into());
            let value = serde_json::to_value(table).unwrap();
            if let Err(error) = validator.validate(&value) {
                panic!("{shape} in {units}: {error} at {}", error.instance_path());
            }
        }
    }
}

/// Runs `check -` with a text piped in.
fn piped(text: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_moulder"))
        .args(["check", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that has seen too much stops reading.
    let _ = child.stdin.take().unwrap().write_all(text);
    child.wait_with_output().unwrap()
}

#[test]
fn what_is_piped_in_is_toml_or_json() {
    let toml = std::fs::read(BEDS[0]).unwrap();
    let json = std::fs::read("tests/beds/one-layer.json").unwrap();
    for text in [toml, json] {
        assert_eq!(piped(&text).status.code(), Some(0));
    }
}

#[test]
fn what_is_no_bed_file_is_refused_in_words() {
    for (text, said) in [
        (vec![b'#'; 300_000], "larger than 256 kB"),
        (b"format = 1\nname = \"caf\xe9\"\n".to_vec(), "line 2"),
        (b"".to_vec(), "has"),
        (
            b"format = 1\nname = \"Bag\0 3\"\n".to_vec(),
            "line 2, column 12: this cannot be read: a NUL byte (U+0000) stands here",
        ),
    ] {
        let output = piped(&text);
        assert_eq!(output.status.code(), Some(2));
        let complaint = String::from_utf8(output.stderr).unwrap();
        assert!(complaint.contains(said), "{complaint}");
        assert!(output.stdout.is_empty());
    }
}

#[test]
fn a_reader_who_has_seen_enough_is_no_trouble() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_moulder"))
        .args(["forecast", BEDS[2], "--months", "120", "--json"])
        .args(["--draws", "0"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // Far more than a pipe holds is still to come when it is closed.
    let mut first = [0; 10];
    child.stdout.take().unwrap().read_exact(&mut first).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn a_file_appears_whole_and_is_not_replaced_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bed.toml");
    let path = path.to_str().unwrap();
    let held = || std::fs::read_to_string(path).unwrap();

    answer(&["new", "bag", "-o", path]);
    assert_eq!(held(), answer(&["new", "bag"]));
    assert_eq!(moulder(&["new", "box", "-o", path]).status.code(), Some(1));
    assert_eq!(held(), answer(&["new", "bag"]));
    answer(&["new", "box", "-o", path, "--force"]);
    assert_eq!(held(), answer(&["new", "box"]));

    // A bed that cannot be read leaves nothing behind, nor does anything else.
    let faulty = "tests/beds/five-faults.toml";
    let year = folder.path().join("year.csv");
    let year = year.to_str().unwrap();
    assert_eq!(
        moulder(&["forecast", faulty, "-o", year]).status.code(),
        Some(2)
    );
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

/// Every column can be asked for, in all units, and what is too wide is refused with its
/// width.
#[test]
fn columns_are_shown_or_refused_by_name() {
    let help = answer(&["forecast", "--columns", "help"]);
    let names: Vec<&str> = help
        .lines()
        .skip(1)
        .map(|line| line.split_whitespace().next().unwrap())
        .collect();
    assert_eq!(names.len(), 26);
    for name in &names {
        for units in ["metric", "us", "uk-garden"] {
            let words = ["forecast", BEDS[0], "--months", "1", "--units", units];
            let said = answer(&[&words[..], &["--columns", name]].concat());
            let row = said
                .lines()
                .find(|line| line.starts_with("    1  2026-04-14"));
            let cells = row.unwrap().split_whitespace().count();
            assert_eq!(cells, 3, "{name}: {said}");
            assert!(
                said.lines().all(|line| line.chars().count() <= 80),
                "{said}"
            );
        }
    }
    let all = moulder(&["forecast", BEDS[0], "--columns", &names.join(",")]);
    assert_eq!(all.status.code(), Some(2));
    let complaint = String::from_utf8(all.stderr).unwrap();
    assert!(
        complaint.contains("characters wide, and 80 are shown"),
        "{complaint}"
    );
}

/// The README and the page on the command line show what is printed: all of the short answer, and
/// how the forecast begins.
#[test]
fn the_readme_shows_what_is_printed() {
    let pages = ["../../README.md", "../../docs/command-line.md"];
    let pages = pages.map(|page| std::fs::read_to_string(page).unwrap());
    let pages = pages.concat();
    let blocks: Vec<&str> = pages
        .split("```text\n")
        .skip(1)
        .filter_map(|block| block.split_once("\n```"))
        .map(|(block, _)| block)
        .collect();
    // From the root of the repository, for paths are told as they were typed.
    let printed = |words: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_moulder"))
            .current_dir("../..")
            .args(words)
            .arg("examples/beds/bulk-bag.toml")
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let short = printed(&["answer", "--today", "2026-03-20", "--draws", "64"]);
    assert!(blocks.contains(&short.trim_end()), "{short}");
    let months = printed(&["forecast", "--every", "3", "--draws", "64"]);
    let begins = |block: &&str| months.starts_with(*block) && block.contains("\n   12  ");
    assert!(blocks.iter().any(begins), "{months}");
}

/// A fill that is written as a bed file stands, by its forecast, as high as the plan said.
#[test]
fn a_fill_kept_as_a_bed_file_is_the_bed_that_was_planned() {
    let folder = tempfile::tempdir().unwrap();
    let plan: serde_json::Value = serde_json::from_str(&answer(&["plan", PLAN, "--json"])).unwrap();
    let fills = plan["fills"].as_array().unwrap();
    assert!(fills.len() >= 2);
    for (index, fill) in fills.iter().enumerate() {
        let number = (index + 1).to_string();
        let path = folder.path().join(format!("fill-{number}.toml"));
        let path = path.to_str().unwrap();
        let keep = ["plan", PLAN, "--write-bed", &number, "-o", path];
        assert!(answer(&keep).contains("is written"));
        let told = answer(&["forecast", path, "--json"]);
        let told: serde_json::Value = serde_json::from_str(&told).unwrap();
        assert_eq!(told["months"][0]["height_m"], fill["tipped_m"]);
        assert_eq!(told["months"][12]["height_m"], fill["stands_m"]);
        // Not again unasked.
        assert_eq!(moulder(&keep).status.code(), Some(1));
    }
}

/// The same of its means and ranges, where plan and forecast draw the same beds.
#[test]
fn a_fill_kept_as_a_bed_file_has_the_range_that_was_planned() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("fill.toml");
    let path = path.to_str().unwrap();
    let drawn = ["--draws", "6", "--seed", "3"];
    let ask = |words: &[&str]| answer(&[words, &drawn].concat());
    let plan: serde_json::Value = serde_json::from_str(&ask(&["plan", PLAN, "--json"])).unwrap();
    let fill = &plan["fills"][0];
    ask(&["plan", PLAN, "--write-bed", "1", "-o", path]);
    let told: serde_json::Value =
        serde_json::from_str(&ask(&["forecast", path, "--json"])).unwrap();
    assert_eq!(told["months"][12]["height_m"], fill["stands_m"]);
    assert_eq!(
        told["intervals"][12]["height_m"],
        fill["intervals"]["height_m"]
    );
    assert_eq!(plan["ensemble_size"], 6);
    // And is as high as wanted in the mean.
    let off_m = fill["stands_m"].as_f64().unwrap() - plan["height_m"].as_f64().unwrap();
    assert!((-0.000_5..=0.003).contains(&off_m), "{off_m}");
}

/// Plain tables are plain for plans as well.
#[test]
fn a_plain_plan_is_ascii() {
    assert!(answer(&["plan", PLAN, "--plain"]).is_ascii());
}

/// A page of designs is whole and the same each time, in the units asked for.
#[test]
fn designs_have_a_page() {
    let words = [
        "compare", BEDS[3], BEDS[1], "--months", "2", "--draws", "2", "--price", "4.5", "--page",
        "--units", "us",
    ];
    let page = answer(&words);
    assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>"));
    assert!(page.contains("Sunk after 2 months, in") && page.contains("And costs"));
    assert_eq!(page, answer(&words));
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("compare.html");
    let said = answer(&[&words[..], &["-o", file.to_str().unwrap()]].concat());
    assert!(
        said.ends_with("Open it in any browser, or print it.\n"),
        "{said}"
    );
    assert_eq!(std::fs::read_to_string(&file).unwrap(), page);
}

#[test]
fn a_calendar_of_topups_takes_what_topup_takes() {
    let packs = [
        "--with",
        "garden compost",
        "--sold-in",
        "50 L",
        "--called",
        "sack",
        "--price",
        "3",
        "--draws",
        "0",
    ];
    let chart = answer(&[&["chart", BEDS[0], "--kind", "topups"], &packs[..]].concat());
    assert!(chart.contains("garden compost in sacks of 50 L"));
    let topup = answer(&[&["topup", BEDS[0]], &packs[..]].concat());
    assert!(topup.contains("garden compost in sacks of 50 L"));
}
