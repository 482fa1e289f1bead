//! The contract for programs that embed the library.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use std::ops::ControlFlow;
use std::sync::Mutex;

use moulder::internals::bed::EditBed as _;
use moulder::internals::bed::document::{BedDocument, schema};
use moulder::internals::forecast::{Forecast, forecast};
use moulder::internals::read::{read_json, read_toml};
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::months::unwatched;
use moulder::{
    Amount, Bed, Error, FaultCode, ForecastOptions, Layer, Library, Package, PlanRequest, Reading,
    Shape, TopUpRequest, compare, date, forecast_all, plan, top_ups,
};
use moulder_words::forecast::in_a_sentence;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use support::{demo_bag, demo_box, read};

fn json_of(forecast: &Forecast) -> Value {
    serde_json::to_value(forecast).unwrap()
}

/// A forecast as JSON is valid against the schema that its type exports, and includes versions,
/// why it ended, and its assumptions.
#[test]
fn a_forecast_follows_its_schema() {
    let schema = serde_json::to_value(schemars::schema_for!(Forecast)).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for bed in [demo_bag(), demo_box()] {
        let value = json_of(&forecast(&bed, 12, &unwatched).unwrap());
        if let Err(error) = validator.validate(&value) {
            panic!("{error}");
        }
        assert_eq!(value["schema"], 2);
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

/// A bed document is the same in TOML, in JSON and as a value, and valid against the exported
/// schema.
#[test]
fn one_document_three_ways() {
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
        upright_m: 0.0,
    };
    let error = forecast(&mound, 1, &unwatched).unwrap_err();
    let Error::NoRoom(no_room) = error else {
        panic!("{error}")
    };
    assert_eq!(no_room.layer, 1);
    assert!(error.to_string().contains("layer 2"), "{error}");
    // Of several beds it says which.
    let options = ForecastOptions::default().months(1).ensemble_size(0);
    let error = forecast_all(&[demo_bag(), mound], &options, &unwatched).unwrap_err();
    assert_eq!(error.code(), FaultCode::NoRoom);
    let said = error.to_string();
    assert!(
        said.starts_with("bed 2 (unnamed bed): ") && said.contains("layer 2"),
        "{said}"
    );
}

/// Two runs give the same bytes; and so do two machines, by a fixed digest of the bits of two
/// years. It was taken on x86-64; renew it only when a law or a number of the library changes.
#[test]
fn same_input_same_bytes() {
    const DIGESTS: [u64; 2] = [0x4def_c319_107e_9929, 0xecd6_a121_d454_d8d1];
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
    is_send_and_sync::<Bed>();
    is_send_and_sync::<moulder::internals::fault::Faults>();
    is_send_and_sync::<Forecast>();
    is_send_and_sync::<moulder::internals::model::compile::Compiled>();
}

/// The sentence names the day, the settlement and the rim, in the owner's units.
#[test]
fn the_sentence_is_in_the_owners_units() {
    let mut bed = demo_bag();
    let metric = in_a_sentence(&forecast(&bed, 12, &unwatched).unwrap()).unwrap();
    assert!(
        metric.starts_with("By 14 Sep 2026 expect it about"),
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

/// Every answer is read back from its own JSON, to the last bit.
#[test]
fn answers_read_back() {
    fn same<T>(answer: &T)
    where
        T: Serialize + DeserializeOwned + PartialEq + std::fmt::Debug,
    {
        let text = serde_json::to_string(answer).unwrap();
        assert_eq!(&serde_json::from_str::<T>(&text).unwrap(), answer);
    }
    let bed = Bed::example()
        .with_reading(Reading::below_rim_m(date(2026, 5, 14), 0.10))
        .unwrap();
    let run = bed.forecast().months(4).ensemble_size(100);
    same(&run.run().unwrap());
    same(&run.ensemble_size(0).run().unwrap());
    same(&run.fit().unwrap());
    same(&run.months(13).ensemble_size(4).ledger().unwrap());
    same(&run.sensitivity(8).unwrap());
    let request = TopUpRequest::new("loamy topsoil")
        .months(14)
        .ensemble_size(30);
    for plan in top_ups(&[bed.clone(), Bed::example()], &request).unwrap() {
        same(&plan);
    }
    let options = ForecastOptions::default().months(6).ensemble_size(4);
    same(&compare(&[bed, Bed::example()], &options, &unwatched).unwrap());
    let text = include_str!("../examples/plans/long-box.toml");
    let request = PlanRequest::from_toml(text, &Library::built_in()).unwrap();
    same(&plan(&request, &unwatched).unwrap());
}

/// An error is a value with a code, and the same to a program that reads JSON.
#[test]
fn errors_have_codes_and_become_json() {
    let library = Library::built_in();
    let mistyped = library.material("brich log").unwrap_err();
    let wrong = Bed::from_toml("format = 1\nclimat = 1\n", &library).unwrap_err();
    let material = library.material("birch log").unwrap();
    let mut heavy = material.derived("lead log", "invented");
    heavy.organic_density = heavy.organic_density.measured(9e9, 8e9..=1e10, "invented");
    let heavy = library.with(heavy).unwrap_err();
    let stopped = Error::Stopped;
    let bag = Package::new("bag", f64::NAN).price(-1.0);
    let request = TopUpRequest::new("loamy topsoil")
        .in_packs(&bag)
        .at_most_m(0.0);
    let request = top_ups(&[Bed::example()], &request).unwrap_err();
    assert_eq!(request.faults().len(), 3, "{request}");
    for (error, code) in [
        (&mistyped, "unknown-material"),
        (&wrong, "missing-field"),
        (&heavy, "out-of-range"),
        (&stopped, "stopped"),
        (&request, "out-of-range"),
    ] {
        let json = serde_json::to_value(error).unwrap();
        assert_eq!(json["message"], error.to_string());
        assert!(json["faults"].is_array());
        assert_eq!(json["code"], error.code().as_str());
        assert_eq!(json["code"], code, "{json}");
    }
    assert_eq!(mistyped.faults()[0].help[0], "birch log");
}

/// Figures that no quantity of a bed can have are reported as faults, never as a panic or a
/// hang.
#[test]
fn beds_that_cannot_be_are_refused() {
    let filled = date(2026, 3, 14);
    let layer = || Layer::of("loamy topsoil", Amount::ThicknessM(0.3));
    for width_m in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e9] {
        let shape = Shape::Box {
            width_m,
            length_m: 2.0,
        };
        let bed = Bed::builder(shape, filled)
            .climate("Cambridge UK")
            .rim_m(0.5)
            .layer(layer());
        assert!(!bed.build().unwrap_err().faults().is_empty(), "{width_m}");
    }
    let bed = Bed::example();
    for depth_m in [f64::NAN, 3.0, 1e300] {
        assert!(
            bed.with_reading(Reading::below_rim_m(date(2026, 9, 1), depth_m))
                .is_err()
        );
    }
    let early = Reading::below_rim_m(date(2020, 1, 1), 0.1);
    assert_eq!(
        bed.with_reading(early).unwrap_err().code(),
        FaultCode::BeforeFilling
    );
    let months = bed.forecast().months(u32::MAX).run().unwrap_err();
    assert_eq!(months.code(), FaultCode::BadOption);
}

/// The built-in library is read once and then shared.
#[test]
fn the_built_in_library_is_shared() {
    let (one, other) = (Library::built_in(), Library::built_in());
    let material = |library: &Library| std::ptr::from_ref(library.material("birch log").unwrap());
    assert!(std::ptr::eq(material(&one), material(&other)));
}
