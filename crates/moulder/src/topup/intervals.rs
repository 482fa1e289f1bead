//! Where the top-ups of many draws lie.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::planner::not_before;
use super::planning_ensemble::PlanningEnsemble;
#[cfg(doc)]
use super::planning_ensemble::WEIGHTED_PER_REALISATION;
use super::realisation::{
    RealisedTopUps, plan_of_realisation, realised_material, realised_top_ups, uncertain,
};
use super::tallies::{BedTally, YearsTally};
use super::{TopUpRule, TopUps, plan_topups};
use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::danger::dangers;
use crate::forecast::progress::{Progress, unwatched};
use crate::numeric::interval::Interval;
use crate::uncertainty::draws::Realisations;
use crate::uncertainty::draws::run_ensemble;
use crate::uncertainty::sample::Sample;

/// Where four in five dates lie, and their middle; each year-month-day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DateInterval {
    /// One in ten comes before this.
    #[schemars(with = "String")]
    pub lower: Date,
    /// Half of them come before this.
    #[schemars(with = "String")]
    pub median: Date,
    /// One in ten comes after this.
    #[schemars(with = "String")]
    pub upper: Date,
}

/// Where a top-up may lie, over the draws in which it comes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct TopUpInterval {
    /// Its number: in order of the calendar where it comes in fixed months, else that of
    /// its turn in each draw.
    pub number: u32,
    /// Share of the draws in which it comes.
    pub chance: f64,
    /// Share of the draws in which more was wanted than the budget or the crowns allowed.
    pub chance_held_back: f64,
    /// The day.
    pub date: DateInterval,
    /// The day on which to order.
    pub order_by: DateInterval,
    /// How far the surface lay below the rim just before; m.
    pub below_before_m: Interval,
    /// Loose volume that is laid on; m3.
    pub laid_m3: Interval,
    /// Its weight, water included; kg.
    pub laid_kg: Interval,
    /// How many units to buy.
    pub bought: Interval,
    /// What that costs; none where the price is not known.
    pub cost: Option<Interval>,
}

/// What top-ups come to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Sums {
    /// Loose volume that is laid on; m3.
    pub laid_m3: Interval,
    /// Its weight, water included; kg.
    pub laid_kg: Interval,
    /// How many units to buy.
    pub bought: Interval,
    /// What that costs; none where the price is not known.
    pub cost: Option<Interval>,
}

/// What the top-ups of a calendar year come to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct YearOfTopUps {
    /// The year in which they are laid on.
    pub year: i16,
    /// What they come to; nothing in a draw without one.
    pub sums: Sums,
}

/// All beds that were planned together, each as often as there are beds like it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct Together {
    /// How many beds.
    pub beds: u32,
    /// What a year comes to.
    pub years: Vec<YearOfTopUps>,
    /// What all years come to.
    pub all: Sums,
}

/// Where four in five draws lie. Each figure has its own band: they are not of one draw,
/// and the ends of a sum are not the sums of the ends.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct TopUpIntervals {
    /// Seed of the draws.
    pub seed: u64,
    /// How many draws.
    pub ensemble_size: u32,
    /// How many readings of the document they agree with; 0 where there are none, or where
    /// they were passed over.
    pub readings: u32,
    /// The power to which their likelihoods were taken, as in a
    /// [`fit`](crate::fit::Fit::tempering_exponent); 1 where they count in full, and where there are none.
    pub readings_tempering_exponent: f64,
    /// Whether readings were passed over, since they contradict all that was believed.
    pub readings_contradict: bool,
    /// How many draws it takes where too few were asked for: those of which the readings
    /// would count at all, where they were passed over for it (`readings` is 0); and else
    /// those of which they would count for more. None where enough were asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub readings_take_draws: Option<u32>,
    /// Every top-up that comes in any of them.
    pub top_ups: Vec<TopUpInterval>,
    /// Share of the draws in which there is any.
    pub chance_of_any: f64,
    /// How many top-ups there are.
    pub times: Interval,
    /// What a year comes to, for one bed.
    pub years: Vec<YearOfTopUps>,
    /// What all years come to, for one bed.
    pub all: Sums,
    /// How far below the rim it stands in the end; m.
    pub below_at_end_m: Interval,
    /// All beds that were planned together; the same for each of them.
    pub together: Together,
}

/// Plans the top-ups of a bed with bands: the middle line of [`plan_topups`], and where
/// four in five draws lie. For one that a tape was held to see [`topups_of_all`].
///
/// # Errors
///
/// As [`topups_of_all`].
pub fn topups_with_bands(
    bed: &Bed,
    rule: &TopUpRule,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<TopUps, Error> {
    let (beds, rules) = (core::slice::from_ref(bed), core::slice::from_ref(rule));
    let mut told = topups_of_all(beds, rules, ensemble, progress)?;
    // One bed, one plan.
    Ok(told.swap_remove(0))
}

/// The top-ups of beds that are planned together, with a wish for each, and their bands;
/// without draws the middle line alone.
///
/// A draw gives all beds the same figures where they share them, and the same weather;
/// what they come to together is added up within each draw. Beds that are counted as
/// alike are the same in each.
///
/// Where a tape was held to a bed, its draws are those that agree with the
/// [readings](crate::bed::Bed::readings), as in a [`fit`](crate::fit::fit), and nothing is
/// planned before the last of them. In place of the middle line, which knows nothing of a
/// tape, stands the draw that takes the middle volume. Such a bed shares no figures with
/// others within a draw, for others may agree with its readings. Readings that contradict
/// all that was believed are passed over.
///
/// So much is marched at most: each bed once a draw for its months, and to its last reading
/// [`WEIGHTED_PER_REALISATION`] times a draw, to find those that agree with its readings. Where that
/// makes fewer than [`LEAST_DRAWS`](crate::fit::ensemble::LEAST_DRAWS), its readings are passed
/// over, and the bands tell how many draws it takes.
///
/// # Errors
///
/// Too many draws, a mound without room for its layers, or a progress that stops it.
pub fn topups_of_all(
    beds: &[Bed],
    rules: &[TopUpRule],
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Vec<TopUps>, Error> {
    let each = || beds.iter().zip(rules);
    if ensemble.ensemble_size == 0 {
        return each()
            .map(|(bed, rule)| plan_topups(bed, rule, progress))
            .collect();
    }
    let materials: Vec<_> = rules.iter().map(|rule| &rule.material).collect();
    let uncertain = uncertain(beds, &materials);
    let planning = each()
        .map(|(bed, rule)| PlanningEnsemble::new(bed, &uncertain, rule.months, ensemble, progress))
        .collect::<Result<Vec<PlanningEnsemble>, Error>>()?;
    // A bed and a wish for it as they may be in a draw.
    let drawn = |bed: &Bed, rule: &TopUpRule, number: u32| {
        let sample = Sample::of(bed, &uncertain, ensemble.seed, number);
        let mut rule = rule.clone();
        rule.material = realised_material(bed, &rule.material, &uncertain, ensemble.seed, number);
        (sample, rule)
    };
    let mut own: Vec<BedTally> = each()
        .map(|(bed, rule)| BedTally::new(bed, rule, ensemble.ensemble_size))
        .collect();
    let mut laid_m3: Vec<Vec<f64>> = beds.iter().map(|_| Vec::new()).collect();
    let mut together = YearsTally::new(each(), ensemble.ensemble_size);
    run_ensemble(
        ensemble,
        progress,
        &|index| -> Result<Vec<RealisedTopUps>, Error> {
            each()
                .zip(&planning)
                .filter_map(|(of, planning)| Some((of, planning.realisation(index)?)))
                .map(|((bed, rule), (number, discrepancy))| {
                    let (sample, rule) = drawn(bed, rule, *number);
                    realised_top_ups(&sample, &rule, discrepancy, not_before(bed))
                })
                .collect()
        },
        &mut |drawn| {
            for ((tally, laid_m3), drawn) in own.iter_mut().zip(&mut laid_m3).zip(drawn) {
                tally.add(drawn);
                laid_m3.push(drawn.list.iter().map(|topup| topup.laid_m3).sum());
            }
            let counts = beds.iter().map(|bed| bed.count);
            together.add(counts.zip(drawn.iter().map(|drawn| drawn.list.as_slice())));
        },
    )?;
    let together = Together {
        beds: beds.iter().map(|bed| bed.count).sum(),
        years: together.years(),
        all: together.all(),
    };
    let told = each().zip(&planning).zip(own.iter().zip(&laid_m3));
    told.map(|(((bed, rule), planning), (tally, laid_m3))| {
        let median = planning.realisation(median_index(laid_m3));
        let mut topups = match median.filter(|_| planning.readings > 0) {
            Some((number, discrepancy)) => {
                let (sample, rule) = drawn(bed, rule, *number);
                let mut topups = plan_of_realisation(&sample, &rule, discrepancy)?;
                topups.dangers = dangers(bed)?;
                topups
            }
            None => plan_topups(bed, rule, &unwatched)?,
        };
        topups.intervals = Some(tally.intervals(ensemble, planning, &together));
        Ok(topups)
    })
    .collect()
}

/// The place of the figure that half of them lie below, the lower of two.
fn median_index(figures: &[f64]) -> u32 {
    let mut places: Vec<usize> = (0..figures.len()).collect();
    places.sort_by(|one, other| figures[*one].total_cmp(&figures[*other]));
    let median = places.get(places.len().saturating_sub(1) / 2);
    median.map_or(0, |index| u32::try_from(*index).unwrap_or(0))
}
