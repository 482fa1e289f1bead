//! Water content and carbon to nitrogen ratio of mixtures.
//!
//! With Q the wet mass of each material, M its water content as a share of that, and C and N the
//! carbon and nitrogen of its dry part,
//!
//! ```text
//! M = sum(Q M) / sum(Q)
//! R = sum(Q C (1 - M)) / sum(Q N (1 - M))
//! ```
//!
//! (Richard and Trautmann, Cornell composting pages, "C/N ratio" and "Moisture content").
//! Carbon and nitrogen are summed; a mean of the ratios by mass would be wrong wherever materials
//! differ in nitrogen.

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
    /// Water content, as a share of that mass; 0 to below 1.
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

/// Water content of a mixture, as a share of its wet mass. None for an empty mixture.
#[must_use]
pub fn mixed_moisture(parts: &[Part]) -> Option<f64> {
    let total_mass_kg: f64 = parts.iter().map(|part| part.total_mass_kg).sum();
    let water_kg: f64 = parts
        .iter()
        .map(|part| part.total_mass_kg - part.dry_kg())
        .sum();
    (total_mass_kg > 0.0).then(|| water_kg / total_mass_kg)
}

/// Carbon to nitrogen ratio of a mixture by mass. None without nitrogen.
#[must_use]
pub fn mixed_carbon_to_nitrogen(parts: &[Part]) -> Option<f64> {
    let nitrogen_kg = nitrogen_kg(parts);
    (nitrogen_kg > 0.0).then(|| carbon_kg(parts) / nitrogen_kg)
}

/// How much of `other` brings `base` to a water content, as a share of wet mass; kg wet.
///
/// None unless the goal lies between the two.
#[must_use]
pub fn amount_for_moisture(base: &Part, other: &Part, goal: f64) -> Option<f64> {
    let excess_kg = base.total_mass_kg * (base.moisture_wet - goal);
    amount(excess_kg, goal - other.moisture_wet)
}

/// How much of `other` brings `base` to a carbon to nitrogen ratio; kg wet.
///
/// None unless the goal lies between the two.
#[must_use]
pub fn amount_for_carbon_to_nitrogen(base: &Part, other: &Part, goal: f64) -> Option<f64> {
    let excess_kg = base.dry_kg() * (goal * base.nitrogen - base.carbon);
    let each = (1.0 - other.moisture_wet) * (other.carbon - goal * other.nitrogen);
    amount(excess_kg, each)
}

/// How many times `each` balances `excess`; none where it leads away from the goal.
fn amount(excess: f64, each: f64) -> Option<f64> {
    let times = excess / each;
    (times.is_finite() && times >= 0.0).then_some(times)
}

/// Nitrogen that a mixture lacks to a carbon to nitrogen ratio; kg, 0 where it has enough.
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

/// A layer, or the whole fill, mixed on the day of filling.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Mixture {
    /// Carbon to nitrogen ratio by mass, with its 80 % interval if the amounts were exact.
    ///
    /// Each material's ratio alone is moved to its 10 % and to its 90 % quantile; the shifts of
    /// the log ratio of the mixture are added as independent errors are, by the root of the sum
    /// of squares (our own closure). All materials low at once, or all high, would be too wide.
    pub carbon_to_nitrogen: Range,
    /// Water content on arrival, as a share of the wet mass.
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
    /// The mixtures of a bed as filled.
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
        // A material that occurs twice deviates the same way twice.
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

/// Carbon to nitrogen ratio of the fill, given that ratio for each sound material.
fn ratio(put: &[Arrival<'_>], of: impl Fn(&Material) -> f64) -> f64 {
    // A checked bed holds nitrogen: amounts are above zero, and ratios finite.
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
