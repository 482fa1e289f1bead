//! A small shelf and one place, for tests; every figure invented.

use moulder_core::value::{Spread, Status, Value};

use crate::library::Library;
use crate::library::climates::Stations;
use crate::library::climates::{Climate, Station};
use crate::library::material::{Class, Counts, Fitted, Form, Material, Pool, Rate};
use crate::library::materials::Catalogue;

fn value(best: f64, unit: &'static str) -> Value {
    Value::new(
        best,
        Spread::new(best * 0.8, best * 1.2),
        unit,
        "invented for a test",
        Status::Judgement,
    )
}

/// A material of that class, with its water and the size of its pieces in metres.
pub(crate) fn material(
    name: &str,
    class: Class,
    (moisture, per): (f64, &'static str),
    particle_size_m: f64,
) -> Material {
    Material {
        name: name.to_owned(),
        also: Vec::new(),
        about: "invented".to_owned(),
        class,
        form: Form::Lumps,
        mineral_share: value(0.05, "kg/kg dry"),
        carbon_share: value(0.5, "kg/kg organic dry"),
        carbon_to_nitrogen: value(50.0, "kg/kg"),
        moisture: value(moisture, per),
        field_capacity: Some(value(2.0, "kg/kg dry")),
        organic_density: value(400.0, "kg/m3"),
        particle_size: value(particle_size_m, "m"),
        void_ratio: value(1.0, "m3/m3"),
        min_void_ratio: value(0.3, "m3/m3"),
        compression: value(0.1, "1"),
        reference_stress: value(1.0, "kPa"),
        creep: value(0.06, "1"),
        collapse_tipped: value(0.05, "1"),
        collapse_trodden: value(0.01, "1"),
        void_closure: value(0.5, "1"),
        lag: value(1.5, "1"),
        size_exponent: value(-0.5, "1"),
        wilts: false,
        sheet: None,
        loose: None,
        pools: vec![Pool {
            in_soil: false,
            name: "all".to_owned(),
            share: value(1.0, "kg/kg"),
            humification_coefficient: value(0.1, "kg/kg"),
            counts: Counts::PieceLeft,
            colonised: None,
            rates: vec![Rate {
                rate: value(0.1, "1/yr"),
                site: None,
                particle_size_m: None,
                years: None,
                fitted: Fitted::FromStart,
            }],
        }],
    }
}

/// Birch logs, woody prunings, grass clippings, turf, and loamy topsoil.
/// Those materials and one place.
pub(crate) fn library() -> Library {
    Library::new(catalogue(), stations())
}

fn catalogue() -> Catalogue {
    let mut turf = material("turf", Class::Plant, (1.0, "kg/kg dry"), 0.02);
    turf.also = vec!["sods".to_owned()];
    Catalogue::new(vec![
        material("birch log", Class::Wood, (0.45, "kg/kg wet"), 0.15),
        material("woody prunings", Class::Wood, (0.5, "kg/kg wet"), 0.02),
        material("grass clippings", Class::Plant, (0.8, "kg/kg wet"), 0.004),
        turf,
        material("loamy topsoil", Class::Soil, (0.25, "kg/kg dry"), 0.005),
    ])
}

/// One place.
fn stations() -> Stations {
    Stations::new(vec![Station {
        climate: Climate {
            name: "Cambridge UK".to_owned(),
            latitude_deg: 52.2,
            high_c: [15.0; 12],
            low_c: [5.0; 12],
            rain_mm: [50.0; 12],
            estimate: None,
        },
        longitude_deg: 0.1,
        elevation_m: 10.0,
        about: "invented".to_owned(),
        years: "none".to_owned(),
        source: "invented for a test".to_owned(),
        licence: "none".to_owned(),
    }])
}
