//! When to top a bed up, with how much, and what to buy for it.
//!
//! A simulation run as that of [`forecast`](crate::forecast::forecast); at the end of each
//! month a [`TopUpTrigger`] decides whether a top-up is due. Added material settles, loads the
//! layers below and decays like the rest. Packages are bought whole; leftovers are kept for the
//! next time.

pub mod overfill;

mod brought;
mod cheapest;
mod intervals;
mod laid_on;
mod package;
pub(crate) mod planner;
mod pooled;
pub(crate) mod realisation;
pub mod request;
mod stock;
mod tallies;

use jiff::ToSpan as _;
use jiff::civil::Date;
use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fault::notice::{DefaultUsed, Notice, WET_WEIGHT};
use crate::forecast::ENGINE;
use crate::forecast::calendar::{month_day, months_to};
use crate::forecast::danger::dangers;
use crate::forecast::progress::{Progress, unwatched};
use crate::forecast::run::{SimulatedMonths, rows_beside};
use crate::library::material::{Class, Material};
use crate::model::figures::Figures;
use crate::quantity::amount::load;
use crate::quantity::units::Units;
use crate::text::limit::MONTHS_LIMIT;
use crate::topup::package::{MONEY, is_above_zero, is_money, refuse};
use crate::topup::planner::{Planner, not_before};
use crate::uncertainty::discrepancy::Discrepancy;

pub use brought::brought_by;
pub use intervals::{
    DateInterval, PlannedBed, Sums, Together, TopUpInterval, TopUpIntervals, YearOfTopUps,
    forecast_and_top_ups, planned_beds, top_ups_of_all, top_ups_with_intervals,
};
pub use package::Package;
pub use pooled::{Buying, PooledOrder, pooled_orders};

/// Version of the JSON form of top-ups.
pub const SCHEMA_VERSION: u32 = 2;

/// Depth below the rim that has room for a new layer of wood and greens under the soil; m
/// (common practice, no source).
pub const REFILL_ROOM_M: f64 = 0.30;

/// When a bed is topped up.
///
/// ```
/// use moulder::TopUpTrigger;
///
/// assert_eq!(TopUpTrigger::before_spring(52.2), TopUpTrigger::Months(vec![3]));
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum TopUpTrigger {
    /// In these months of every year (1 to 12), up to the rim.
    Months(Vec<u8>),
    /// When it is deeper than this below the rim at the end of a month, up to the rim; m.
    BelowRimM(f64),
    /// When the growing soil is thinner than this at the end of a month, up to that; m.
    SoilDepthM(f64),
}

impl TopUpTrigger {
    /// The month before spring planting: March, or September in the south.
    #[must_use]
    pub fn before_spring(latitude_deg: f64) -> Self {
        Self::Months(vec![if latitude_deg < 0.0 { 9 } else { 3 }])
    }
}

/// The month that ends on the day of the last reading or later, counted from filling; 0 without
/// readings. Top-ups are planned after it.
#[must_use]
pub fn months_measured(bed: &Bed) -> u32 {
    let last = bed.readings.last();
    last.map_or(0, |last| {
        months_to(bed.filled, last.on).unwrap_or(MONTHS_LIMIT)
    })
}

/// When, with what and within which limits a bed is topped up.
#[derive(Debug, Clone, PartialEq)]
pub struct TopUpRule {
    /// When to top up.
    pub trigger: TopUpTrigger,
    /// Material.
    pub material: Material,
    /// How it is packed and sold.
    pub package: Package,
    /// Largest thickness at once, so that crowns are not buried; m.
    pub most_m: Option<f64>,
    /// Largest spending from one January to the next.
    pub yearly_budget: Option<f64>,
    /// Months from the day of filling. For a bed with readings see [`months_measured`].
    pub months: u32,
    /// No top-up before this day; none for as soon as a bed is settled enough.
    pub from: Option<Date>,
}

impl TopUpRule {
    /// Refuses values out of range.
    pub(crate) fn check(&self) -> Result<(), Error> {
        let (trigger, is_trigger, trigger_expected) = match &self.trigger {
            TopUpTrigger::Months(months) => (
                format!("{months:?}"),
                !months.is_empty() && months.iter().all(|month| (1..=12).contains(month)),
                "months from 1 to 12",
            ),
            TopUpTrigger::BelowRimM(m) => (
                m.to_string(),
                *m >= 0.0 && m.is_finite(),
                "a depth of 0 m or more",
            ),
            TopUpTrigger::SoilDepthM(m) => (m.to_string(), is_above_zero(*m), "a depth above 0 m"),
        };
        let told = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
        let own = [
            ("/trigger", trigger, is_trigger, trigger_expected),
            (
                "/at_most_m",
                told(self.most_m),
                self.most_m.is_none_or(is_above_zero),
                "a thickness above 0 m",
            ),
            (
                "/yearly_budget",
                told(self.yearly_budget),
                self.yearly_budget.is_none_or(is_money),
                MONEY,
            ),
        ];
        let own = own.map(|(pointer, found, is_right, expected)| {
            (pointer.to_owned(), found, is_right, expected)
        });
        refuse(own.into_iter().chain(self.package.figures("/package")))
    }

    /// Refuses more months than can be simulated, and a depth of soil kept by what is no soil.
    fn can_be_kept(&self) -> Result<(), Error> {
        if self.months > MONTHS_LIMIT {
            return Err(Error::TooManyMonths { asked: self.months });
        }
        if matches!(self.trigger, TopUpTrigger::SoilDepthM(_)) && self.material.class != Class::Soil
        {
            return Err(Error::NoSoil);
        }
        Ok(())
    }

    /// The same rule as of a day: nothing is laid on before what is ordered on that day is there.
    #[must_use]
    pub fn as_of(self, day: Date) -> Self {
        let lead = i64::from(self.package.lead_days).days();
        Self {
            from: Some(day.saturating_add(lead)),
            ..self
        }
    }

    /// The first day on which a top-up of that bed may be due.
    pub(crate) fn not_before(&self, bed: &Bed) -> Date {
        let first = not_before(bed);
        self.from.map_or(first, |from| from.max(first))
    }

    /// The default rule: bags of 40 L in the month before spring, up to the rim, without a
    /// limit.
    #[must_use]
    pub fn usual(bed: &Bed, material: &Material, months: u32) -> Self {
        Self {
            trigger: TopUpTrigger::before_spring(bed.climate.latitude_deg),
            material: material.clone(),
            package: Package::new("bag", 0.04),
            most_m: None,
            yearly_budget: None,
            months,
            from: None,
        }
    }
}

/// One top-up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TopUp {
    /// Months since filling.
    pub month: u32,
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// The day to order on, where anything is bought.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub order_by: Option<Date>,
    /// Depth of the surface below the rim just before; m, negative above it. For a mound, below
    /// its height on the day of filling.
    pub below_before_m: f64,
    /// Depth just after; m.
    pub below_after_m: f64,
    /// Loose volume that it takes, as far as the largest thickness at once allows; m3.
    pub needed_m3: f64,
    /// Loose volume added: as far as the budget goes; m3.
    pub laid_m3: f64,
    /// Its mass, water included; kg.
    pub laid_kg: f64,
    /// Packages to buy.
    pub bought: u32,
    /// Loose volume kept for the next time; m3.
    pub left_over_m3: f64,
    /// Cost, delivery included; none where the price is not known.
    pub cost: Option<f64>,
    /// Whether the budget or the largest thickness limited it.
    pub is_held_back: bool,
}

/// Balance of the top-ups: `raised = restored + own loss + loss below`.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Restored {
    /// Rise of the surface on the days of the top-ups; m.
    pub raised_m: f64,
    /// Height at the end above that without top-ups; m.
    pub restored_m: f64,
    /// Loss of thickness of the top-ups since, by settlement, fines migration and decay; m.
    pub own_loss_m: f64,
    /// Additional settlement of the fill below under their weight, less the fines it gained; m.
    pub loss_below_m: f64,
}

/// The top-ups of a bed.
///
/// ```
/// use moulder::{Bed, Package, TopUpRequest, top_ups};
///
/// let bags = Package::new("bag", 0.04).price(4.5);
/// let request = TopUpRequest::new("loamy topsoil").in_packs(&bags).months(14).ensemble_size(0);
/// let plans = top_ups(&[Bed::example()], &request)?;
/// assert_eq!(plans[0].cost(), Some(f64::from(plans[0].bought()) * 4.5));
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct TopUps {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of the JSON form.
    pub schema: u32,
    /// Name of the bed.
    pub name: String,
    /// Dangers, listed before all else.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dangers: Vec<Notice>,
    /// Number of beds like it; figures are for one.
    pub beds: u32,
    /// Day of filling.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub filled: Date,
    /// Display units of the bed; figures here are SI whatever they are.
    pub units: Units,
    /// Whether the target is a rim; else it is the height on the day of filling.
    pub has_rim: bool,
    /// Months planned.
    pub months: u32,
    /// The first day on which a top-up may be due.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub from: Date,
    /// When it is topped up.
    pub trigger: TopUpTrigger,
    /// The material.
    pub material: String,
    /// How it is packed and sold.
    pub package: Package,
    /// The top-ups, in order of date: those that happen in half of the realisations or more, each
    /// with its median day, its mean volume where it happens, and the packages that this takes.
    pub top_ups: Vec<TopUp>,
    /// Their balance at the end, mean over the realisations.
    pub restored: Restored,
    /// Mean depth below the rim at the end; m.
    pub below_at_end_m: f64,
    /// Mean depth without any top-up; m.
    pub below_without_m: f64,
    /// The first day on which, without any top-up, there would be room for a new layer of wood
    /// and greens under the soil; none within these months.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub refill_from: Option<Date>,
    /// Defaults used where the document gives nothing.
    pub defaults: Vec<DefaultUsed>,
    /// 80 % intervals; none for the nominal run alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub intervals: Option<TopUpIntervals>,
}

impl TopUps {
    /// Total volume added; m3.
    #[must_use]
    pub fn laid_m3(&self) -> f64 {
        self.top_ups.iter().map(|topup| topup.laid_m3).sum()
    }

    /// The top-up of the list that an interval belongs to; none where it happens in fewer than half
    /// of the realisations.
    #[must_use]
    pub fn order(&self, interval: &TopUpInterval) -> Option<&TopUp> {
        let mut orders = self.top_ups.iter();
        orders.find(|order| month_day(self.filled, order.month) == interval.date.median)
    }

    /// Packages to buy.
    #[must_use]
    pub fn bought(&self) -> u32 {
        self.top_ups.iter().map(|topup| topup.bought).sum()
    }

    /// Total cost; none where the price is not known.
    #[must_use]
    pub fn cost(&self) -> Option<f64> {
        self.top_ups.iter().map(|topup| topup.cost).sum()
    }
}

/// Plans the top-ups of a bed, nominal run. Additions of the document are made as well; nothing
/// is planned before its last reading.
///
/// # Errors
///
/// Too many months, a mound without room for an addition, soil depth kept by other material, or
/// [`Error::Stopped`].
pub fn nominal_top_ups(
    bed: &Bed,
    rule: &TopUpRule,
    progress: &Progress<'_>,
) -> Result<TopUps, Error> {
    rule.can_be_kept()?;
    let laws_hold = Discrepancy::none();
    let (_, planned) = plan(bed, rule, (Figures::nominal(), &laws_hold), progress)?;
    TopUps::new(bed, rule, planned)
}

/// A plan in one run, or the mean of several.
pub(crate) struct Planned {
    /// The top-ups, in order of date.
    pub(crate) list: Vec<TopUp>,
    pub(crate) restored: Restored,
    /// Depth below the rim, or below the height on the day of filling, at the end; m.
    pub(crate) below_at_end_m: f64,
    /// The same without any top-up, at the end of each month, day zero first; m.
    pub(crate) below_without_m: Vec<f64>,
    /// Largest mass at a month end, water and top-ups included; kg.
    pub(crate) most_kg: f64,
}

/// Dangers that tell the weight with all top-ups as well.
fn with_top_ups(dangers: Vec<Notice>, bed: &Bed, most_kg: f64) -> Vec<Notice> {
    let told = load(most_kg / bed.shape.area_m2(), bed.units);
    let each = dangers.into_iter().map(|danger| match &*danger.code {
        WET_WEIGHT => danger.with("topped-up", told.clone()),
        _ => danger,
    });
    each.collect()
}

impl TopUps {
    /// The answer about a bed, without intervals.
    fn new(bed: &Bed, rule: &TopUpRule, planned: Planned) -> Result<Self, Error> {
        let first = rule.not_before(bed);
        let refill_from = (0..)
            .zip(&planned.below_without_m)
            .filter(|(_, below_m)| **below_m >= REFILL_ROOM_M)
            .map(|(month, _)| month_day(bed.filled, month))
            .find(|day| *day >= first);
        Ok(Self {
            engine: ENGINE,
            schema: SCHEMA_VERSION,
            name: bed.name.clone(),
            dangers: with_top_ups(dangers(bed)?, bed, planned.most_kg),
            beds: bed.count,
            filled: bed.filled,
            units: bed.units,
            has_rim: bed.rim_m.is_some(),
            months: rule.months,
            from: first,
            trigger: rule.trigger.clone(),
            material: rule.material.name.clone(),
            package: rule.package.clone(),
            top_ups: planned.list,
            restored: planned.restored,
            below_at_end_m: planned.below_at_end_m,
            below_without_m: planned.below_without_m.last().copied().unwrap_or_default(),
            refill_from,
            defaults: bed.defaults.clone(),
            intervals: None,
        })
    }
}

/// Runs a bed with those parameters: its months without top-ups, and beside these the top-ups with
/// that discrepancy.
fn plan(
    bed: &Bed,
    rule: &TopUpRule,
    (figures, discrepancy): (&Figures, &Discrepancy),
    progress: &Progress<'_>,
) -> Result<(SimulatedMonths, Planned), Error> {
    let mut planner = Planner::new(bed, rule, discrepancy, progress);
    let run = rows_beside(
        bed,
        figures,
        rule.months,
        figures.schedule(),
        &[],
        Some(&mut planner),
        &unwatched,
    )?;
    let extras_m = Discrepancy::extras_m(core::slice::from_ref(discrepancy), &run.months);
    let without_m = run.months.iter().zip(&extras_m).map(|(row, extras_m)| {
        let extra_m = extras_m.first().copied().unwrap_or_default();
        row.thickness_m() - extra_m
    });
    let planned = planner.planned(&without_m.collect::<Vec<f64>>());
    Ok((run, planned))
}

#[cfg(test)]
mod tests {
    use super::months_measured;
    use crate::bed::Bed;
    use crate::bed::builder::Reading;
    use jiff::civil::date;

    #[test]
    fn months_measured_end_after_the_last_reading() {
        let bed = Bed::example();
        assert_eq!(months_measured(&bed), 0);
        let read = |day| bed.with_reading(Reading::below_rim_m(date(2026, 5, day), 0.1));
        assert_eq!(months_measured(&read(14).unwrap()), 2);
        assert_eq!(months_measured(&read(15).unwrap()), 3);
    }
}
