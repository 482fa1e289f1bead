//! Designs side by side, under the same draws.
//!
//! Where two beds hold the same uncertain figure, a draw gives it the same number in both,
//! both stand under the same sky (season by season, where they are filled at other times),
//! and the laws are off by the same share in both: what they share falls out of the
//! difference, whose band is narrower than those of the beds.

mod heights;
mod top_ups;

use jiff::civil::Date;
use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fault::notice::Notice;
use crate::forecast::ENGINE;
use crate::forecast::calendar::month_day;
use crate::forecast::danger::among;
use crate::forecast::options::ForecastOptions;
use crate::forecast::progress::{Progress, unwatched};
use crate::forecast::{Month, forecast};
use crate::numeric::interval::Interval;
use crate::numeric::tally::Tally;
use crate::quantity::units::Units;
use crate::text::limit::MONTHS_LIMIT;
use crate::text::limit::SAMPLES_LIMIT;
use crate::topup::TopUpRule;
use crate::topup::realisation::{realised_material, realised_top_ups, uncertain as uncertain_with};
use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::draws::Realisations;
use crate::uncertainty::draws::run_ensemble;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::months_of_draw;
use crate::uncertainty::sample::Sample;
use top_ups::{TopUpTotals, TotalsTally, totals};

pub use heights::height_differences;
pub use top_ups::{ComparedTopUps, ToppedUpWith};

/// Version of the form in which a comparison is written as JSON.
pub const SCHEMA_VERSION: u32 = 2;
/// Widths of the bins in which many draws are counted: m, kg, months.
const BINS: [f64; 3] = [1e-4, 1e-3, 1e-2];

/// What is compared of each bed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Compared {
    /// How far its surface has fallen by the end; m.
    pub settlement_m: Interval,
    /// Carbon left in it by the end; kg.
    pub carbon_kg: Interval,
    /// Months of its first year in which its crop is short of nitrogen.
    pub short_months: Interval,
    /// What topping it up takes over the months compared; none where that was not asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub topups: Option<ComparedTopUps>,
}

/// One design.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct Design {
    /// What the owner calls the bed.
    pub name: String,
    /// What may hurt someone or something, before all else.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dangers: Vec<Notice>,
    /// The day by which it is compared, year-month-day.
    #[schemars(with = "String")]
    pub by: Date,
    /// Height on the day of filling, on the middle line; m.
    pub height_m: f64,
    /// Fall of the surface by the end, on the middle line; m.
    pub settlement_median_m: f64,
    /// Where four in five draws lie.
    pub is: Compared,
    /// The same less that of the first design, draw by draw; none for the first.
    pub less_the_first: Option<Compared>,
    /// Share of the draws in which it sinks less than the first design; none for the first.
    pub chance_it_sinks_less: Option<f64>,
}

/// Designs side by side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct Comparison {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of this form.
    pub schema: u32,
    /// Seed of the draws.
    pub seed: u64,
    /// How many draws it rests on.
    pub ensemble_size: u32,
    /// Months from each bed's filling to the day it is compared by.
    pub months: u32,
    /// The units of the first bed's owner; figures here are SI whatever they are.
    pub units: Units,
    /// With what they are topped up; none where that was not asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub topped_up_with: Option<ToppedUpWith>,
    /// The designs, in the order given.
    pub designs: Vec<Design>,
}

/// What one draw makes of one bed: sunk, carbon, months short.
type Figures = [f64; 3];

/// Compares beds `months` after the filling of each.
///
/// # Errors
///
/// Too many months or draws, no draw at all, a mound without room for its layers, or a
/// progress that stops it.
pub fn compare(
    beds: &[Bed],
    options: &ForecastOptions,
    progress: &Progress<'_>,
) -> Result<Comparison, Error> {
    compare_with_topups(beds, options.months, &[], (*options).into(), progress)
}

/// [`compare`], with what topping up takes over those months: a wish for each bed, whose own
/// months are left aside; none to leave top-ups out.
///
/// The beds are topped up beside the comparison: how far they sink, and the rest, is told of
/// beds on which nothing was laid.
///
/// # Errors
///
/// As [`compare`].
pub fn compare_with_topups(
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
    let materials: Vec<_> = rules.iter().map(|rule| &rule.material).collect();
    let uncertain = if rules.is_empty() {
        UncertainParameters::of_all(beds)
    } else {
        uncertain_with(beds, &materials)
    };
    let tallies = || BINS.map(|width| Tally::of(ensemble.ensemble_size, width));
    let mut own: Vec<[Tally; 3]> = beds.iter().map(|_| tallies()).collect();
    let mut less: Vec<[Tally; 3]> = beds.iter().map(|_| tallies()).collect();
    let mut own_totals: Vec<TotalsTally> = rules
        .iter()
        .map(|_| TotalsTally::new(ensemble.ensemble_size))
        .collect();
    let mut less_totals = own_totals.clone();
    let mut sinks_less = vec![0_u32; beds.len()];
    let one_realisation =
        |number| one_realisation(beds, months, rules, &uncertain, (ensemble.seed, number));
    run_ensemble(ensemble, progress, &one_realisation, &mut |realisation| {
        let Some((first, first_totals)) = realisation.first().copied() else {
            return;
        };
        for (index, (figures, totals)) in realisation.iter().enumerate() {
            if let Some((own, less)) = own_totals.get_mut(index).zip(less_totals.get_mut(index)) {
                own.add(*totals, TopUpTotals::default());
                less.add(*totals, first_totals);
            }
            for (place, figure) in figures.iter().enumerate() {
                own[index][place].add(*figure);
                less[index][place].add(figure - first[place]);
            }
            sinks_less[index] += u32::from(figures[0] < first[0]);
        }
    })?;
    let has_price = rules.iter().all(|rule| rule.package.price.is_some());
    let top_ups = |tallies: &[TotalsTally], index: usize| {
        let tally = tallies.get(index);
        tally.map(|tally| tally.intervals(has_price))
    };
    let designs = beds
        .iter()
        .enumerate()
        .map(|(index, bed)| {
            let forecast = forecast(bed, months, &unwatched)?;
            let nominal = forecast.months;
            let (start, end) = (nominal.first(), nominal.last());
            Ok(Design {
                name: bed.name.clone(),
                dangers: among(forecast.notices),
                by: month_day(bed.filled, months),
                height_m: start.map_or(0.0, |row| row.height_m),
                settlement_median_m: end.map_or(0.0, |row| row.settlement_m),
                is: intervals(&own[index], top_ups(&own_totals, index)),
                less_the_first: (index > 0)
                    .then(|| intervals(&less[index], top_ups(&less_totals, index))),
                chance_it_sinks_less: (index > 0)
                    .then(|| f64::from(sinks_less[index]) / f64::from(ensemble.ensemble_size)),
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

/// What one draw, by its seed and number, makes of each bed, and what it takes to top it
/// up.
fn one_realisation(
    beds: &[Bed],
    months: u32,
    rules: &[TopUpRule],
    uncertain: &UncertainParameters,
    (seed, number): (u64, u32),
) -> Result<Vec<(Figures, TopUpTotals)>, Error> {
    beds.iter()
        .enumerate()
        .map(|(index, bed)| {
            let rows = months_of_draw(bed, uncertain, seed, number, months)?;
            let mut top_ups = TopUpTotals::default();
            if let Some(rule) = rules.get(index) {
                let sample = Sample::of(bed, uncertain, seed, number);
                let mut rule = rule.clone();
                rule.months = months;
                rule.material = realised_material(bed, &rule.material, uncertain, seed, number);
                let discrepancy = Discrepancy::new(seed, number, months);
                top_ups = totals(&realised_top_ups(&sample, &rule, &discrepancy, None)?.list);
            }
            Ok((figures(&rows), top_ups))
        })
        .collect()
}

fn figures(rows: &[Month]) -> Figures {
    let short = rows.iter().filter(|row| row.month <= 12);
    let short = short.map(|row| f64::from(u8::from(row.nitrogen.is_short)));
    let last = rows.last();
    [
        last.map_or(0.0, |row| row.settlement_m),
        last.map_or(0.0, |row| row.carbon_kg),
        short.sum(),
    ]
}

fn intervals(tallies: &[Tally; 3], top_ups: Option<ComparedTopUps>) -> Compared {
    let [settlement_m, carbon_kg, short_months] = tallies;
    Compared {
        settlement_m: settlement_m.band(),
        carbon_kg: carbon_kg.band(),
        short_months: short_months.band(),
        topups: top_ups,
    }
}
