//! Which unknowns make the range of the sink wide, and which of them to measure.

use jiff::civil::Date;
use std::borrow::Cow;

use schemars::JsonSchema;
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
use crate::numeric::quantile::of_sorted;
use crate::quantity::units::Units;
use crate::text::limit::MONTHS_LIMIT;
use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::group::{ParameterGroup, groups_of};
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::months_of_sample;
use crate::uncertainty::sample::Sample;
use crate::uncertainty::sobol::{Estimate, decompose};

/// Version of the form in which influences are written as JSON.
pub const SCHEMA_VERSION: u32 = 2;

/// Rows that indices rest on when nothing else is asked: with some 15 groups a thousand
/// forecasts, after which the standard error of a large share is about a tenth.
pub const USUAL_ROWS: u32 = 64;

/// What each group of unknowns does to the sink of a bed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Sensitivity {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of this form.
    pub schema: u32,
    /// What the owner calls the bed.
    pub name: String,
    /// What may hurt someone or something, before all else.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dangers: Vec<Notice>,
    /// The units the owner thinks in; figures here are SI whatever they are.
    pub units: Units,
    /// Months from filling to the day asked about.
    pub month: u32,
    /// That day, year-month-day.
    #[schemars(with = "String")]
    pub by: Date,
    /// Seed of the draws.
    pub seed: u64,
    /// Rows that the indices rest on.
    pub rows: u32,
    /// How many forecasts were made: rows times groups plus two.
    pub forecasts: u32,
    /// Fall of the surface by then: where four in five draws lie, of twice as many as rows.
    pub settlement_m: Interval,
    /// Standard deviation of that fall; m.
    pub standard_deviation_m: f64,
    /// The groups that this bed has, by their total index, the largest first.
    pub groups: Vec<ParameterSensitivity>,
}

/// What one group of unknowns does to it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ParameterSensitivity {
    /// The group.
    pub group: ParameterGroup,
    /// Whether a gardener can measure it while the bed is filled.
    pub measurable: bool,
    /// How many unknowns are in it.
    pub parameters: u32,
    /// Share of the variance that would go if the group alone were known: its first-order
    /// index.
    pub first_order: Estimate,
    /// Share that would stay if all but the group were known, so with all that it does in
    /// company with others: its total index.
    pub total: Estimate,
    /// How wide the range of four in five would be, on average, if the group were known;
    /// m. The present width times the square root of what is left of the variance, which
    /// is exact only where the sink is spread normally.
    pub width_if_known_m: f64,
}

impl Sensitivity {
    /// How wide the range of four in five is; m.
    #[must_use]
    pub fn width_m(&self) -> f64 {
        self.settlement_m.upper - self.settlement_m.lower
    }

    /// The group that matters most in all; none where nothing moves the surface.
    #[must_use]
    pub fn most(&self) -> Option<&ParameterSensitivity> {
        let most = self.groups.first();
        most.filter(|most| most.total.share > 0.0)
    }

    /// The groups that can be measured, by how much of the variance would go if one alone
    /// were known, the largest first.
    #[must_use]
    pub fn to_measure(&self) -> Vec<&ParameterSensitivity> {
        let mut all: Vec<&ParameterSensitivity> =
            self.groups.iter().filter(|one| one.measurable).collect();
        all.sort_by(|one, other| other.first_order.share.total_cmp(&one.first_order.share));
        all
    }
}

/// Finds which unknowns make the range of a bed's sink wide, `month` months on.
///
/// All that is uncertain in a forecast is put into groups ([`ParameterGroup`]) by what would
/// have to be measured to know it; each year's weather is one of them. Of each group its
/// first-order and total index are estimated ([`crate::uncertainty::sobol`]) from `rows` rows.
/// Amounts are scaled together until the bed stands as high as told, which is part of the
/// figure: how much of a thing went in is how much of it against the rest.
///
/// The same bed, seed and rows give the same bytes everywhere, in any number of threads.
/// The progress is told how many forecasts are done.
///
/// # Errors
///
/// Month 0, too many months, too few or too many rows, a mound without room for its
/// layers, or a progress that stops it.
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
    let uncertain = UncertainParameters::of(bed);
    let mut columns: Vec<ParameterGroup> = groups_of(bed, &uncertain)
        .into_iter()
        .map(|group| group.unwrap_or(ParameterGroup::WaterLaws))
        .collect();
    // The years of weather and what the laws are off by are the last columns.
    columns.extend([ParameterGroup::Weather, ParameterGroup::Laws]);
    let mut present: Vec<ParameterGroup> = columns.clone();
    present.sort_unstable();
    present.dedup();
    let numbers: Vec<usize> = columns
        .iter()
        .map(|group| present.binary_search(group).unwrap_or(0))
        .collect();
    let settlement_m = |row: &[f64]| {
        let (laws, row) = row.split_last().unwrap_or((&0.5, &[]));
        let (weather, shares) = row.split_last().unwrap_or((&0.5, &[]));
        let z = shares.iter().map(|share| quantile(*share)).collect();
        let sample = Sample::with(bed, &uncertain, z, weather.to_bits());
        let mut months = months_of_sample(&sample, month)?;
        Discrepancy::new(laws.to_bits(), 0, month).apply(&mut months);
        Ok(months.last().map_or(0.0, |row| row.settlement_m))
    };
    let found = decompose(&numbers, rows, seed, &settlement_m, progress)?;
    let mut sorted = found.figures.clone();
    sorted.sort_by(f64::total_cmp);
    let settlement_m = Interval {
        lower: of_sorted(&sorted, 0.1),
        median: of_sorted(&sorted, 0.5),
        upper: of_sorted(&sorted, 0.9),
    };
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
    let kinds = u32::try_from(present.len() + 2).unwrap_or(u32::MAX);
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
    use crate::uncertainty::banded::forecast_with_bands;
    use crate::uncertainty::draws::Realisations;
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

    /// What a bed of soil does not hold does nothing to it; how far soil goes down when it
    /// is watered does most of all.
    #[test]
    fn soil_alone() {
        let found = sensitivity(&bed(&["loamy topsoil"]), 1, 16, 1, &unwatched).unwrap();
        assert!(share(&found, ParameterGroup::WoodDecay) == 0.0);
        // One thing is all there is of it, however much went in.
        assert!(share(&found, ParameterGroup::Amounts).abs() < 1e-12);
        assert_eq!(found.most().unwrap().group, ParameterGroup::Giving);
        assert!(found.groups.iter().map(|one| one.parameters).sum::<u32>() > 40);
        assert_eq!(found.forecasts as usize, 16 * (found.groups.len() + 2));
        let total = found.groups.iter().map(|one| one.total.share);
        assert!(total.is_sorted_by(|one, other| one >= other));
    }

    /// The sinks behind the indices are spread as those of a forecast with bands are: both
    /// draw the same unknowns and weather. Of 100 and 96 draws, whose standard deviations
    /// stray by some 10 % of each other by chance.
    #[test]
    fn it_draws_what_bands_draw() {
        let bed = bed(&["woody prunings", "grass clippings"]);
        let ensemble = Realisations {
            ensemble_size: 100,
            ..Realisations::default()
        };
        let forecast = forecast_with_bands(&bed, 1, ensemble, &unwatched).unwrap();
        let band = forecast.intervals[1].settlement_m;
        let found = sensitivity(&bed, 1, 48, 3, &unwatched).unwrap();
        let ratio = found.width_m() / (band.upper - band.lower);
        println!("{ratio:.3} of the width, {:.4} m", found.width_m());
        assert!((ratio - 1.0).abs() < 0.25, "{ratio}");
        let off_m = (found.settlement_m.median - band.median).abs();
        assert!(off_m < 0.15 * found.width_m(), "{off_m}");
    }

    #[test]
    fn the_same_again_and_another_seed() {
        let bed = bed(&["grass clippings"]);
        let found = |seed: u64| sensitivity(&bed, 1, 8, seed, &unwatched).unwrap();
        assert_eq!(found(1), found(1));
        assert_ne!(found(1).settlement_m, found(2).settlement_m);
    }

    #[test]
    fn what_cannot_be_asked_and_a_stop() {
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
