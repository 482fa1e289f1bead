//! What a mixture of materials comes to: its water, and its carbon to nitrogen.
//!
//! With Q the wet mass of each material, M its water as a share of that, and C and N the
//! carbon and nitrogen of its dry part, the mixture has
//!
//! ```text
//! M = sum(Q M) / sum(Q)
//! R = sum(Q C (1 - M)) / sum(Q N (1 - M))
//! ```
//!
//! (Richard and Trautmann, Cornell composting pages, "C/N ratio" and "Moisture content").
//! Carbon and nitrogen are added up, never ratios averaged: an average by mass is wrong
//! whenever the materials differ in nitrogen.

use moulder_core::math::elementary::{exp, ln, sqrt};
use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::fault::error::NoRoom;
use crate::library::material::Material;
use crate::model::compile::{Arrival, arrivals};
use crate::model::figures::Figures;
use crate::quantity::range::Range;

/// A material in a mixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Mass, water included; kg.
    pub total_mass_kg: f64,
    /// Water, as a share of that mass; 0 to below 1.
    pub moisture_wet: f64,
    /// Carbon in the dry part; kg/kg dry.
    pub carbon: f64,
    /// Nitrogen in the dry part; kg/kg dry.
    pub nitrogen: f64,
}

impl Part {
    fn dry_kg(&self) -> f64 {
        self.total_mass_kg * (1.0 - self.moisture_wet)
    }
}

/// Water of a mixture, as a share of its wet mass. None where there is nothing.
///
/// ```
/// use moulder::internals::model::mixture::{Part, mixed_moisture};
///
/// let grass = Part { total_mass_kg: 10.0, moisture_wet: 0.77, carbon: 0.45, nitrogen: 0.024 };
/// let leaves = Part { total_mass_kg: 6.8, moisture_wet: 0.35, carbon: 0.50, nitrogen: 0.0075 };
/// assert!((mixed_moisture(&[grass, leaves]).unwrap() - 0.60).abs() < 0.0005);
/// ```
#[must_use]
pub fn mixed_moisture(parts: &[Part]) -> Option<f64> {
    let total_mass_kg: f64 = parts.iter().map(|part| part.total_mass_kg).sum();
    let water_kg: f64 = parts
        .iter()
        .map(|part| part.total_mass_kg - part.dry_kg())
        .sum();
    (total_mass_kg > 0.0).then(|| water_kg / total_mass_kg)
}

/// Carbon to nitrogen of a mixture by mass. None where there is no nitrogen.
///
/// ```
/// use moulder::internals::model::mixture::{Part, mixed_carbon_to_nitrogen};
///
/// let grass = Part { total_mass_kg: 10.0, moisture_wet: 0.77, carbon: 0.45, nitrogen: 0.024 };
/// let leaves = Part { total_mass_kg: 3.5, moisture_wet: 0.35, carbon: 0.50, nitrogen: 0.0075 };
/// let mixed = mixed_carbon_to_nitrogen(&[grass, leaves]).unwrap();
/// assert!((mixed - 30.06).abs() < 0.01);
/// ```
#[must_use]
pub fn mixed_carbon_to_nitrogen(parts: &[Part]) -> Option<f64> {
    let nitrogen_kg = nitrogen_kg(parts);
    (nitrogen_kg > 0.0).then(|| carbon_kg(parts) / nitrogen_kg)
}

/// How much of `other` brings `base` to a moisture, as a share of wet mass; kg wet.
///
/// None where no amount of it does: the goal must lie between the two.
#[must_use]
pub fn amount_for_moisture(base: &Part, other: &Part, goal: f64) -> Option<f64> {
    let excess_kg = base.total_mass_kg * (base.moisture_wet - goal);
    amount(excess_kg, goal - other.moisture_wet)
}

/// How much of `other` brings `base` to a carbon to nitrogen; kg wet.
///
/// None where no amount of it does: the goal must lie between the two.
#[must_use]
pub fn amount_for_carbon_to_nitrogen(base: &Part, other: &Part, goal: f64) -> Option<f64> {
    let excess_kg = base.dry_kg() * (goal * base.nitrogen - base.carbon);
    let each = (1.0 - other.moisture_wet) * (other.carbon - goal * other.nitrogen);
    amount(excess_kg, each)
}

/// How many times `each` makes up for `excess`; None where it leads away from the goal.
fn amount(excess: f64, each: f64) -> Option<f64> {
    let times = excess / each;
    (times.is_finite() && times >= 0.0).then_some(times)
}

/// Nitrogen that a mixture lacks to a carbon to nitrogen; kg, 0 where it has enough.
///
/// ```
/// use moulder::internals::model::mixture::{Part, nitrogen_lacking_kg};
///
/// // A cubic yard of sawdust: 400 lb, 60 % carbon, carbon to nitrogen 400.
/// let sawdust = Part { total_mass_kg: 400.0, moisture_wet: 0.0, carbon: 0.60, nitrogen: 0.0015 };
/// assert!((nitrogen_lacking_kg(&[sawdust], 30.0) - 7.4).abs() < 1e-9);
/// ```
#[must_use]
pub fn nitrogen_lacking_kg(parts: &[Part], goal: f64) -> f64 {
    (carbon_kg(parts) / goal - nitrogen_kg(parts)).max(0.0)
}

fn carbon_kg(parts: &[Part]) -> f64 {
    parts.iter().map(|part| part.dry_kg() * part.carbon).sum()
}

fn nitrogen_kg(parts: &[Part]) -> f64 {
    parts.iter().map(|part| part.dry_kg() * part.nitrogen).sum()
}

/// What a layer, or the whole fill, comes to as mixed on the day of filling.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Mixture {
    /// Carbon to nitrogen by mass, with the range in which four in five such mixtures are
    /// held to lie, were the amounts exact.
    ///
    /// The range: each material's ratio by itself is moved to its lower and to its upper
    /// tenth; the shifts of the mixture's ratio, in logarithms, are added as independent
    /// errors are, by the root of the sum of their squares (our own closure). All materials
    /// low at once, or all high, would be too wide a range.
    pub carbon_to_nitrogen: Range,
    /// Water on arrival, as a share of the wet mass.
    pub moisture_wet: f64,
}

/// The mixtures of a bed.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Mixtures {
    /// Layer by layer, from the ground up.
    pub layers: Vec<Mixture>,
    /// All layers as one.
    pub fill: Mixture,
}

impl Mixtures {
    /// The mixtures of a bed as it was filled.
    ///
    /// # Errors
    ///
    /// A mound whose sides meet before all of its layers are in.
    pub fn of(bed: &Bed) -> Result<Self, NoRoom> {
        let layers = arrivals(bed, Figures::nominal())?;
        Ok(Self {
            layers: layers.iter().map(|layer| mixture(layer)).collect(),
            fill: mixture(&layers.concat()),
        })
    }
}

fn mixture(put: &[Arrival<'_>]) -> Mixture {
    let middle = |material: &Material| Figures::nominal().of(&material.carbon_to_nitrogen);
    let best = ratio(put, middle);
    let mut materials: Vec<&Material> = Vec::new();
    for arrival in put {
        let material = &arrival.ingredient.material;
        // What lies in the bed twice is off the same way twice.
        if materials.iter().all(|known| known.name != material.name) {
            materials.push(material);
        }
    }
    let shift = |end: fn(&Material) -> f64| -> f64 {
        let squares = materials.iter().map(|moved| {
            let shifted = ratio(put, |material| {
                if material.name == moved.name {
                    end(material)
                } else {
                    middle(material)
                }
            });
            let shift = ln(shifted / best);
            shift * shift
        });
        sqrt(squares.sum())
    };
    Mixture {
        carbon_to_nitrogen: Range {
            best,
            low: best * exp(-shift(|m| m.carbon_to_nitrogen.spread.low)),
            high: best * exp(shift(|m| m.carbon_to_nitrogen.spread.high)),
        },
        moisture_wet: mixed_moisture(&parts(put, middle)).unwrap_or(0.0),
    }
}

/// Carbon to nitrogen of all that is put in, with that ratio for each sound material.
fn ratio(put: &[Arrival<'_>], of: impl Fn(&Material) -> f64) -> f64 {
    // A checked bed holds nitrogen: amounts are above nothing, and ratios finite.
    mixed_carbon_to_nitrogen(&parts(put, of)).unwrap_or(f64::INFINITY)
}

fn parts(put: &[Arrival<'_>], of: impl Fn(&Material) -> f64) -> Vec<Part> {
    put.iter()
        .map(|arrival| Part {
            total_mass_kg: arrival.total_mass_kg(),
            moisture_wet: arrival.ingredient.moisture_wet,
            carbon: arrival.carbon_kg / arrival.dry_kg,
            nitrogen: arrival.nitrogen_kg(of(&arrival.ingredient.material)) / arrival.dry_kg,
        })
        .collect()
}
