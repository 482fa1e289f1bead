//! Designs side by side, under the same realisations.
//!
//! Within a realisation, parameters that beds share, weather (by season, where filling dates
//! differ) and model discrepancy are the same for all: shared uncertainty cancels, and the
//! intervals of differences are narrower than those of the beds. A bed that was measured is drawn
//! from its own posterior, and not paired with the others.

mod heights;
mod names;
mod top_ups;

use jiff::civil::Date;
use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fault::notice::Notice;
use crate::fit::conditioned::Conditioned;
use crate::forecast::ENGINE;
use crate::forecast::calendar::month_day;
use crate::forecast::danger::dangers;
use crate::forecast::options::ForecastOptions;
use crate::forecast::progress::Progress;
use crate::numeric::interval::Interval;
use crate::numeric::tally::Tally;
use crate::quantity::units::Units;
use crate::text::limit::MONTHS_LIMIT;
use crate::text::limit::SAMPLES_LIMIT;
use crate::topup::TopUpRule;
use crate::topup::realisation::{ToppedUp, uncertain as uncertain_with};
use crate::uncertainty::discrepancy::DISCREPANCIES;
use crate::uncertainty::drawn::Drawn;
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::ensemble::run_ensemble;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::{Realisation, has_room};
use top_ups::{TopUpTotals, TotalsTally, totals};

pub use heights::height_differences;
pub use names::told_apart;
pub use top_ups::{ComparedTopUps, ToppedUpWith};

/// Version of the JSON form of a comparison.
pub const SCHEMA_VERSION: u32 = 2;

/// The compared quantities of one bed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Compared {
    /// Settlement by the end; m.
    pub settlement_m: Interval,
    /// Carbon left in it by the end; kg.
    pub carbon_kg: Interval,
    /// Months of the first year in which the crop is short of nitrogen.
    pub short_months: Interval,
    /// Top-ups over the compared months; none when not asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub topups: Option<ComparedTopUps>,
}

/// One design.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Design {
    /// Name of the bed; one that a bed before it has too is told apart, as in "Bag (2)".
    pub name: String,
    /// Dangers, listed before all else.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dangers: Vec<Notice>,
    /// The day by which it is compared.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub by: Date,
    /// Mean height on the day of filling; m.
    pub height_m: f64,
    /// Means and 80 % intervals.
    pub is: Compared,
    /// The same less that of the first design, realisation by realisation; none for the first.
    pub less_the_first: Option<Compared>,
    /// Share of the realisations in which it settles less than the first design; none for the
    /// first.
    pub chance_it_sinks_less: Option<f64>,
}

/// Designs side by side.
///
/// ```
/// use moulder::{Bed, Crop, ForecastOptions, compare};
///
/// let beds = [Bed::example(), Bed::example().with_crop(Crop::None)];
/// let options = ForecastOptions::default().months(3).ensemble_size(8);
/// let compared = compare(&beds, &options, &moulder::months::unwatched)?;
/// assert!(compared.designs[1].less_the_first.is_some());
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Comparison {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of the JSON form.
    pub schema: u32,
    /// Seed of the realisations.
    pub seed: u64,
    /// Number of realisations.
    pub ensemble_size: u32,
    /// Months from each bed's filling to the day by which it is compared.
    pub months: u32,
    /// Display units of the first bed; figures here are SI whatever they are.
    pub units: Units,
    /// Top-up material; none when top-ups were not asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub topped_up_with: Option<ToppedUpWith>,
    /// The designs, in the order given.
    pub designs: Vec<Design>,
}

/// Of one realisation of one bed.
struct Figures {
    /// Height on the day of filling; m.
    height_m: f64,
    /// Settlement by the laws; m.
    settlement_m: f64,
    /// Additional settlement with each of the discrepancies; m.
    extras_m: Vec<f64>,
    carbon_kg: f64,
    short_months: f64,
    top_ups: TopUpTotals,
}

impl Figures {
    /// Settlement with each of the discrepancies; m.
    fn settlements_m(&self) -> impl Iterator<Item = f64> + '_ {
        let extras_m = self.extras_m.iter();
        extras_m.map(|extra_m| self.settlement_m + extra_m)
    }
}

/// Intervals in the making.
#[derive(Clone)]
struct ComparedTally {
    settlement_m: Tally,
    carbon_kg: Tally,
    short_months: Tally,
    top_ups: TotalsTally,
}

impl ComparedTally {
    /// For an ensemble of that size.
    fn new(ensemble_size: u32) -> Self {
        Self {
            settlement_m: Tally::of(ensemble_size.saturating_mul(DISCREPANCIES), 1e-4),
            carbon_kg: Tally::of(ensemble_size, 1e-3),
            short_months: Tally::of(ensemble_size, 1e-2),
            top_ups: TotalsTally::new(ensemble_size),
        }
    }

    /// Adds the figures of a realisation.
    fn add(&mut self, figures: &Figures) {
        self.settlement_m.add_all(figures.settlements_m());
        self.carbon_kg.add(figures.carbon_kg);
        self.short_months.add(figures.short_months);
        self.top_ups.add(figures.top_ups, TopUpTotals::default());
    }

    /// Adds them less those of the first bed, discrepancy by discrepancy.
    fn add_less(&mut self, figures: &Figures, first: &Figures) {
        let pairs = figures.settlements_m().zip(first.settlements_m());
        self.settlement_m
            .add_all(pairs.map(|(settlement_m, first_m)| settlement_m - first_m));
        self.carbon_kg.add(figures.carbon_kg - first.carbon_kg);
        self.short_months
            .add(figures.short_months - first.short_months);
        self.top_ups.add(figures.top_ups, first.top_ups);
    }

    /// The intervals, with top-ups if they were asked for.
    fn intervals(&self, has_price: Option<bool>) -> Compared {
        Compared {
            settlement_m: self.settlement_m.band(),
            carbon_kg: self.carbon_kg.band(),
            short_months: self.short_months.band(),
            topups: has_price.map(|has_price| self.top_ups.intervals(has_price)),
        }
    }
}

/// Compares beds at the same number of months after the filling of each.
///
/// # Errors
///
/// Too many months or realisations, no realisation, a mound without room for its layers, or
/// [`Error::Stopped`].
///
/// ```
/// use moulder::{Bed, Crop, ForecastOptions, compare, months::unwatched};
///
/// let beds = [Bed::example(), Bed::example().with_crop(Crop::None)];
/// let options = ForecastOptions::default().months(3).ensemble_size(20);
/// let compared = compare(&beds, &options, &unwatched)?;
/// assert!(compared.designs[1].less_the_first.is_some());
/// # Ok::<(), moulder::Error>(())
/// ```
pub fn compare(
    beds: &[Bed],
    options: &ForecastOptions,
    progress: &Progress<'_>,
) -> Result<Comparison, Error> {
    compare_with_top_ups(beds, options.months, &[], (*options).into(), progress)
}

/// [`compare`], with the top-ups over those months: one rule for each bed, whose own months are
/// ignored; none to leave top-ups out.
///
/// The compared settlement and carbon are those of the beds without top-ups.
///
/// # Errors
///
/// As [`compare`].
pub fn compare_with_top_ups(
    beds: &[Bed],
    months: u32,
    rules: &[TopUpRule],
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Comparison, Error> {
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    if ensemble.ensemble_size == 0 || ensemble.ensemble_size > SAMPLES_LIMIT {
        return Err(Error::TooManyDraws {
            asked: ensemble.ensemble_size,
        });
    }
    for bed in beds {
        has_room(bed, months)?;
    }
    let materials: Vec<_> = rules.iter().map(|rule| &rule.material).collect();
    let uncertain = if rules.is_empty() {
        UncertainParameters::from_beds(beds)
    } else {
        uncertain_with(beds, &materials)
    };
    let tally = ComparedTally::new(ensemble.ensemble_size);
    let mut own = vec![tally.clone(); beds.len()];
    let mut less = vec![tally; beds.len()];
    let mut sinks_less = vec![0_u32; beds.len()];
    let mut heights_m = vec![0.0; beds.len()];
    let drawn = drawn_of_each(beds, &uncertain, months, ensemble, progress)?;
    let one_realisation = |index: u32| {
        let drawn = drawn.iter().filter_map(|drawn| drawn.get(index as usize));
        let each = beds.iter().zip(drawn).enumerate();
        each.map(|(place, (bed, drawn))| {
            one_realisation(
                bed,
                months,
                rules.get(place),
                &uncertain,
                (ensemble.seed, drawn),
            )
        })
        .collect::<Result<Vec<Figures>, Error>>()
    };
    run_ensemble(ensemble, progress, &one_realisation, &mut |realisation| {
        let Some(first) = realisation.first() else {
            return;
        };
        for (index, figures) in realisation.iter().enumerate() {
            own[index].add(figures);
            less[index].add_less(figures, first);
            heights_m[index] += figures.height_m / f64::from(ensemble.ensemble_size);
            let pairs = figures.settlements_m().zip(first.settlements_m());
            for (settlement_m, first_m) in pairs {
                sinks_less[index] += u32::from(settlement_m < first_m);
            }
        }
    })?;
    let has_price =
        (!rules.is_empty()).then(|| rules.iter().all(|rule| rule.package.price.is_some()));
    let surfaces = f64::from(ensemble.ensemble_size) * f64::from(DISCREPANCIES);
    let names = told_apart(beds.iter().map(|bed| bed.name.as_str()));
    let designs = beds
        .iter()
        .zip(names)
        .enumerate()
        .map(|(index, (bed, name))| {
            Ok(Design {
                name,
                dangers: dangers(bed)?,
                by: month_day(bed.filled, months),
                height_m: heights_m[index],
                is: own[index].intervals(has_price),
                less_the_first: (index > 0).then(|| less[index].intervals(has_price)),
                chance_it_sinks_less: (index > 0).then(|| f64::from(sinks_less[index]) / surfaces),
            })
        })
        .collect::<Result<Vec<Design>, Error>>()?;
    Ok(Comparison {
        engine: ENGINE,
        schema: SCHEMA_VERSION,
        seed: ensemble.seed,
        ensemble_size: ensemble.ensemble_size,
        months,
        units: beds.first().map_or(Units::Metric, |bed| bed.units),
        topped_up_with: rules.first().map(|rule| ToppedUpWith {
            material: rule.material.name.clone(),
            package: rule.package.clone(),
        }),
        designs,
    })
}

/// One realisation of a bed, and its top-ups by that rule.
fn one_realisation(
    bed: &Bed,
    months: u32,
    rule: Option<&TopUpRule>,
    uncertain: &UncertainParameters,
    (seed, drawn): (u64, &Drawn),
) -> Result<Figures, Error> {
    let Some(rule) = rule else {
        let realisation = Realisation::new(bed, uncertain, (seed, drawn), months)?;
        return Ok(figures(&realisation, TopUpTotals::default()));
    };
    let rule = TopUpRule {
        months,
        ..rule.clone()
    };
    let ToppedUp { without, planned } = ToppedUp::new(bed, &rule, uncertain, (seed, drawn, 0))?;
    Ok(figures(&without, totals(&planned.list)))
}

/// The realisations of each bed, one by one: the same numbers for all, but for beds that were
/// measured.
fn drawn_of_each(
    beds: &[Bed],
    uncertain: &UncertainParameters,
    months: u32,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Vec<Vec<Drawn>>, Error> {
    let each = beds.iter().map(|bed| {
        let conditioned = Conditioned::new(bed, uncertain, months, ensemble, progress)?;
        let drawn = conditioned.one_by_one().into_iter();
        Ok(drawn.map(|(drawn, _)| drawn).collect())
    });
    each.collect()
}

fn figures(realisation: &Realisation, top_ups: TopUpTotals) -> Figures {
    let rows = &realisation.run.months;
    let short = rows.iter().filter(|row| row.month <= 12);
    let short = short.map(|row| f64::from(u8::from(row.nitrogen.is_short)));
    let last = rows.last();
    Figures {
        height_m: rows.first().map_or(0.0, |row| row.height_m),
        settlement_m: last.map_or(0.0, |row| row.settlement_m),
        extras_m: realisation.extras_m.last().cloned().unwrap_or_default(),
        carbon_kg: last.map_or(0.0, |row| row.carbon_kg),
        short_months: short.sum(),
        top_ups,
    }
}
