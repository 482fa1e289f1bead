//! The hatch of a layer: that of the ingredient with the largest volume.

use moulder::filled::{Ingredient, Layer};
use moulder::materials::{Class, Form};
use moulder::{Amount, Bed};

use crate::plot::stratum::{LOG_M, hatch, layers};
use crate::svg::hatch::Hatch;

/// Hatches of the layers of a forecast: those of the day of filling, then the additions.
#[must_use]
pub(crate) fn hatches(bed: &Bed) -> Vec<Hatch> {
    let area_m2 = bed.shape().area_m2();
    layers(bed, usize::MAX)
        .iter()
        .map(|layer| of(layer, area_m2))
        .collect()
}

/// The hatch of a layer over that area.
fn of(layer: &Layer, area_m2: f64) -> Hatch {
    let bulk = |put: &&Ingredient| bulk_m3(put, area_m2);
    let most = layer
        .put
        .iter()
        .max_by(|one, other| bulk(one).total_cmp(&bulk(other)));
    most.map_or(Hatch::Soil, of_ingredient)
}

/// The hatch of an ingredient: wood by how thick it is here, the rest by its material.
fn of_ingredient(put: &Ingredient) -> Hatch {
    match (put.material.class, put.material.form) {
        (Class::Wood, Form::Rods) if put.particle_size_m >= LOG_M => Hatch::Wood,
        (Class::Wood, Form::Rods) => Hatch::Brush,
        _ => hatch(&put.material),
    }
}

/// Approximate volume of an ingredient by itself, to compare; m3.
fn bulk_m3(put: &Ingredient, area_m2: f64) -> f64 {
    let dry = |dry_kg: f64| {
        let pieces_m3 = dry_kg / put.material.organic_density.best;
        pieces_m3 * (1.0 + put.material.void_ratio.best)
    };
    match put.amount {
        Amount::VolumeM3(m3) => m3,
        Amount::ThicknessM(thick_m) => thick_m * area_m2,
        Amount::WetMassKg(total_mass_kg) => dry(total_mass_kg * (1.0 - put.moisture_wet)),
        Amount::DryMassKg(dry_kg) => dry(dry_kg),
    }
}
