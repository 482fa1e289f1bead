//! 80 % intervals of top-ups.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::realisation::{ToppedUp, uncertain};
use super::tallies::{BedTally, YearsTally};
use super::{TopUpRule, TopUps, nominal_top_ups};
use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fit::conditioned::Conditioned;
use crate::fit::current::{conditioned_forecast, current_forecast};
use crate::forecast::Forecast;
use crate::forecast::progress::Progress;
use crate::numeric::interval::Interval;
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::ensemble::run_ensemble;
use crate::uncertainty::ensemble_forecast::ForecastTally;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::has_room;

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
    let planned = planned_beds(beds, rules, ensemble, progress)?;
    Ok(planned.into_iter().map(|planned| planned.topups).collect())
}

/// The forecast of a bed as it is known now ([`current_forecast`]) over the months of a rule, and
/// its top-ups by that rule, from the same realisations.
///
/// # Errors
///
/// As [`top_ups_of_all`].
pub fn forecast_and_top_ups(
    bed: &Bed,
    rule: &TopUpRule,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<(Forecast, TopUps), Error> {
    let (beds, rules) = (core::slice::from_ref(bed), core::slice::from_ref(rule));
    let (mut planned, uncertain) = planned_of_all(beds, rules, ensemble, progress)?;
    // One bed, one plan.
    let PlannedBed {
        topups,
        forecast,
        conditioned,
    } = planned.swap_remove(0);
    let forecast = match (forecast, &conditioned) {
        (Some(forecast), _) => forecast,
        (None, Some(given)) => {
            conditioned_forecast(bed, &uncertain, rule.months, ensemble, given, progress)?
        }
        (None, None) => current_forecast(bed, rule.months, ensemble, progress)?,
    };
    Ok((forecast, topups))
}

/// A bed planned with others.
#[derive(Debug)]
pub struct PlannedBed {
    /// Its top-ups.
    pub topups: TopUps,
    /// Its forecast without them, from the same realisations; none where it has readings, from
    /// which a forecast takes more of them, and none for the nominal run.
    pub forecast: Option<Forecast>,
    /// None for the nominal run.
    conditioned: Option<Conditioned>,
}

/// [`top_ups_of_all`] with the forecasts that they rest on.
///
/// # Errors
///
/// As [`top_ups_of_all`].
pub fn planned_beds(
    beds: &[Bed],
    rules: &[TopUpRule],
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Vec<PlannedBed>, Error> {
    planned_of_all(beds, rules, ensemble, progress).map(|(planned, _)| planned)
}

fn planned_of_all(
    beds: &[Bed],
    rules: &[TopUpRule],
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<(Vec<PlannedBed>, UncertainParameters), Error> {
    let each = || beds.iter().zip(rules);
    let materials: Vec<_> = rules.iter().map(|rule| &rule.material).collect();
    let uncertain = uncertain(beds, &materials);
    if ensemble.ensemble_size == 0 {
        let planned = each().map(|(bed, rule)| {
            Ok(PlannedBed {
                topups: nominal_top_ups(bed, rule, progress)?,
                forecast: None,
                conditioned: None,
            })
        });
        return Ok((planned.collect::<Result<_, Error>>()?, uncertain));
    }
    for (bed, rule) in each() {
        rule.can_be_kept()?;
        has_room(bed, rule.months)?;
    }
    let conditioned = each()
        .map(|(bed, rule)| Conditioned::new(bed, &uncertain, rule.months, ensemble, progress))
        .collect::<Result<Vec<Conditioned>, Error>>()?;
    let drawn: Vec<_> = conditioned.iter().map(Conditioned::one_by_one).collect();
    let mut own: Vec<BedTally> = each()
        .map(|(bed, rule)| BedTally::new(bed, rule, ensemble.ensemble_size))
        .collect();
    let mut forecasts: Vec<ForecastTally> = beds
        .iter()
        .map(|_| ForecastTally::new(ensemble, ensemble.ensemble_size))
        .collect();
    let mut together = YearsTally::new(each(), ensemble.ensemble_size);
    run_ensemble(
        ensemble,
        progress,
        &|index| -> Result<Vec<ToppedUp>, Error> {
            each()
                .zip(&drawn)
                .filter_map(|(of, drawn)| Some((of, drawn.get(index as usize)?)))
                .map(|((bed, rule), (drawn, time))| {
                    ToppedUp::new(bed, rule, &uncertain, (ensemble.seed, drawn, *time))
                })
                .collect()
        },
        &mut |realised| {
            let tallies = own.iter_mut().zip(&mut forecasts);
            for ((tally, forecast), realised) in tallies.zip(realised) {
                tally.add(&realised.planned);
                forecast.add(&realised.without, 1);
            }
            let counts = beds.iter().map(|bed| bed.count);
            let lists = realised.iter().map(|one| one.planned.list.as_slice());
            together.add(counts.zip(lists));
        },
    )?;
    let together = Together {
        beds: beds.iter().map(|bed| bed.count).sum(),
        years: together.years(),
        all: together.all(),
    };
    let planned = each().zip(conditioned).zip(&own).zip(forecasts);
    let planned = planned.map(|((((bed, rule), conditioned), tally), forecast)| {
        let mut topups = TopUps::new(bed, rule, tally.mean(rule))?;
        topups.intervals = Some(tally.intervals(ensemble, &conditioned, &together));
        let is_measured = conditioned.agreement().is_some();
        Ok(PlannedBed {
            topups,
            forecast: forecast.forecast(bed).filter(|_| !is_measured),
            conditioned: Some(conditioned),
        })
    });
    Ok((planned.collect::<Result<_, Error>>()?, uncertain))
}
