//! A whole forecast of a valid, possibly extreme bed.

use arbitrary::Unstructured;
use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::forecast::calendar::days_to_month;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::forecast::{Forecast, Month, forecast};
use moulder::internals::model::compile::compile;
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder::internals::read::read_toml;
use moulder::internals::uncertainty::parameter::UncertainParameters;
use moulder::internals::uncertainty::realisation::months_of_realisation;
use serde_json::Value;

use super::SHELF;
use super::accounts::accounted_for;
use super::any_bed::{self, AnyBed};
use super::bed_json::printed;
use super::told::told;

/// Figures that may be negative: heights below the rim or the ground, the parts of a
/// settlement, degrees, net mineralisation.
const SIGNED: &[&str] = &[
    "below_rim_m",
    "height_m",
    "settlement_m",
    "mechanical_m",
    "fines_migration_m",
    "nonwoody_decay_m",
    "wood_decay_m",
    "root_zone_c",
    "root_zone_lift_c",
    "temperature_c",
    "mineralised_g_m2",
];

/// A failing bed is kept as a bed file, since the meaning of the bytes changes with the
/// generator of beds.
pub(super) fn run(bytes: &[u8]) {
    if let Ok(text) = std::str::from_utf8(bytes)
        && text.starts_with("format")
    {
        return match read_toml(text, &SHELF) {
            Ok(bed) => (0..3).for_each(|draw| run_bed(&bed, 4, draw)),
            Err(faults) => told(&faults, text),
        };
    }
    let mut bytes = Unstructured::new(bytes);
    // Mostly one month, for speed.
    let months = bytes.choose(&[1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 2, 4]).copied();
    let draw = bytes.int_in_range(0..=65_535);
    let (Ok(months), Ok(draw), Ok(AnyBed(document))) = (months, draw, bytes.arbitrary()) else {
        return;
    };
    printed(&document);
    // Each figure lies in its range; together they may still be refused.
    match document.check(&SHELF) {
        Ok(bed) => run_bed(&bed, months, draw),
        Err(faults) => told(&faults, ""),
    }
}

fn run_bed(bed: &Bed, months: u32, draw: u32) {
    any_bed::sound(bed);
    // One of the three per run, for speed.
    match draw % 3 {
        0 => match forecast(bed, months, &unwatched) {
            Ok(told) => {
                assert_eq!(told.months.len(), months as usize + 1);
                believable(bed, &told);
            }
            Err(Error::NoRoom(no_room)) => {
                assert!(no_room.layer < bed.layers().len() + bed.additions().len());
            }
            Err(error) => panic!("{error}"),
        },
        1 => match months_of_realisation(bed, &UncertainParameters::new(bed), 1, draw, months) {
            Ok(rows) => rows.iter().for_each(figures),
            Err(Error::NoRoom(_)) => {}
            Err(error) => panic!("{error}"),
        },
        _ => {
            // A mound without room is no bed.
            let weather = weather_for(bed, days_to_month(bed.filled(), 1));
            if compile(bed, weather, Figures::nominal()).is_ok()
                && let Err(wrong) = accounted_for(bed, months)
            {
                panic!("{wrong}");
            }
        }
    }
}

/// Finite, not negative, and carbon put in is left or emitted.
fn believable(bed: &Bed, told: &Forecast) {
    let mut known_kg = None;
    for (row, before) in told
        .months
        .iter()
        .zip(std::iter::once(None).chain(told.months.iter().map(Some)))
    {
        figures(row);
        let kg = row.carbon_kg + row.carbon_released_kg;
        let known_kg = known_kg.replace(kg).unwrap_or(kg);
        if bed.additions().is_empty() {
            assert!((kg - known_kg).abs() <= 1e-9 * known_kg, "{kg} {known_kg}");
        }
        let apart_m = (row.parts.sum_m() - row.settlement_m).abs();
        assert!(apart_m <= 1e-9 * row.height_m.abs().max(1.0), "{apart_m}");
        let Some(before) = before else { continue };
        let wood_kg =
            |row: &Month| -> f64 { row.layers.iter().map(|layer| layer.wood_carbon_kg).sum() };
        assert!(row.carbon_released_kg >= before.carbon_released_kg);
        // Up to rounding of sums.
        let most_kg = wood_kg(before) * (1.0 + 1e-12);
        assert!(!bed.additions().is_empty() || wood_kg(row) <= most_kg);
    }
}

/// Every figure of a row, as serialised.
fn figures(row: &Month) {
    let value = serde_json::to_value(row).unwrap_or_default();
    assert!(value.is_object());
    leaves("", &value);
}

fn leaves(name: &str, value: &Value) {
    match value {
        Value::Object(fields) => fields.iter().for_each(|(name, value)| leaves(name, value)),
        Value::Array(list) => list.iter().for_each(|value| leaves(name, value)),
        Value::Number(number) => {
            let number = number.as_f64().unwrap_or(f64::NAN);
            assert!(number >= 0.0 || SIGNED.contains(&name), "{name} {number}");
        }
        // NaN is serialised as null; a mound has no rim.
        Value::Null => assert_eq!(name, "below_rim_m"),
        Value::Bool(_) | Value::String(_) => {}
    }
}
