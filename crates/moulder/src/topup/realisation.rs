//! The top-ups of one realisation of a bed.

use super::planner::top_up_layer;
use super::{Planned, TopUpRule, plan};
use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::progress::unwatched;
use crate::library::material::Material;
use crate::uncertainty::drawn::Drawn;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::{Realisation, until_it_fits};
use crate::uncertainty::sample::Sample;

/// The uncertain parameters of beds and of their top-up materials: those of the beds in their
/// own order, then those of the materials alone.
pub(crate) fn uncertain(beds: &[Bed], materials: &[&Material]) -> UncertainParameters {
    let stocks = beds.iter().zip(materials);
    let stocks = stocks.map(|(bed, material)| stock(bed, material));
    let all: Vec<Bed> = beds.iter().cloned().chain(stocks).collect();
    UncertainParameters::from_beds(&all)
}

/// The top-up material in a realisation; equal to the bed's own where the bed has the same
/// material.
pub(crate) fn realised_material(
    bed: &Bed,
    material: &Material,
    uncertain: &UncertainParameters,
    seed: u64,
    number: u32,
) -> Material {
    let sample = Sample::new(&stock(bed, material), uncertain, seed, number);
    let put = sample.bed().layers.iter().flat_map(|layer| &layer.put);
    let realised = put.map(|ingredient| &ingredient.material).next();
    realised.unwrap_or(material).clone()
}

/// A bed of nothing but the material, to realise it.
fn stock(bed: &Bed, material: &Material) -> Bed {
    /// Any volume would do; m3.
    const HANDY_M3: f64 = 0.04;
    let mut stock = bed.clone();
    stock.layers = vec![top_up_layer(material, HANDY_M3)];
    stock.additions.clear();
    stock
}

/// A realisation of a bed without top-ups, and beside it its top-ups.
pub(crate) struct ToppedUp {
    pub(crate) without: Realisation,
    pub(crate) planned: Planned,
}

impl ToppedUp {
    /// The top-ups by that rule, with the discrepancy of that time that the realisation was drawn.
    /// A mound returns to its height on the day of filling in this realisation.
    ///
    /// # Errors
    ///
    /// A mound without room for its layers even after reduction.
    pub(crate) fn new(
        bed: &Bed,
        rule: &TopUpRule,
        uncertain: &UncertainParameters,
        (seed, drawn, time): (u64, &Drawn, u32),
    ) -> Result<Self, Error> {
        let sample = Sample::new(bed, uncertain, seed, drawn.number);
        let mut rule = rule.clone();
        rule.material = realised_material(bed, &rule.material, uncertain, seed, drawn.number);
        let discrepancy = drawn.discrepancy(bed, seed, time, rule.months);
        let (run, planned) = until_it_fits(&sample, &|sample| {
            let laws = (sample.figures(), &discrepancy);
            plan(sample.bed(), &rule, laws, &unwatched)
        })?;
        Ok(Self {
            without: Realisation::of_run(run, bed, (seed, drawn), rule.months),
            planned,
        })
    }
}
