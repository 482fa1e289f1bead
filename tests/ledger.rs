//! The carbon ledger: carbon is conserved and equals the forecast's.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use std::ops::ControlFlow;

use moulder::internals::fault::error::Error;
use moulder::internals::forecast::forecast;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::ledger::{CarbonLeft, Ledger, ledger, ledger_with_intervals};
use moulder::internals::library::gas::co2_kg;
use moulder::internals::library::material::Class;
use moulder::internals::model::compile::{Arrival, arrivals};
use moulder::internals::model::figures::Figures;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder_words::ledger::{burning_in_sentences, carbon_in_sentences, gases_in_sentences};
use support::{assert_close, demo_bag, demo_box, read};

/// Compost alone: neither wood nor non-woody material.
const COMPOST: &str = r#"
format = 1
filled = 2026-05-02
climate = "Hobart AU"
[bed]
shape = "round"
across = "80 cm"
rim = "45 cm"
[[layer]]
put = [{ material = "garden compost", amount = "30 cm" }]
"#;

/// A stack with every kind of carbon: turf, which is non-woody material and soil at once, and
/// partly decayed logs.
const MIXED: &str = r#"
format = 1
filled = 2026-10-31
climate = "Cambridge UK"
[bed]
shape = "mound"
width = "1.5 m"
length = "3 m"
slope = "45 deg"
[[layer]]
put = [
  { material = "oak log", amount = "150 kg", arrived = "half-rotten" },
  { material = "turf clods", amount = "100 L" },
  { material = "wood chips", amount = "60 L" },
]
[[layer]]
put = [{ material = "mixed green waste", amount = "200 L" }, { material = "leaf mould", amount = "80 L" }]
[[layer]]
put = [{ material = "loamy topsoil", amount = "10 cm" }]
"#;

fn sum_kg(left: &CarbonLeft) -> f64 {
    left.wood_kg + left.soft_kg + left.soil_kg + left.humus_kg
}

/// Kinds add up to layers, layers to the bed, carbon left and emitted to carbon put in; and all
/// of it equals the forecast's in each month.
#[test]
fn nothing_is_lost_and_the_forecast_agrees() {
    for bed in [demo_bag(), demo_box(), read(COMPOST), read(MIXED)] {
        let kept = ledger(&bed, 30, &unwatched).unwrap();
        let told = forecast(&bed, 30, &unwatched).unwrap();
        let months: Vec<u32> = kept.rows.iter().map(|row| row.month).collect();
        assert_eq!(months, [0, 12, 24, 30]);
        let put_in_kg = kept.rows[0].left.all_kg;
        for row in &kept.rows {
            let month = &told.months[usize::try_from(row.month).unwrap()];
            assert_eq!(row.date, month.date);
            assert_close(row.left.all_kg, month.carbon_kg, 1e-9, 0.0);
            assert_close(row.left.all_kg, sum_kg(&row.left), 1e-9, 0.0);
            assert_close(row.released_kg, month.carbon_released_kg, 1e-9, 0.0);
            assert_close(row.left.all_kg + row.released_kg, put_in_kg, 1e-9, 0.0);
            assert_close(row.left_share, month.carbon_left, 1e-9, 0.0);
            assert_close(
                row.released_co2_kg,
                row.released_kg * 44.0 / 12.0,
                1e-12,
                0.0,
            );
            for (layer, in_forecast) in row.layers.iter().zip(&month.layers) {
                assert_close(layer.all_kg, in_forecast.carbon_kg, 1e-9, 1e-12);
                assert_close(layer.all_kg, sum_kg(layer), 1e-9, 1e-12);
            }
            let layers = row.layers.iter().map(|layer| layer.all_kg);
            assert_close(layers.sum(), row.left.all_kg, 1e-9, 0.0);
        }
    }
}

/// Day zero is what was put in, kind by kind, without any new humus.
#[test]
fn day_zero_is_what_was_put_in() {
    for bed in [demo_bag(), demo_box(), read(COMPOST), read(MIXED)] {
        let kept = ledger(&bed, 0, &unwatched).unwrap();
        assert_eq!(kept.rows.len(), 1);
        let first = &kept.rows[0].left;
        let put = arrivals(&bed, Figures::nominal()).unwrap().concat();
        let of = |class: Class| -> f64 {
            let class = put
                .iter()
                .filter(|arrival| arrival.ingredient.material.class == class);
            class.map(|arrival| arrival.carbon_kg).sum()
        };
        assert_close(first.wood_kg, of(Class::Wood), 1e-9, 0.0);
        // Turf is a plant by its class and brings soil of its own.
        let rest_kg = of(Class::Plant) + of(Class::Soil);
        assert_close(first.soft_kg + first.soil_kg, rest_kg, 1e-9, 0.0);
        assert!(first.soil_kg >= of(Class::Soil) * (1.0 - 1e-12));
        assert!(first.humus_kg.abs() < f64::MIN_POSITIVE);
        let total_mass_kg: f64 = put.iter().map(Arrival::total_mass_kg).sum();
        let told = forecast(&bed, 0, &unwatched).unwrap();
        // Watering after the layers are in adds to the mass put in.
        assert!(total_mass_kg <= told.months[0].total_mass_kg * (1.0 + 1e-9));
    }
}

/// Wood and non-woody material only decrease, and humus forms from them.
#[test]
fn wood_and_soft_stuff_dwindle_and_humus_is_made() {
    for bed in [demo_bag(), demo_box(), read(MIXED)] {
        let kept = ledger(&bed, 60, &unwatched).unwrap();
        for pair in kept.rows.windows(2) {
            let (before, after) = (&pair[0].left, &pair[1].left);
            assert!(after.wood_kg < before.wood_kg);
            assert!(after.soft_kg < before.soft_kg);
            assert!(after.humus_kg > before.humus_kg);
            assert!(pair[1].released_kg > pair[0].released_kg);
            assert!(pair[1].wood_share < pair[0].wood_share);
        }
    }
}

/// Burning emits all of the wood's carbon; the screen counts non-woody material alone.
#[test]
fn burning_counts_wood_and_the_screen_soft_stuff() {
    let bed = read(MIXED);
    let kept = ledger(&bed, 12, &unwatched).unwrap();
    let burning = kept.burning.unwrap();
    assert_close(
        burning.co2_kg,
        co2_kg(kept.rows[0].left.wood_kg),
        1e-12,
        0.0,
    );
    let put = arrivals(&bed, Figures::nominal()).unwrap().concat();
    let named = |name: &str| {
        let mut put = put.iter();
        *put.find(|arrival| arrival.ingredient.material.name == name)
            .unwrap()
    };
    let wood_kg = named("oak log").dry_kg + named("wood chips").dry_kg;
    assert_close(burning.wood_dry_kg, wood_kg, 1e-12, 0.0);
    let (turf, green) = (named("turf clods"), named("mixed green waste"));
    // The mat of turf is a small part of it.
    assert!(turf.pieces_wet_kg() < 0.2 * turf.total_mass_kg());
    assert_close(green.pieces_wet_kg(), green.total_mass_kg(), 1e-12, 0.0);
    let screen = kept.screen.unwrap();
    let soft_kg = green.total_mass_kg() + turf.pieces_wet_kg();
    assert_close(screen.soft_wet_kg, soft_kg, 1e-12, 0.0);

    let compost = ledger(&read(COMPOST), 12, &unwatched).unwrap();
    assert_eq!(compost.burning, None);
    assert_eq!(compost.screen, None);
    assert_eq!(compost.rows[1].wood_share, None);
    assert!(burning_in_sentences(&compost).is_none() && gases_in_sentences(&compost).is_none());
    let said = carbon_in_sentences(&compost).unwrap();
    assert!(!said.contains("in wood"), "{said}");
}

#[test]
fn a_ledger_follows_its_schema() {
    let schema = serde_json::to_value(schemars::schema_for!(Ledger)).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for bed in [demo_bag(), read(COMPOST)] {
        let kept = ledger(&bed, 12, &unwatched).unwrap();
        let value = serde_json::to_value(&kept).unwrap();
        if let Err(error) = validator.validate(&value) {
            panic!("{error}");
        }
        assert_eq!(value["rows"][0]["month"], 0);
        assert!(value["rows"][1]["left"]["all_kg"].is_f64());
    }
}

#[test]
fn a_ledger_can_be_refused_or_stopped() {
    let bed = demo_bag();
    let asked = MONTHS_LIMIT + 1;
    assert_eq!(
        ledger(&bed, asked, &unwatched),
        Err(Error::TooManyMonths { asked })
    );
    assert_eq!(
        ledger(&bed, 12, &|_, _| ControlFlow::Break(())),
        Err(Error::Stopped)
    );
}

fn draws(count: u32) -> Realisations {
    Realisations {
        ensemble_size: count,
        ..Realisations::default()
    }
}

/// The nominal run lies within the intervals of the demo beds, whose carbon is that of the
/// forecast under the same realisations; without realisations there is the nominal run alone.
#[test]
fn bands_of_a_ledger_hold_the_middle_line() {
    for bed in [demo_bag(), demo_box()] {
        let told = ledger_with_intervals(&bed, 14, draws(24), &unwatched).unwrap();
        let bands = told.intervals.as_ref().unwrap();
        let forecast = forecast_with_intervals(&bed, 14, draws(24), &unwatched).unwrap();
        assert_eq!(bands.rows.len(), told.rows.len());
        for (row, band) in told.rows.iter().zip(&bands.rows) {
            assert_eq!((row.month, &row.date), (band.month, &band.date));
            let month = &forecast.intervals[usize::try_from(row.month).unwrap()];
            for (ours, theirs) in [
                (band.all_kg, month.carbon_kg),
                (band.left_share, month.carbon_left),
                (band.released_kg, month.carbon_released_kg),
            ] {
                assert_close(ours.lower, theirs.lower, 1e-9, 1e-12);
                assert_close(ours.upper, theirs.upper, 1e-9, 1e-12);
            }
            for (band, figure) in [
                (band.wood_kg, row.left.wood_kg),
                (band.soft_kg, row.left.soft_kg),
                (band.soil_kg, row.left.soil_kg),
                (band.humus_kg, row.left.humus_kg),
                (band.all_kg, row.left.all_kg),
                (band.wood_share.unwrap(), row.wood_share.unwrap()),
                (band.released_co2_kg, row.released_co2_kg),
            ] {
                assert!(
                    band.lower <= figure + 1e-9 && figure <= band.upper + 1e-9,
                    "{band:?} {figure}"
                );
                assert!(band.lower <= band.median && band.median <= band.upper);
            }
        }
        let (fire, burning) = (bands.burning.unwrap(), told.burning.unwrap());
        assert!(fire.co2_kg.lower < burning.co2_kg && burning.co2_kg < fire.co2_kg.upper);
        let alone = ledger_with_intervals(&bed, 14, draws(0), &unwatched).unwrap();
        assert_eq!(alone, ledger(&bed, 14, &unwatched).unwrap());
        assert_eq!(serde_json::to_value(&alone).unwrap().get("intervals"), None);
    }
}

/// The same bytes in any number of threads, valid against its schema, and progress can stop it.
#[test]
fn bands_of_a_ledger_keep_the_promises() {
    let bed = read(COMPOST);
    let text = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        let told = pool
            .build()
            .unwrap()
            .install(|| ledger_with_intervals(&bed, 12, draws(20), &unwatched).unwrap());
        serde_json::to_string(&told).unwrap()
    };
    assert_eq!(text(1), text(2));
    let schema = serde_json::to_value(schemars::schema_for!(Ledger)).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let value: serde_json::Value = serde_json::from_str(&text(2)).unwrap();
    assert!(validator.is_valid(&value));
    assert!(value["intervals"]["burning"].is_null());
    let stopped =
        ledger_with_intervals(&bed, 12, draws(20), &|_, _| ControlFlow::Break(())).unwrap_err();
    assert_eq!(stopped, Error::Stopped);
}
