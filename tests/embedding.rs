//! The contract for programs that embed the library.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use std::ops::ControlFlow;
use std::sync::Mutex;

use moulder::internals::bed::EditBed as _;
use moulder::internals::bed::document::{BedDocument, schema};
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::error::Error;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::forecast::{Forecast, forecast};
use moulder::internals::library::Library;
use moulder::internals::read::{read_json, read_toml};
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder_core::bed::shape::Shape;
use moulder_words::forecast::in_a_sentence;
use serde_json::Value;
use support::{demo_bag, demo_box, read};

fn json_of(forecast: &Forecast) -> Value {
    serde_json::to_value(forecast).unwrap()
}

/// A forecast as JSON is valid against the schema that its type exports, and carries
/// versions, why it ended, and what it assumed.
#[test]
fn a_forecast_follows_its_schema() {
    let schema = serde_json::to_value(schemars::schema_for!(Forecast)).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for bed in [demo_bag(), demo_box()] {
        let value = json_of(&forecast(&bed, 12, &unwatched).unwrap());
        if let Err(error) = validator.validate(&value) {
            panic!("{error}");
        }
        assert_eq!(value["schema"], 1);
        assert_eq!(value["engine"], env!("CARGO_PKG_VERSION"));
        assert_eq!(value["ended"], "months-done");
        assert_eq!(value["months"].as_array().unwrap().len(), 13);
        let paths: Vec<&str> = value["defaults"]
            .as_array()
            .unwrap()
            .iter()
            .map(|default| default["path"].as_str().unwrap())
            .collect();
        assert!(!paths.is_empty() && paths.iter().all(|path| path.starts_with('/')));
    }
}

/// A bed document is one thing in TOML, in JSON and as a value, and valid against the
/// exported schema.
#[test]
fn one_document_three_ways() {
    let _library = Library::built_in();
    let library = Library::built_in();
    let json = r#"{
        "format": 1, "filled": "2026-03-14", "climate": "Cambridge UK",
        "bed": {"shape": "box", "width": "1 m", "length": "2 m", "rim": "60 cm"},
        "layer": [
            {"put": [{"material": "birch log", "amount": "30 cm"}]},
            {"put": [{"material": "loamy topsoil", "amount": "25 cm"}]}
        ]
    }"#;
    let toml = r#"
        format = 1
        filled = 2026-03-14
        climate = "Cambridge UK"
        [bed]
        shape = "box"
        width = "1 m"
        length = "2 m"
        rim = "60 cm"
        [[layer]]
        put = [{ material = "birch log", amount = "30 cm" }]
        [[layer]]
        put = [{ material = "loamy topsoil", amount = "25 cm" }]
    "#;
    let document: BedDocument = serde_json::from_str(json).unwrap();
    let from_value = document.check(&library).unwrap();
    assert_eq!(read_json(json, &library).unwrap(), from_value);
    assert_eq!(read_toml(toml, &library).unwrap(), from_value);
    let schema = serde_json::to_value(schema()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let value: Value = serde_json::from_str(json).unwrap();
    assert!(validator.is_valid(&value));
    let mut wrong = value;
    wrong["bed"]["colour"] = Value::from("green");
    assert!(!validator.is_valid(&wrong), "a stray field is refused");
}

#[test]
fn progress_is_reported_every_month_and_may_stop_the_run() {
    let bed = demo_bag();
    let run = |stop_after: u32| {
        let seen = Mutex::new(Vec::new());
        let outcome = forecast(&bed, 5, &|done, of| {
            seen.lock().unwrap().push((done, of));
            if done == stop_after {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        });
        (outcome, seen.into_inner().unwrap())
    };
    let (outcome, seen) = run(u32::MAX);
    outcome.unwrap();
    assert_eq!(seen, (1..=5).map(|month| (month, 5)).collect::<Vec<_>>());
    let (outcome, seen) = run(2);
    assert_eq!(outcome.unwrap_err(), Error::Stopped);
    assert_eq!(seen.len(), 2);
}

#[test]
fn what_cannot_be_forecast_is_an_error() {
    let asked = MONTHS_LIMIT + 1;
    let error = forecast(&demo_bag(), asked, &unwatched).unwrap_err();
    assert_eq!(error, Error::TooManyMonths { asked });
    let wide = "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n\
         [bed]\nshape = \"mound\"\nwidth = \"3 m\"\nlength = \"2 m\"\nslope = \"45 deg\"\n\
         [[layer]]\nput = [{ material = \"birch log\", amount = \"30 cm\" }]\n\
         [[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"30 cm\" }]\n";
    // A file that says so is refused with its line; a program may still build such a bed.
    let narrow = wide.replace("\"3 m\"", "\"1 m\"");
    let faults = read_toml(&narrow, &Library::built_in()).unwrap_err();
    assert_eq!(faults.as_slice()[0].code, FaultCode::NoRoom);
    let mut mound = read(wide);
    *mound.edit().shape = Shape::Mound {
        width_m: 1.0,
        length_m: 2.0,
        slope_deg: 45.0,
    };
    let error = forecast(&mound, 1, &unwatched).unwrap_err();
    let Error::NoRoom(no_room) = error else {
        panic!("{error}")
    };
    assert_eq!(no_room.layer, 1);
    assert!(error.to_string().contains("layer 2"), "{error}");
}

/// Two runs give the same bytes; and so do two machines, which a fixed digest of the
/// bits of two years holds. It was taken on x86-64; renew it when a law or a number of
/// the catalogue moves, and only then.
#[test]
fn same_input_same_bytes() {
    const DIGESTS: [u64; 2] = [0x22a8_4d93_7dea_a70a, 0xb1aa_b98a_5b00_0a4c];
    let hashes = [demo_bag(), demo_box()].map(|bed| {
        let months = forecast(&bed, 24, &unwatched).unwrap().months;
        // FNV-1a over the bits of height and carbon.
        let mut hash = 0xcbf2_9ce4_8422_2325_u64;
        for byte in months
            .iter()
            .flat_map(|row| [row.height_m, row.carbon_kg].map(f64::to_le_bytes).concat())
        {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
        hash
    });
    assert_eq!(hashes, DIGESTS, "{hashes:#x?}");
    for bed in [demo_bag(), demo_box()] {
        let one = json_of(&forecast(&bed, 24, &unwatched).unwrap()).to_string();
        let two = json_of(&forecast(&bed, 24, &unwatched).unwrap()).to_string();
        assert_eq!(one, two);
    }
}

#[test]
fn everything_can_cross_threads() {
    fn is_send_and_sync<T: Send + Sync>() {}
    is_send_and_sync::<Library>();
    is_send_and_sync::<Library>();
    is_send_and_sync::<moulder::internals::bed::Bed>();
    is_send_and_sync::<moulder::internals::fault::Faults>();
    is_send_and_sync::<Forecast>();
    is_send_and_sync::<moulder::internals::model::compile::Compiled>();
}

/// The sentence names the day, the fall and the rim, in the owner's units.
#[test]
fn the_sentence_is_in_the_owners_units() {
    let mut bed = demo_bag();
    let metric = in_a_sentence(&forecast(&bed, 12, &unwatched).unwrap()).unwrap();
    assert!(
        metric.starts_with("By 14 Sep 2026 expect the surface about"),
        "{metric}"
    );
    assert!(
        metric.contains(" cm ") && metric.contains("rim"),
        "{metric}"
    );
    *bed.edit().units = moulder::internals::quantity::units::Units::Us;
    let inches = in_a_sentence(&forecast(&bed, 12, &unwatched).unwrap()).unwrap();
    assert!(
        inches.contains(" in ") && !inches.contains(" cm"),
        "{inches}"
    );
    assert!(in_a_sentence(&forecast(&bed, 0, &unwatched).unwrap()).is_none());
}
