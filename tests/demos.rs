//! Answers for the demo beds, as programs get them: renew them with `INSTA_UPDATE=always cargo
//! test --test demos` when a law or a figure changes, and read the difference.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use std::fs;
use std::path::{Path, PathBuf};

use moulder::internals::bed::Bed;
use moulder::internals::bed::document::schema;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::library::Library;
use moulder::internals::read::{read_plan_toml, read_toml};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use serde_json::{Map, Value};
use support::{demo_bag, demo_box};

/// Rounded to six digits for readers; `embedding.rs` tests every bit.
fn rounded(value: Value) -> Value {
    match value {
        Value::Number(number) if number.is_f64() => {
            let short = format!("{:.5e}", number.as_f64().unwrap());
            Value::from(short.parse::<f64>().unwrap())
        }
        Value::Array(values) => values.into_iter().map(rounded).collect(),
        Value::Object(fields) => {
            let fields = fields
                .into_iter()
                .map(|(name, value)| (name, rounded(value)));
            Value::Object(fields.collect())
        }
        other => other,
    }
}

/// Two months and their intervals over eight realisations.
fn told(bed: &Bed) -> Value {
    let draws = Realisations {
        ensemble_size: 8,
        deeper_than_m: Some(0.1),
        ..Realisations::default()
    };
    let forecast = forecast_with_intervals(bed, 2, draws, &unwatched).unwrap();
    rounded(serde_json::to_value(forecast).unwrap())
}

#[test]
fn what_programs_are_told_of_the_bulk_bag() {
    insta::assert_json_snapshot!("bulk-bag", told(&demo_bag()));
}

#[test]
fn what_programs_are_told_of_the_log_box() {
    insta::assert_json_snapshot!("log-box", told(&demo_box()));
}

/// Files in a folder and below with that ending.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else if path.extension().is_some_and(|end| end == "toml") {
            found.push(path);
        }
    }
    found
}

fn example_files(folder: &str) -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let found = files(&root.join("examples").join(folder));
    assert!(!found.is_empty(), "no files in examples/{folder}");
    found
}

/// As JSON, which has no dates.
fn as_json(value: toml::Value) -> Value {
    match value {
        toml::Value::Datetime(day) => Value::from(day.to_string()),
        toml::Value::Array(values) => values.into_iter().map(as_json).collect(),
        toml::Value::Table(fields) => {
            let fields = fields
                .into_iter()
                .map(|(name, value)| (name, as_json(value)));
            Value::Object(fields.collect::<Map<_, _>>())
        }
        toml::Value::String(text) => Value::from(text),
        toml::Value::Integer(number) => Value::from(number),
        toml::Value::Float(number) => Value::from(number),
        toml::Value::Boolean(flag) => Value::from(flag),
    }
}

/// Our own bed files are valid against the schema, and without faults.
#[test]
fn example_beds_are_valid_and_read() {
    let schema = serde_json::to_value(schema()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for file in ["beds", "cases/beds", "calibration"]
        .into_iter()
        .flat_map(example_files)
    {
        let text = fs::read_to_string(&file).unwrap();
        let json = as_json(toml::Value::Table(text.parse().unwrap()));
        if let Err(error) = validator.validate(&json) {
            panic!("{}: {error} at {}", file.display(), error.instance_path());
        }
        if let Err(faults) = read_toml(&text, &Library::built_in()) {
            panic!(
                "{}: {}",
                file.display(),
                moulder::internals::fault::sentence::faults(&faults)
            );
        }
    }
}

/// A plan has no schema: reading it is the test.
#[test]
fn example_plans_read() {
    for file in example_files("plans") {
        let text = fs::read_to_string(&file).unwrap();
        let plan = read_plan_toml(&text, &Library::built_in());
        if let Err(faults) = plan {
            panic!(
                "{}: {}",
                file.display(),
                moulder::internals::fault::sentence::faults(&faults)
            );
        }
    }
}
