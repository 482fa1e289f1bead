//! The top-ups of one possible truth about a bed.

use jiff::civil::Date;

use super::planner::{Heights, PlannedTopUps, target_m, top_up, top_up_layer};
use super::{TopUp, TopUpRule, TopUps, plan};
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

/// What a draw makes of the top-ups of a bed.
pub(crate) struct RealisedTopUps {
    /// The top-ups, in order of date.
    pub(crate) list: Vec<TopUp>,
    /// How far the bed stands below the rim in the end, or below its first height; m.
    pub(crate) below_at_end_m: f64,
}

/// The unknowns of beds and of what they are topped up with: those of the beds in their
/// own order, then what only the materials have.
pub(crate) fn uncertain(beds: &[Bed], materials: &[&Material]) -> UncertainParameters {
    let stocks = beds.iter().zip(materials);
    let stocks = stocks.map(|(bed, material)| stock(bed, material));
    let all: Vec<Bed> = beds.iter().cloned().chain(stocks).collect();
    UncertainParameters::of_all(&all)
}

/// The material as it may have been in a draw. Where the bed holds the same, it is the
/// same.
pub(crate) fn realised_material(
    bed: &Bed,
    material: &Material,
    uncertain: &UncertainParameters,
    seed: u64,
    number: u32,
) -> Material {
    let sample = Sample::of(&stock(bed, material), uncertain, seed, number);
    let put = sample.bed().layers.iter().flat_map(|layer| &layer.put);
    let drawn = put.map(|ingredient| &ingredient.material).next();
    drawn.unwrap_or(material).clone()
}

/// A bed of nothing but the material: a draw of it says what the material may be like.
fn stock(bed: &Bed, material: &Material) -> Bed {
    /// As much as a bag holds; m3. Any volume would do.
    const HANDY_M3: f64 = 0.04;
    let mut stock = bed.clone();
    stock.layers = vec![top_up_layer(material, HANDY_M3)];
    stock.additions.clear();
    stock
}

/// The whole plan of one draw, as [`super::plan_topups`] tells that of the middle line.
///
/// # Errors
///
/// As [`topped`].
pub(crate) fn plan_of_realisation(
    sample: &Sample,
    rule: &TopUpRule,
    discrepancy: &Discrepancy,
) -> Result<TopUps, Error> {
    until_it_fits(sample, &|sample| {
        let (bed, figures) = (sample.bed(), sample.figures());
        let weather = over_a_bed(bed, days_to_month(bed.filled, rule.months), figures);
        plan(bed, rule, weather, (figures, discrepancy), &unwatched)
    })
}

/// Tops a sample of a bed up, under its own years, with laws that are off by that.
///
/// A mound comes back to the height it had on the day of filling in this draw. Nothing is due
/// before a day, where one is given.
///
/// # Errors
///
/// A mound without room for its layers even with little of each.
pub(crate) fn realised_top_ups(
    sample: &Sample,
    rule: &TopUpRule,
    discrepancy: &Discrepancy,
    not_before: Option<Date>,
) -> Result<RealisedTopUps, Error> {
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
        let PlannedTopUps { list, end_m, .. } = top_up(
            bed,
            rule,
            target_m,
            weather,
            (figures, discrepancy),
            not_before,
            &unwatched,
        )?;
        Ok(RealisedTopUps {
            list,
            below_at_end_m: target_m - end_m,
        })
    })
}
