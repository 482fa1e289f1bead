//! A fit: a bed's forecast after a tape was held to it.

pub mod agreement;
pub mod ensemble;
pub mod posterior;
pub mod posterior_summary;
pub mod reading_error;
pub mod run;
pub(crate) mod surface;

use std::borrow::Cow;

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fault::notice::{self, Notice};
use crate::fit::agreement::{Agreement, agreement};
use crate::fit::ensemble::Ensemble;
use crate::fit::posterior::Posterior;
use crate::fit::posterior_summary::{PosteriorSummary, posterior_summary};
use crate::forecast::ENGINE;
use crate::forecast::calendar::{month_day, months_to};
use crate::forecast::danger::dangers;
use crate::forecast::progress::Progress;
use crate::numeric::interval::Interval;
use crate::quantity::units::Units;
use crate::text::limit::MONTHS_LIMIT;

/// Version of the form in which a fit is written as JSON.
pub const SCHEMA_VERSION: u32 = 2;
/// Where too few draws count, so many times as many are made.
pub(crate) const MORE: u32 = 4;
/// Months that are told beyond the last reading when nobody says how many.
const MONTHS_BEYOND: u32 = 12;

/// A bed's forecast before and after a tape was held to it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct Fit {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of this form.
    pub schema: u32,
    /// Seed of the draws.
    pub seed: u64,
    /// How many draws were made: as many as were asked for, or more where too few counted.
    pub ensemble_size: u32,
    /// How many draws of equal weight would tell as much.
    pub effective_draws: f64,
    /// The power to which the likelihoods that weigh the draws were taken so that enough
    /// of them count; 1 where they count in full. Below, the unknowns stray farther than the
    /// readings warrant; what the laws are off by is held to the readings in full.
    pub tempering_exponent: f64,
    /// What the owner calls the bed.
    pub name: String,
    /// Day zero, year-month-day.
    #[schemars(with = "String")]
    pub filled: Date,
    /// The climate it stands in.
    pub climate: String,
    /// The units the owner thinks in; figures here are SI whatever they are.
    pub units: Units,
    /// Height of the rim above the ground; m.
    pub rim_m: Option<f64>,
    /// Whether the readings agree with what was believed. Where they do not, nothing was
    /// fitted, and what is told as after is what was believed before.
    pub agreement: Agreement,
    /// The readings, in order of date.
    pub readings: Vec<FitReading>,
    /// What they taught; none where nothing was fitted.
    pub posterior_summary: Option<PosteriorSummary>,
    /// Day zero and the end of each month.
    pub months: Vec<FitMonth>,
    /// What it takes to fill the bed up to its rim in the end, as it lies before it settles;
    /// m3, of one bed. None for a mound, which has no rim.
    pub room_m3: Option<Interval>,
    /// What a reader should know of the document; what may hurt someone comes first.
    pub notices: Vec<Notice>,
}

/// A reading beside what was expected.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct FitReading {
    /// The day, year-month-day. It was read before anything was laid on that day.
    #[schemars(with = "String")]
    pub on: Date,
    /// Height over the ground, as read; m.
    pub seen_m: f64,
    /// Where the surface was expected before the readings; m.
    pub before_m: Interval,
    /// Where it is taken to have been after them; m.
    pub after_m: Interval,
    /// Whether it is at fault where the readings contradict what was believed.
    pub is_doubted: bool,
    /// What the owner noted.
    pub note: Option<String>,
}

/// The surface at the end of a month, before and after the readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct FitMonth {
    /// Months since filling.
    pub month: u32,
    /// The day, year-month-day.
    #[schemars(with = "String")]
    pub date: Date,
    /// Height over the ground, before; m.
    pub height_before_m: Interval,
    /// And after; m.
    pub height_m: Interval,
    /// How far below the rim, negative above it, before; m.
    pub below_rim_before_m: Option<Interval>,
    /// And after; m.
    pub below_rim_m: Option<Interval>,
    /// Fall of the surface since filling, without what was laid on, before; m.
    pub settlement_before_m: Interval,
    /// And after; m.
    pub settlement_m: Interval,
    /// By how much the surface lies lower than when filled, before; m.
    pub lowered_before_m: Interval,
    /// And after; m.
    pub lowered_m: Interval,
}

/// How a fit is to be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fitting {
    /// How many months to tell; none for a year beyond the last reading.
    pub months: Option<u32>,
    /// How many draws, at least [`LEAST_DRAWS`](crate::fit::ensemble::LEAST_DRAWS).
    pub ensemble_size: u32,
    /// Seed of the draws: the same seed, the same fit.
    pub seed: u64,
}

impl Default for Fitting {
    /// 500 draws, of which some hundred are left when readings take nine tenths of the
    /// variance.
    fn default() -> Self {
        Self {
            months: None,
            ensemble_size: 500,
            seed: 1,
        }
    }
}

/// Fits a bed to the readings in its document.
///
/// Draws of all that is unknown are weighed by how well they agree with the readings, which
/// may be off by [`crate::fit::reading_error`] while the laws are off by [`crate::uncertainty::discrepancy`].
/// Where fewer than 30 draws count, up to four times as many are made, and then likelihoods
/// are tempered. Readings that contradict all that was believed are told and not fitted.
///
/// The same document, draws and seed give the same bytes everywhere and in any number of
/// threads.
///
/// # Errors
///
/// As [`forecast`](crate::forecast::forecast); no reading in the document, a reading beyond
/// the months, too few draws or too many for what can be held in memory.
pub fn fit(bed: &Bed, asked: Fitting, progress: &Progress<'_>) -> Result<Fit, Error> {
    let Some(last) = bed.readings.last() else {
        return Err(Error::NoReading);
    };
    let months = match asked.months {
        Some(months) => months,
        None => months_to(bed.filled, last.on)?
            .saturating_add(MONTHS_BEYOND)
            .min(MONTHS_LIMIT),
    };
    let days: Vec<Date> = bed.readings.iter().map(|reading| reading.on).collect();
    let ensemble = Ensemble::new(
        bed,
        months,
        &days,
        asked.ensemble_size,
        asked.seed,
        progress,
    )?;
    let WeightedEnsemble {
        ensemble,
        mut after,
        agreement,
    } = WeightedEnsemble::new(ensemble, asked.ensemble_size.saturating_mul(MORE), progress)?;
    let before = ensemble.prior(&bed.readings);
    let problem = ensemble.problem(&bed.readings);
    let posterior_summary =
        (!agreement.contradicts).then(|| posterior_summary(&ensemble, &problem, &after));
    if agreement.contradicts {
        after = before.clone();
    }
    let readings = readings(bed, &agreement, &before, &after);
    let months: Vec<FitMonth> = (0..=months)
        .map(|month| fit_month(bed, month, &before, &after))
        .collect();
    let notices = bed.notices.iter().cloned();
    let notices = notices.filter(|notice| notice.code != notice::READINGS_ARE_FOR_FIT);
    Ok(Fit {
        engine: ENGINE,
        schema: SCHEMA_VERSION,
        seed: asked.seed,
        ensemble_size: ensemble.count(),
        effective_draws: after.weights().effective,
        tempering_exponent: after.weights().tempering_exponent,
        name: bed.name.clone(),
        filled: bed.filled,
        climate: bed.climate.name.clone(),
        units: bed.units,
        rim_m: bed.rim_m,
        agreement,
        readings,
        posterior_summary,
        room_m3: bed
            .rim_m
            .zip(months.last())
            .map(|(rim_m, month)| room_m3(bed, rim_m, month.height_m)),
        months,
        notices: dangers(bed)?.into_iter().chain(notices).collect(),
    })
}

/// Draws of a bed, weighed by its readings.
pub(crate) struct WeightedEnsemble {
    pub(crate) ensemble: Ensemble,
    /// What is believed after them.
    pub(crate) after: Posterior,
    pub(crate) agreement: Agreement,
}

impl WeightedEnsemble {
    /// Weighs draws; where too few count, more are made, up to `most` of them.
    ///
    /// # Errors
    ///
    /// As [`Ensemble::grow`].
    pub(crate) fn new(
        mut ensemble: Ensemble,
        most: u32,
        progress: &Progress<'_>,
    ) -> Result<Self, Error> {
        let most = most.min(ensemble.most());
        loop {
            let readings = &ensemble.bed().readings;
            let after = ensemble.posterior(readings);
            let agreement = agreement(&ensemble.problem(readings), &after);
            let is_enough = agreement.contradicts || after.weights().tempering_exponent >= 1.0;
            if is_enough || ensemble.count() >= most {
                return Ok(Self {
                    ensemble,
                    after,
                    agreement,
                });
            }
            let next = ensemble.count().saturating_mul(2).min(most);
            ensemble.grow(next, progress)?;
        }
    }
}

/// The readings beside what was expected of them.
fn readings(
    bed: &Bed,
    agreement: &Agreement,
    before: &Posterior,
    after: &Posterior,
) -> Vec<FitReading> {
    let each = bed.readings.iter().enumerate();
    each.map(|(place, reading)| FitReading {
        on: reading.on,
        seen_m: reading.height_m,
        before_m: Interval::of_weighted(before.at_reading_m(place)),
        after_m: Interval::of_weighted(after.at_reading_m(place)),
        is_doubted: agreement.at_fault.contains(&place),
        note: reading.note.clone(),
    })
    .collect()
}

/// A month before and after.
fn fit_month(bed: &Bed, month: u32, before: &Posterior, after: &Posterior) -> FitMonth {
    let at = month as usize;
    let height_before_m = Interval::of_weighted(before.heights_m(at));
    let height_m = Interval::of_weighted(after.heights_m(at));
    FitMonth {
        month,
        date: month_day(bed.filled, month),
        height_before_m,
        height_m,
        below_rim_before_m: bed.rim_m.map(|rim_m| height_before_m.below(rim_m)),
        below_rim_m: bed.rim_m.map(|rim_m| height_m.below(rim_m)),
        settlement_before_m: Interval::of_weighted(before.settlement_m(at)),
        settlement_m: Interval::of_weighted(after.settlement_m(at)),
        lowered_before_m: Interval::of_weighted(before.lowered_m(at)),
        lowered_m: Interval::of_weighted(after.lowered_m(at)),
    }
}

/// The room between a height and the rim; m3.
fn room_m3(bed: &Bed, rim_m: f64, height_m: Interval) -> Interval {
    let room_m3 = |height_m: f64| {
        let low_m = height_m.min(rim_m) + bed.trench_m;
        bed.shape.volume_m3(low_m, rim_m + bed.trench_m)
    };
    Interval {
        lower: room_m3(height_m.upper),
        median: room_m3(height_m.median),
        upper: room_m3(height_m.lower),
    }
}
