//! The top-ups of one realisation of a bed.

use jiff::civil::Date;

use super::planner::{Heights, target_m, top_up, top_up_layer};
use super::{Planned, TopUp, TopUpRule, plan};
use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::calendar::days_to_month;
use crate::forecast::progress::unwatched;
use crate::forecast::trajectory;
use crate::library::material::Material;
use crate::model::weather::over_a_bed;
use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::until_it_fits;
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

/// The whole plan in one realisation.
///
/// # Errors
///
/// As [`realised_top_ups`].
pub(crate) fn plan_of_realisation(
    sample: &Sample,
    rule: &TopUpRule,
    discrepancy: &Discrepancy,
) -> Result<Planned, Error> {
    until_it_fits(sample, &|sample| {
        let (bed, figures) = (sample.bed(), sample.figures());
        let weather = over_a_bed(bed, days_to_month(bed.filled, rule.months), figures);
        plan(bed, rule, weather, (figures, discrepancy), &unwatched)
    })
}

/// The top-ups of a sample under its own weather, with that discrepancy, in order of date.
///
/// A mound returns to its height on the day of filling in this realisation. Nothing is due
/// before `not_before`.
///
/// # Errors
///
/// A mound without room for its layers even after reduction.
pub(crate) fn realised_top_ups(
    sample: &Sample,
    rule: &TopUpRule,
    discrepancy: &Discrepancy,
    not_before: Date,
) -> Result<Vec<TopUp>, Error> {
    until_it_fits(sample, &|sample| {
        let (bed, figures) = (sample.bed(), sample.figures());
        let weather = over_a_bed(bed, days_to_month(bed.filled, rule.months), figures);
        let mut first = Heights::new(discrepancy);
        if bed.rim_m.is_none() {
            trajectory::run(
                bed,
                weather.clone(),
                figures,
                0,
                figures.schedule(),
                &mut first,
            )?;
        }
        let target_m = target_m(bed, &first);
        let planned = top_up(
            bed,
            rule,
            target_m,
            weather,
            (figures, discrepancy),
            not_before,
            &unwatched,
        )?;
        Ok(planned.list)
    })
}
