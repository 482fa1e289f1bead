//! 80 % intervals of top-ups.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::realisation::{plan_of_realisation, realised_material, uncertain};
use super::tallies::{BedTally, YearsTally};
use super::{Planned, TopUpRule, TopUps, nominal_top_ups};
use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fit::conditioned::Conditioned;
use crate::forecast::progress::Progress;
use crate::numeric::interval::Interval;
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::ensemble::run_ensemble;
use crate::uncertainty::realisation::has_room;
use crate::uncertainty::sample::Sample;

/// 80 % interval of a date, and its median.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DateInterval {
    /// One realisation in ten is before this.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub lower: Date,
    /// The median.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub median: Date,
    /// One realisation in ten is after this.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub upper: Date,
}

/// 80 % intervals of a top-up, over the realisations in which it happens.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct TopUpInterval {
    /// Its number: in calendar order for fixed months, else its place in each realisation.
    pub number: u32,
    /// Share of the realisations in which it happens.
    pub chance: f64,
    /// Share of the realisations in which the budget or the largest thickness limited it.
    pub chance_held_back: f64,
    /// The day.
    pub date: DateInterval,
    /// The day to order on.
    pub order_by: DateInterval,
    /// Depth of the surface below the rim just before; m.
    pub below_before_m: Interval,
    /// Loose volume added where any is; m3.
    pub laid_m3: Interval,
    /// Its mass, water included; kg.
    pub laid_kg: Interval,
    /// Packages to buy.
    pub bought: Interval,
    /// Cost; none where the price is not known.
    pub cost: Option<Interval>,
}

/// Sums of top-ups.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Sums {
    /// Loose volume added; m3.
    pub laid_m3: Interval,
    /// Its mass, water included; kg.
    pub laid_kg: Interval,
    /// Packages to buy.
    pub bought: Interval,
    /// Cost; none where the price is not known.
    pub cost: Option<Interval>,
}

/// Sums of the top-ups of a calendar year.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct YearOfTopUps {
    /// The year of the top-ups.
    pub year: i16,
    /// The sums; zero in a realisation without a top-up.
    pub sums: Sums,
}

/// All beds planned together, each times its count.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Together {
    /// Number of beds.
    pub beds: u32,
    /// Sums by year.
    pub years: Vec<YearOfTopUps>,
    /// Sums over all years.
    pub all: Sums,
}

/// 80 % intervals. Each figure has its own quantiles: those of a sum are not the sums of the
/// quantiles.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct TopUpIntervals {
    /// Seed of the realisations.
    pub seed: u64,
    /// Number of realisations.
    pub ensemble_size: u32,
    /// Standard deviation of the model discrepancy before any reading, as a share of the
    /// rate of settlement.
    pub discrepancy_sd: f64,
    /// Number of readings that the realisations are conditioned on.
    pub readings: u32,
    /// Exponent of the tempered likelihood, as in a
    /// [`fit`](crate::fit::Fit::tempering_exponent); 1 when not tempered or without readings.
    pub readings_tempering_exponent: f64,
    /// Whether the readings are a surprise to the prior, as in a
    /// [`fit`](crate::fit::agreement::Agreement::is_surprising).
    pub readings_surprise: bool,
    /// Every top-up that happens in any realisation.
    pub top_ups: Vec<TopUpInterval>,
    /// Share of the realisations with any top-up.
    pub chance_of_any: f64,
    /// Number of top-ups.
    pub times: Interval,
    /// Sums by year, for one bed.
    pub years: Vec<YearOfTopUps>,
    /// Sums over all years, for one bed.
    pub all: Sums,
    /// Depth below the rim at the end; m.
    pub below_at_end_m: Interval,
    /// All beds planned together; the same for each of them.
    pub together: Together,
}

/// The top-ups of a bed with 80 % intervals: [`top_ups_of_all`] for one bed.
///
/// # Errors
///
/// As [`top_ups_of_all`].
pub fn top_ups_with_intervals(
    bed: &Bed,
    rule: &TopUpRule,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<TopUps, Error> {
    let (beds, rules) = (core::slice::from_ref(bed), core::slice::from_ref(rule));
    let mut plans = top_ups_of_all(beds, rules, ensemble, progress)?;
    // One bed, one plan.
    Ok(plans.swap_remove(0))
}

/// The top-ups of beds planned together, one rule each: means over the realisations with 80 %
/// intervals; without realisations the nominal run alone.
///
/// Within a realisation beds share parameters and weather, and their sums are added up; beds
/// counted as alike are the same.
///
/// A bed with [readings](crate::bed::Bed::readings) is planned from the posterior, as in a
/// [`fit`](crate::fit::fit), and nothing before its last reading. Its realisations are not paired with those of
/// other beds.
///
/// Cost: each bed twice a realisation for its months, with and without top-ups, and 128 times or
/// more to its last reading.
///
/// # Errors
///
/// Too many realisations, a mound without room for its layers, or [`Error::Stopped`].
pub fn top_ups_of_all(
    beds: &[Bed],
    rules: &[TopUpRule],
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Vec<TopUps>, Error> {
    let each = || beds.iter().zip(rules);
    if ensemble.ensemble_size == 0 {
        return each()
            .map(|(bed, rule)| nominal_top_ups(bed, rule, progress))
            .collect();
    }
    for (bed, rule) in each() {
        rule.can_be_kept()?;
        has_room(bed, rule.months)?;
    }
    let materials: Vec<_> = rules.iter().map(|rule| &rule.material).collect();
    let uncertain = uncertain(beds, &materials);
    let planning = each()
        .map(|(bed, rule)| Conditioned::new(bed, &uncertain, rule.months, ensemble, progress))
        .collect::<Result<Vec<Conditioned>, Error>>()?;
    let drawn: Vec<_> = planning.iter().map(Conditioned::one_by_one).collect();
    // A bed and its rule in a realisation.
    let realise = |bed: &Bed, rule: &TopUpRule, number: u32| {
        let sample = Sample::new(bed, &uncertain, ensemble.seed, number);
        let mut rule = rule.clone();
        rule.material = realised_material(bed, &rule.material, &uncertain, ensemble.seed, number);
        (sample, rule)
    };
    let mut own: Vec<BedTally> = each()
        .map(|(bed, rule)| BedTally::new(bed, rule, ensemble.ensemble_size))
        .collect();
    let mut together = YearsTally::new(each(), ensemble.ensemble_size);
    run_ensemble(
        ensemble,
        progress,
        &|index| -> Result<Vec<Planned>, Error> {
            each()
                .zip(&drawn)
                .filter_map(|(of, drawn)| Some((of, drawn.get(index as usize)?)))
                .map(|((bed, rule), (drawn, time))| {
                    let (sample, rule) = realise(bed, rule, drawn.number);
                    let discrepancy = drawn.discrepancy(bed, ensemble.seed, *time, rule.months);
                    plan_of_realisation(&sample, &rule, &discrepancy)
                })
                .collect()
        },
        &mut |planned| {
            for (tally, planned) in own.iter_mut().zip(planned) {
                tally.add(planned);
            }
            let counts = beds.iter().map(|bed| bed.count);
            together.add(counts.zip(planned.iter().map(|planned| planned.list.as_slice())));
        },
    )?;
    let together = Together {
        beds: beds.iter().map(|bed| bed.count).sum(),
        years: together.years(),
        all: together.all(),
    };
    let planned = each().zip(&planning).zip(&own);
    planned
        .map(|(((bed, rule), planning), tally)| {
            let mut topups = TopUps::new(bed, rule, tally.mean(rule))?;
            topups.intervals = Some(tally.intervals(ensemble, planning, &together));
            Ok(topups)
        })
        .collect()
}
