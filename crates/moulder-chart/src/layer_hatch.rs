//! Which hatch a layer is drawn with: that of what it holds most of.

use moulder::bed::{Added, Amount, Bed, Ingredient, Layer};
use moulder::material::{Class, Form, Material};

use crate::hatch::Hatch;

/// From here on a piece of wood is drawn as a log; m (our own judgement: a wrist).
const LOG_M: f64 = 0.05;

/// Least mineral share of what is drawn as soil; the rest of what trickles is compost (our
/// own judgement).
const SOIL_MINERAL: f64 = 0.7;

/// Hatches of the layers of a forecast: those of the day of filling, then what was laid on.
#[must_use]
pub fn hatches(bed: &Bed) -> Vec<Hatch> {
    let later = bed.added.iter().map(Added::layer);
    let area_m2 = bed.shape.area_m2();
    bed.layers
        .iter()
        .cloned()
        .chain(later)
        .map(|layer| of(&layer, area_m2))
        .collect()
}

/// The hatch of a layer over that area.
fn of(layer: &Layer, area_m2: f64) -> Hatch {
    let bulk = |put: &&Ingredient| bulk_m3(put, area_m2);
    let most = layer
        .put
        .iter()
        .max_by(|one, other| bulk(one).total_cmp(&bulk(other)));
    most.map_or(Hatch::Soil, |put| of_material(&put.material, put.across_m))
}

/// The hatch of a material in pieces of that size; m.
fn of_material(material: &Material, across_m: f64) -> Hatch {
    match (material.class, material.form) {
        (Class::Wood, Form::Lumps) => Hatch::Chips,
        (Class::Wood, Form::Rods) if across_m >= LOG_M => Hatch::Wood,
        (Class::Wood, Form::Rods) => Hatch::Brush,
        (Class::Soil, _) if material.mineral_share.best < SOIL_MINERAL => Hatch::Compost,
        (Class::Soil, _) => Hatch::Soil,
        (Class::Plant, _) if material.pools.iter().any(|pool| pool.in_soil) => Hatch::Turf,
        (Class::Plant, _) if material.sheet.is_some() => Hatch::Card,
        (Class::Plant, _) => Hatch::Soft,
    }
}

/// How much room an ingredient takes by itself, near enough to tell which takes most; m3.
fn bulk_m3(put: &Ingredient, area_m2: f64) -> f64 {
    let dry = |dry_kg: f64| {
        let pieces_m3 = dry_kg / put.material.organic_density.best;
        pieces_m3 * (1.0 + put.material.void_ratio.best)
    };
    match put.amount {
        Amount::Volume(m3) => m3,
        Amount::Thickness(thick_m) => thick_m * area_m2,
        Amount::WetMass(wet_kg) => dry(wet_kg * (1.0 - put.moisture_wet)),
        Amount::DryMass(dry_kg) => dry(dry_kg),
    }
}
