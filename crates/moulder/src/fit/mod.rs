//! The fit: a bed's forecast conditioned on tape measure readings.

pub mod agreement;
pub(crate) mod conditioned;
pub mod current;
pub mod ensemble;
pub mod posterior;
pub mod posterior_summary;
pub mod reading_error;
pub(crate) mod realisations;
pub mod run;
pub(crate) mod surface;

use std::borrow::Cow;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fault::notice::Notice;
use crate::fit::agreement::{Agreement, agreement};
use crate::fit::ensemble::Ensemble;
use crate::fit::posterior::Posterior;
use crate::fit::posterior_summary::{PosteriorSummary, posterior_summary};
use crate::forecast::ENGINE;
use crate::forecast::calendar::{days_to_month, month_day, months_to};
use crate::forecast::danger::dangers;
use crate::forecast::progress::Progress;
use crate::model::compile::compile;
use crate::model::figures::Figures;
use crate::model::weather::weather_for;
use crate::numeric::interval::Interval;
use crate::quantity::units::Units;
use crate::text::limit::MONTHS_LIMIT;

/// Version of the JSON form of a fit.
pub const SCHEMA_VERSION: u32 = 2;
/// An ensemble with too few effective realisations grows up to so many times.
pub(crate) const MORE: u32 = 16;
/// Months forecast after the last reading by default.
const MONTHS_BEYOND: u32 = 12;

/// A bed's forecast before and after its tape measure readings (prior and posterior).
///
/// ```
/// use moulder::{Bed, Reading, date};
///
/// let bed = Bed::example().with_reading(Reading::below_rim_m(date(2026, 5, 14), 0.10))?;
/// let fit = bed.forecast().months(3).fit()?;
/// assert!(!fit.agreement.is_surprising);
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Fit {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of the JSON form.
    pub schema: u32,
    /// Seed of the realisations.
    pub seed: u64,
    /// Number of realisations: as asked for, or more where too few were effective.
    pub ensemble_size: u32,
    /// Effective sample size of the weights.
    pub effective_draws: f64,
    /// Exponent of the tempered likelihood; 1 when not tempered. Below 1 the parameters spread
    /// more than the readings warrant; the model discrepancy is conditioned in full.
    pub tempering_exponent: f64,
    /// Name of the bed.
    pub name: String,
    /// Day of filling.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub filled: Date,
    /// Name of the climate.
    pub climate: String,
    /// Display units of the bed; figures here are SI whatever they are.
    pub units: Units,
    /// Height of the rim above the ground; m.
    pub rim_m: Option<f64>,
    /// Whether the readings agree with the prior.
    pub agreement: Agreement,
    /// The readings, in order of date.
    pub readings: Vec<FitReading>,
    /// Summary of the posterior.
    pub posterior_summary: PosteriorSummary,
    /// Day zero, then the end of each month.
    pub months: Vec<FitMonth>,
    /// Loose volume that fills the bed up to its rim at the end; m3, of one bed. None for a
    /// mound, which has no rim.
    pub room_m3: Option<Interval>,
    /// Notices on the document; dangers come first.
    pub notices: Vec<Notice>,
}

/// A reading beside its prior and posterior.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct FitReading {
    /// The day. The reading was taken before any addition of that day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub on: Date,
    /// Height above the ground, as read; m.
    pub seen_m: f64,
    /// Prior height of the surface; m.
    pub before_m: Interval,
    /// Posterior height of the surface; m.
    pub after_m: Interval,
    /// Whether it is at fault where the readings are a surprise to the prior.
    pub is_doubted: bool,
    /// The owner's note.
    pub note: Option<String>,
}

/// The surface at the end of a month, prior and posterior.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct FitMonth {
    /// Months since filling.
    pub month: u32,
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Prior height above the ground; m.
    pub height_before_m: Interval,
    /// Posterior; m.
    pub height_m: Interval,
    /// Prior depth below the rim, negative above it; m.
    pub below_rim_before_m: Option<Interval>,
    /// Posterior; m.
    pub below_rim_m: Option<Interval>,
    /// Prior settlement since filling, without the effect of additions; m.
    pub settlement_before_m: Interval,
    /// Posterior; m.
    pub settlement_m: Interval,
    /// Prior fall of the surface below its height when filled; m.
    pub lowered_before_m: Interval,
    /// Posterior; m.
    pub lowered_m: Interval,
}

/// Options of a fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fitting {
    /// Months to forecast; none for a year after the last reading.
    pub months: Option<u32>,
    /// Number of realisations, at least [`LEAST_REALISATIONS`](crate::fit::ensemble::LEAST_REALISATIONS).
    pub ensemble_size: u32,
    /// Seed: the same seed, the same fit.
    pub seed: u64,
}

impl Default for Fitting {
    /// 128 realisations, of which some thirty are effective, each with its discrepancies, when
    /// readings take nine tenths of the variance; more are made where fewer are.
    fn default() -> Self {
        Self {
            months: None,
            ensemble_size: 128,
            seed: 1,
        }
    }
}

/// Fits a bed to its tape measure readings.
///
/// Importance weights from the likelihood of the readings, with reading error
/// ([`crate::fit::reading_error`]) and model discrepancy ([`crate::uncertainty::discrepancy`]).
/// With fewer than 30 effective realisations the ensemble grows up to sixteen times, then
/// likelihoods are tempered. Readings that are a surprise to the prior are fitted all the same:
/// the model discrepancy, whose tails are heavier than those of a tape, gives way to them.
///
/// The same document, realisations and seed give the same bytes, on every machine and with any
/// number of threads.
///
/// # Errors
///
/// As [`forecast`](crate::forecast::forecast); no reading in the document, a reading after the
/// months, too few realisations, or too many for the memory limit.
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
        after,
        agreement,
    } = WeightedEnsemble::new(ensemble, asked.ensemble_size.saturating_mul(MORE), progress)?;
    let before = ensemble.prior(&bed.readings);
    let problem = ensemble.problem(&bed.readings);
    let posterior_summary = posterior_summary(&ensemble, &problem, &after);
    let readings = readings(bed, &agreement, &before, &after);
    let months: Vec<FitMonth> = (0..=months)
        .map(|month| fit_month(bed, month, &before, &after))
        .collect();
    let notices = bed.notices.iter().cloned();
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
            .map(|(rim_m, month)| room_m3(bed, rim_m, &after, month.month))
            .transpose()?,
        months,
        notices: dangers(bed)?.into_iter().chain(notices).collect(),
    })
}

/// An ensemble weighted by the readings of its bed.
pub(crate) struct WeightedEnsemble {
    pub(crate) ensemble: Ensemble,
    /// The posterior.
    pub(crate) after: Posterior,
    pub(crate) agreement: Agreement,
}

impl WeightedEnsemble {
    /// Weights the ensemble; where too few are effective, grows it, up to `most`.
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
            let (readings, rim_m) = (&ensemble.bed().readings, ensemble.bed().rim_m);
            let after = ensemble.posterior(readings);
            let agreement = agreement(&ensemble.problem(readings), &after, rim_m);
            let is_enough = after.weights().tempering_exponent >= 1.0;
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

/// The readings beside their prior and posterior.
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
        before_m: before.interval(before.at_reading_m(place)),
        after_m: after.interval(after.at_reading_m(place)),
        is_doubted: agreement.at_fault.contains(&place),
        note: reading.note.clone(),
    })
    .collect()
}

/// A month, prior and posterior.
fn fit_month(bed: &Bed, month: u32, before: &Posterior, after: &Posterior) -> FitMonth {
    let at = month as usize;
    let height_before_m = before.interval(before.heights_m(at));
    let height_m = after.interval(after.heights_m(at));
    FitMonth {
        month,
        date: month_day(bed.filled, month),
        height_before_m,
        height_m,
        below_rim_before_m: bed.rim_m.map(|rim_m| height_before_m.below(rim_m)),
        below_rim_m: bed.rim_m.map(|rim_m| height_m.below(rim_m)),
        settlement_before_m: before.interval(before.settlement_m(at)),
        settlement_m: after.interval(after.settlement_m(at)),
        lowered_before_m: before.interval(before.lowered_m(at)),
        lowered_m: after.interval(after.lowered_m(at)),
    }
}

/// Loose volume between the surface at the end of a month and the rim, with the area that the bed
/// has then by the best figures; m3.
fn room_m3(bed: &Bed, rim_m: f64, after: &Posterior, month: u32) -> Result<Interval, Error> {
    let compiled = compile(bed, weather_for(bed, 1.0), Figures::nominal())?;
    let swelling = compiled.stack.swelling(days_to_month(bed.filled, month));
    let heights_m = after.heights_m(month as usize).into_iter();
    let rooms = heights_m.map(|(height_m, weight)| {
        let low_m = height_m.min(rim_m) + bed.trench_m;
        (bed.room_m3(low_m, rim_m + bed.trench_m, swelling), weight)
    });
    Ok(after.interval(rooms))
}
