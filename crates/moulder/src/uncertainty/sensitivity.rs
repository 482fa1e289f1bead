//! Global sensitivity of the settlement to groups of uncertain parameters.

use jiff::civil::Date;
use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fault::notice::Notice;
use crate::forecast::ENGINE;
use crate::forecast::calendar::month_day;
use crate::forecast::danger::dangers;
use crate::forecast::progress::Progress;
use crate::numeric::interval::Interval;
use crate::numeric::normal::quantile;
use crate::numeric::tally::Tally;
use crate::quantity::units::Units;
use crate::text::limit::MONTHS_LIMIT;
use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::group::{ParameterGroup, groups_of};
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::months_of_sample;
use crate::uncertainty::sample::Sample;
use crate::uncertainty::sobol::{Estimate, decompose};

/// Width of the histogram bins of large ensembles; m.
const BIN_M: f64 = 1e-4;

/// Version of the JSON form of a sensitivity analysis.
pub const SCHEMA_VERSION: u32 = 2;

/// Default number of rows: with some 15 groups a thousand forecasts, with a standard error of
/// about a tenth for a large index.
pub const USUAL_ROWS: u32 = 64;

/// Sensitivity of a bed's settlement to each group of uncertain parameters.
///
/// ```
/// let found = moulder::Bed::example().forecast().months(2).sensitivity(8)?;
/// let to_measure = found.to_measure();
/// assert!(to_measure[0].first_order.share >= to_measure[1].first_order.share);
/// assert!(found.width_m() > 0.0);
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Sensitivity {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of the JSON form.
    pub schema: u32,
    /// Name of the bed.
    pub name: String,
    /// Dangers, listed before all else.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dangers: Vec<Notice>,
    /// Display units of the bed; figures here are SI whatever they are.
    pub units: Units,
    /// Months from filling to the day of the settlement.
    pub month: u32,
    /// That day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub by: Date,
    /// Seed of the realisations.
    pub seed: u64,
    /// Rows of the sample matrices.
    pub rows: u32,
    /// Number of forecasts: rows times groups plus one.
    pub forecasts: u32,
    /// 80 % interval of the settlement by then, over twice as many realisations as rows.
    pub settlement_m: Interval,
    /// Its standard deviation; m.
    pub standard_deviation_m: f64,
    /// The groups of this bed by total index, the largest first.
    pub groups: Vec<ParameterSensitivity>,
}

/// Sensitivity to one group.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ParameterSensitivity {
    /// The group.
    pub group: ParameterGroup,
    /// Whether a gardener can measure it while the bed is filled.
    pub measurable: bool,
    /// Number of parameters in it.
    pub parameters: u32,
    /// First-order index: the share of the variance that would go if the group alone were
    /// known.
    pub first_order: Estimate,
    /// Total index: the share that would stay if all but the group were known.
    pub total: Estimate,
    /// Expected width of the 80 % interval if the group were known; m. The present width times
    /// the square root of the remaining variance, which is exact for a normal distribution.
    pub width_if_known_m: f64,
}

impl Sensitivity {
    /// Width of the 80 % interval; m.
    #[must_use]
    pub fn width_m(&self) -> f64 {
        self.settlement_m.upper - self.settlement_m.lower
    }

    /// The group of the largest total index; none where nothing acts on the surface.
    #[must_use]
    pub fn most(&self) -> Option<&ParameterSensitivity> {
        let most = self.groups.first();
        most.filter(|most| most.total.share > 0.0)
    }

    /// The measurable groups by first-order index, the largest first.
    #[must_use]
    pub fn to_measure(&self) -> Vec<&ParameterSensitivity> {
        let mut all: Vec<&ParameterSensitivity> =
            self.groups.iter().filter(|one| one.measurable).collect();
        all.sort_by(|one, other| other.first_order.share.total_cmp(&one.first_order.share));
        all
    }
}

/// First-order and total indices of each [`ParameterGroup`] on the settlement of a bed after
/// `month` months ([`crate::uncertainty::sobol`]).
///
/// The weather is a group. Amounts are scaled together to the given height, so the group of
/// amounts is about their proportions.
///
/// The same bed, seed and rows give the same bytes on every machine and with any number of
/// threads. `progress` is called once a forecast.
///
/// # Errors
///
/// Month 0, too many months, too few or too many rows, a mound without room for its layers, or
/// [`Error::Stopped`].
pub fn sensitivity(
    bed: &Bed,
    month: u32,
    rows: u32,
    seed: u64,
    progress: &Progress<'_>,
) -> Result<Sensitivity, Error> {
    if month == 0 {
        return Err(Error::NothingSunkYet);
    }
    if month > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: month });
    }
    let uncertain = UncertainParameters::new(bed);
    let prior = DiscrepancyPrior::of(bed);
    let mut columns: Vec<ParameterGroup> = groups_of(bed, &uncertain)
        .into_iter()
        .map(|group| group.unwrap_or(ParameterGroup::WaterLaws))
        .collect();
    // Weather and discrepancy are the last columns.
    columns.extend([ParameterGroup::Weather, ParameterGroup::Laws]);
    let mut present: Vec<ParameterGroup> = columns.clone();
    present.sort_unstable();
    present.dedup();
    let numbers: Vec<usize> = columns
        .iter()
        .map(|group| present.binary_search(group).unwrap_or(0))
        .collect();
    // The discrepancy acts on what a run gives.
    let settlements_m = |row: &[f64], laws: &[f64]| {
        let (weather, shares) = row.split_last().unwrap_or((&0.5, &[]));
        let z = shares.iter().map(|share| quantile(*share)).collect();
        let sample = Sample::from_z(bed, &uncertain, z, weather.to_bits());
        let months = months_of_sample(&sample, month)?;
        let each = laws.iter().map(|laws| {
            let mut months = months.clone();
            Discrepancy::new(&prior, laws.to_bits(), 0, month).apply(&mut months);
            months.last().map_or(0.0, |row| row.settlement_m)
        });
        Ok(each.collect())
    };
    let found = decompose(&numbers, rows, seed, &settlements_m, progress)?;
    let count = u32::try_from(found.figures.len()).unwrap_or(u32::MAX);
    let mut tally = Tally::of(count, BIN_M);
    for settlement_m in &found.figures {
        tally.add(*settlement_m);
    }
    let settlement_m = tally.band();
    let mut groups: Vec<ParameterSensitivity> = present
        .iter()
        .zip(&found.groups)
        .map(|(group, indices)| {
            let known = indices.first_order.share.clamp(0.0, 1.0);
            let uncertain = columns.iter().filter(|other| *other == group).count();
            ParameterSensitivity {
                group: *group,
                measurable: group.is_measurable(),
                parameters: u32::try_from(uncertain).unwrap_or(u32::MAX),
                first_order: indices.first_order,
                total: indices.total,
                width_if_known_m: (settlement_m.upper - settlement_m.lower)
                    * libm::sqrt(1.0 - known),
            }
        })
        .collect();
    groups.sort_by(|one, other| other.total.share.total_cmp(&one.total.share));
    let kinds = u32::try_from(present.len() + 1).unwrap_or(u32::MAX);
    Ok(Sensitivity {
        engine: ENGINE,
        schema: SCHEMA_VERSION,
        name: bed.name.clone(),
        dangers: dangers(bed)?,
        units: bed.units,
        month,
        by: month_day(bed.filled, month),
        seed,
        rows,
        forecasts: rows.saturating_mul(kinds),
        settlement_m,
        standard_deviation_m: libm::sqrt(found.variance),
        groups,
    })
}

#[cfg(test)]
mod tests {
    use core::ops::ControlFlow;
    use core::sync::atomic::{AtomicU32, Ordering};

    use super::{Sensitivity, sensitivity};
    use crate::bed::Bed;
    use crate::fault::error::Error;
    use crate::forecast::progress::unwatched;
    use crate::library::Library;
    use crate::read::read_toml;
    use crate::text::limit::MONTHS_LIMIT;
    use crate::uncertainty::ensemble::Realisations;
    use crate::uncertainty::ensemble_forecast::forecast_with_intervals;
    use crate::uncertainty::group::ParameterGroup;

    fn bed(materials: &[&str]) -> Bed {
        let mut text = "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
                        shape = \"round\"\nacross = \"1.2 m\"\nrim = \"90 cm\"\n"
            .to_owned();
        for name in materials {
            text.push_str("[[layer]]\nput = [{ amount = \"30 cm\", material = \"");
            text.push_str(name);
            text.push_str("\" }]\nthen = [\"watered\"]\n");
        }
        read_toml(&text, &Library::built_in()).unwrap()
    }

    fn share(found: &Sensitivity, group: ParameterGroup) -> f64 {
        let found = found.groups.iter().find(|one| one.group == group);
        found.unwrap().total.share
    }

    /// Groups without a parameter in the bed have index 0; looseness, or the collapse on wetting that
    /// is a share of it, leads in soil.
    #[test]
    fn soil_alone() {
        let found = sensitivity(&bed(&["loamy topsoil"]), 1, 16, 1, &unwatched).unwrap();
        assert!(share(&found, ParameterGroup::WoodDecay) == 0.0);
        // The proportion of a single ingredient is fixed, to the rounding of the height.
        assert!(share(&found, ParameterGroup::Amounts).abs() < 1e-8);
        let most = found.most().unwrap().group;
        let leads = [ParameterGroup::LooseSoil, ParameterGroup::Giving];
        assert!(leads.contains(&most), "{most:?}");
        assert!(found.groups.iter().map(|one| one.parameters).sum::<u32>() > 40);
        assert_eq!(found.forecasts as usize, 16 * (found.groups.len() + 1));
        let total = found.groups.iter().map(|one| one.total.share);
        assert!(total.is_sorted_by(|one, other| one >= other));
    }

    /// The settlements have the spread of an ensemble forecast: 100 and 96 realisations, whose
    /// standard deviations differ by some 10 % by chance.
    #[test]
    fn settlements_have_the_spread_of_a_forecast() {
        let bed = bed(&["woody prunings", "grass clippings"]);
        let ensemble = Realisations {
            ensemble_size: 100,
            ..Realisations::default()
        };
        let forecast = forecast_with_intervals(&bed, 1, ensemble, &unwatched).unwrap();
        let interval = forecast.intervals[1].settlement_m;
        let found = sensitivity(&bed, 1, 48, 3, &unwatched).unwrap();
        let ratio = found.width_m() / (interval.upper - interval.lower);
        println!("{ratio:.3} of the width, {:.4} m", found.width_m());
        assert!((ratio - 1.0).abs() < 0.25, "{ratio}");
        let off_m = (found.settlement_m.median - interval.median).abs();
        assert!(off_m < 0.15 * found.width_m(), "{off_m}");
    }

    #[test]
    fn results_depend_on_the_seed_alone() {
        let bed = bed(&["grass clippings"]);
        let found = |seed: u64| sensitivity(&bed, 1, 8, seed, &unwatched).unwrap();
        assert_eq!(found(1), found(1));
        assert_ne!(found(1).settlement_m, found(2).settlement_m);
    }

    #[test]
    fn impossible_requests_and_a_stop_are_errors() {
        let bed = bed(&["loamy topsoil"]);
        let refused = |month: u32, rows: u32| {
            let found = sensitivity(&bed, month, rows, 1, &unwatched);
            found.map(|_| ()).unwrap_err()
        };
        assert_eq!(refused(0, 8), Error::NothingSunkYet);
        let asked = MONTHS_LIMIT + 1;
        assert_eq!(refused(asked, 8), Error::TooManyMonths { asked });
        assert!(matches!(refused(1, 7), Error::TooFewDraws { .. }));
        let calls = AtomicU32::new(0);
        let hasty = |done: u32, _: u32| {
            calls.fetch_add(1, Ordering::Relaxed);
            if done > 0 {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        };
        let stopped = sensitivity(&bed, 1, 8, 1, &hasty);
        assert_eq!(stopped, Err(Error::Stopped));
        let calls = calls.into_inner();
        assert!((2..40).contains(&calls), "{calls}");
    }
}
