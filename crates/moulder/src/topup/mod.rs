//! When to top a bed up, with how much, and what to buy for it.
//!
//! The bed is marched as by [`forecast`](crate::forecast::forecast); at the end of each month
//! a [`TopUpTrigger`] says whether it is due, and what is laid on then settles, weighs on what lies
//! below and rots like everything else. Buying follows from laying: whole units are bought,
//! what is left over waits for the next time.

pub mod overfill;

mod intervals;
pub(crate) mod planner;
mod planning_ensemble;
pub(crate) mod realisation;
pub mod request;
mod tallies;

use jiff::civil::Date;
use std::borrow::Cow;

use moulder_core::weather::Weather;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fault::notice::{DefaultUsed, Notice};
use crate::fault::{Fault, FaultCode, Faults, Place};
use crate::forecast::ENGINE;
use crate::forecast::calendar::{days_to_month, month_day, months_to};
use crate::forecast::danger::dangers;
use crate::forecast::progress::Progress;
use crate::forecast::trajectory;
use crate::library::material::{Class, Material};
use crate::model::figures::Figures;
use crate::model::weather::weather_for;
use crate::quantity::units::Units;
use crate::text::limit::MONTHS_LIMIT;
use crate::topup::planner::{Heights, not_before, top_up};
use crate::uncertainty::discrepancy::Discrepancy;

pub use intervals::{
    DateInterval, Sums, Together, TopUpInterval, TopUpIntervals, YearOfTopUps, topups_of_all,
    topups_with_bands,
};
pub use planning_ensemble::WEIGHTED_PER_REALISATION;

/// Version of the form in which top-ups are written as JSON.
pub const SCHEMA_VERSION: u32 = 2;

/// Room that takes a new layer of wood and greens under the soil; m (common practice, no
/// source).
pub const REFILL_ROOM_M: f64 = 0.30;

/// When a bed is topped up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TopUpTrigger {
    /// In these months of every year (1 to 12), up to the rim.
    Months(Vec<u8>),
    /// As soon as it stands lower than this below the rim at the end of a month, up to the
    /// rim; m.
    BelowRimM(f64),
    /// As soon as the soil that roots live in is thinner than this at the end of a month, up
    /// to that; m.
    SoilDepthM(f64),
}

impl TopUpTrigger {
    /// In the month before spring planting of each year: March, or September in the south.
    #[must_use]
    pub fn before_spring(latitude_deg: f64) -> Self {
        Self::Months(vec![if latitude_deg < 0.0 { 9 } else { 3 }])
    }
}

/// The month that ends on the day of the last reading or later, counted from filling; 0
/// for a bed that nobody measured. What is planned for it comes after.
#[must_use]
pub fn months_measured(bed: &Bed) -> u32 {
    let last = bed.readings.last();
    last.map_or(0, |last| {
        months_to(bed.filled, last.on).unwrap_or(MONTHS_LIMIT)
    })
}

/// How the material is sold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Package {
    /// What one is called ("bag").
    pub name: String,
    /// What one holds, loose; m3.
    pub volume_m3: f64,
    /// What one costs, in the owner's money; none where it is not known.
    pub price: Option<f64>,
    /// What each order costs on top.
    pub delivery: f64,
    /// How long before it is needed an order must be made; d.
    pub lead_days: u32,
}

/// What the owner wants.
#[derive(Debug, Clone, PartialEq)]
pub struct TopUpRule {
    /// When to top up.
    pub trigger: TopUpTrigger,
    /// With what.
    pub material: Material,
    /// How it is sold.
    pub package: Package,
    /// No more than this at once, so that crowns stand; m.
    pub most_m: Option<f64>,
    /// No more than this spent from one January to the next.
    pub yearly_budget: Option<f64>,
    /// For how many months, from the day of filling on. For a bed that a tape was held to see
    /// [`months_measured`].
    pub months: u32,
}

impl Package {
    /// A package that holds so much, loose; m3. Of unknown price, without delivery.
    #[must_use]
    pub fn of(name: impl Into<String>, volume_m3: f64) -> Self {
        Self {
            name: name.into(),
            volume_m3,
            price: None,
            delivery: 0.0,
            lead_days: 0,
        }
    }

    /// What one costs, in the owner's money.
    #[must_use]
    pub fn price(mut self, price: f64) -> Self {
        self.price = Some(price);
        self
    }

    /// What each order costs on top, in the owner's money.
    #[must_use]
    pub fn delivery(mut self, delivery: f64) -> Self {
        self.delivery = delivery;
        self
    }

    /// How long before it is needed an order must be made; d.
    #[must_use]
    pub fn lead_days(mut self, lead_days: u32) -> Self {
        self.lead_days = lead_days;
        self
    }
}

impl TopUpRule {
    /// Refuses figures that cannot be.
    pub(crate) fn check(&self) -> Result<(), Error> {
        let package = &self.package;
        let above_zero = |value: f64| value > 0.0 && value.is_finite();
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
            TopUpTrigger::SoilDepthM(m) => (m.to_string(), above_zero(*m), "a depth above 0 m"),
        };
        let money = "money, 0 or more";
        let is_money = |value: f64| value >= 0.0 && value.is_finite();
        let figures = [
            ("/trigger", trigger, is_trigger, trigger_expected),
            (
                "/package/volume_m3",
                package.volume_m3.to_string(),
                above_zero(package.volume_m3),
                "a volume above 0 m3",
            ),
            (
                "/package/price",
                format!("{:?}", package.price),
                package.price.is_none_or(is_money),
                money,
            ),
            (
                "/package/delivery",
                package.delivery.to_string(),
                is_money(package.delivery),
                money,
            ),
            (
                "/most_m",
                format!("{:?}", self.most_m),
                self.most_m.is_none_or(above_zero),
                "a thickness above 0 m",
            ),
            (
                "/yearly_budget",
                format!("{:?}", self.yearly_budget),
                self.yearly_budget.is_none_or(is_money),
                money,
            ),
        ];
        let wrong = figures.into_iter().filter(|(_, _, is_right, _)| !is_right);
        let faults = wrong.map(|(pointer, found, _, expected)| Fault {
            code: FaultCode::OutOfRange,
            place: Place::Pointer {
                pointer: pointer.to_owned(),
            },
            path: pointer.to_owned(),
            found,
            expected: expected.to_owned(),
            help: Vec::new(),
        });
        match Faults::of(faults.collect(), 0) {
            Some(faults) => Err(faults.into()),
            None => Ok(()),
        }
    }

    /// What is wished for where nothing is said: bags of 40 L of that material in the month
    /// before spring, up to the rim, without a limit.
    #[must_use]
    pub fn usual(bed: &Bed, material: &Material, months: u32) -> Self {
        Self {
            trigger: TopUpTrigger::before_spring(bed.climate.latitude_deg),
            material: material.clone(),
            package: Package {
                name: "bag".to_owned(),
                volume_m3: 0.04,
                price: None,
                delivery: 0.0,
                lead_days: 0,
            },
            most_m: None,
            yearly_budget: None,
            months,
        }
    }
}

/// One top-up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TopUp {
    /// Months since filling.
    pub month: u32,
    /// The day, year-month-day.
    #[schemars(with = "String")]
    pub date: Date,
    /// The day on which to order, where anything has to be bought.
    #[schemars(with = "Option<String>")]
    pub order_by: Option<Date>,
    /// How far the surface lay below the rim just before; m, negative above it. For a mound,
    /// below the height it was built to.
    pub below_before_m: f64,
    /// How far just after; m.
    pub below_after_m: f64,
    /// Loose volume that is laid on; m3.
    pub laid_m3: f64,
    /// Its weight, water included; kg.
    pub laid_kg: f64,
    /// How many units to buy.
    pub bought: u32,
    /// Loose volume left over, for the next time; m3.
    pub left_over_m3: f64,
    /// What that costs, delivery included; none where the price is not known.
    pub cost: Option<f64>,
    /// Whether more was wanted than the budget or the crowns allowed.
    pub is_held_back: bool,
}

/// What became of all that was laid on: `raised = restored + own loss + loss below`.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Restored {
    /// By how much the top-ups raised the surface on their days; m.
    pub raised_m: f64,
    /// By how much the surface stands higher in the end than it would without them; m.
    pub restored_m: f64,
    /// What they have lost themselves since, by settling, sifting down and rot; m.
    pub own_loss_m: f64,
    /// What the fill below lies lower for their weight, less what sifted into it; m.
    pub loss_below_m: f64,
}

/// The top-ups of a bed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct TopUps {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of this form.
    pub schema: u32,
    /// What the owner calls the bed.
    pub name: String,
    /// What may hurt someone or something, before all else.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dangers: Vec<Notice>,
    /// How many beds like it there are; figures are for one.
    pub beds: u32,
    /// Day zero, year-month-day.
    #[schemars(with = "String")]
    pub filled: Date,
    /// The units the owner thinks in; figures here are SI whatever they are.
    pub units: Units,
    /// Whether the height to come back to is a rim; else it is that of the day of filling.
    pub has_rim: bool,
    /// Months looked ahead.
    pub months: u32,
    /// When it is topped up.
    pub trigger: TopUpTrigger,
    /// The material.
    pub material: String,
    /// How it is sold.
    pub package: Package,
    /// The top-ups, in order of date.
    pub top_ups: Vec<TopUp>,
    /// What became of them by the end.
    pub restored: Restored,
    /// How far below the rim it stands in the end; m.
    pub below_at_end_m: f64,
    /// How far it would stand without any; m.
    pub below_without_m: f64,
    /// The first day on which, without any top-up, there would be room for a new layer of
    /// wood and greens under the soil; none within these months.
    #[schemars(with = "Option<String>")]
    pub refill_from: Option<Date>,
    /// What was assumed where the document is silent.
    pub defaults: Vec<DefaultUsed>,
    /// Where four in five draws lie; none for the middle line alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub intervals: Option<TopUpIntervals>,
}

impl TopUps {
    /// All that is laid on; m3.
    #[must_use]
    pub fn laid_m3(&self) -> f64 {
        self.top_ups.iter().map(|topup| topup.laid_m3).sum()
    }

    /// All units to buy.
    #[must_use]
    pub fn bought(&self) -> u32 {
        self.top_ups.iter().map(|topup| topup.bought).sum()
    }

    /// All it costs; none where the price is not known.
    #[must_use]
    pub fn cost(&self) -> Option<f64> {
        self.top_ups.iter().map(|topup| topup.cost).sum()
    }
}

/// Plans the top-ups of a bed by the middle line. What the document says was added is laid
/// on as well; nothing is planned before its last reading.
///
/// # Errors
///
/// Too many months, a mound whose sides meet before a layer is in, or a progress that stops it.
pub fn plan_topups(bed: &Bed, rule: &TopUpRule, progress: &Progress<'_>) -> Result<TopUps, Error> {
    if rule.months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: rule.months });
    }
    if matches!(rule.trigger, TopUpTrigger::SoilDepthM(_)) && rule.material.class != Class::Soil {
        return Err(Error::NoSoil);
    }
    let weather = weather_for(bed, days_to_month(bed.filled, rule.months));
    let laws_hold = Discrepancy::none();
    let mut topups = plan(
        bed,
        rule,
        weather,
        (Figures::nominal(), &laws_hold),
        progress,
    )?;
    topups.dangers = dangers(bed)?;
    Ok(topups)
}

/// Plans top-ups under that weather, with a draw's numbers and laws that are off by that.
fn plan(
    bed: &Bed,
    rule: &TopUpRule,
    weather: Weather,
    (figures, discrepancy): (&Figures, &Discrepancy),
    progress: &Progress<'_>,
) -> Result<TopUps, Error> {
    let mut without = Heights::new(discrepancy);
    trajectory::run(
        bed,
        weather.clone(),
        figures,
        rule.months,
        figures.schedule(),
        &mut without,
    )?;
    let target_m = planner::target_m(bed, &without);
    let topped = top_up(
        bed,
        rule,
        target_m,
        weather,
        (figures, discrepancy),
        not_before(bed),
        progress,
    )?;
    let own_m = topped.own_m;
    let (end_m, end_without_m) = (topped.end_m, without.end_m());
    let below_m = (end_m - own_m) - end_without_m;
    let restored = Restored {
        raised_m: topped.raised_m,
        restored_m: end_m - end_without_m,
        own_loss_m: topped.raised_m - own_m,
        loss_below_m: -below_m,
    };
    let first = not_before(bed);
    let refill_from = (0..)
        .zip(without.months())
        .filter(|(_, height_m)| target_m - *height_m >= REFILL_ROOM_M)
        .map(|(month, _)| month_day(bed.filled, month))
        .find(|day| first.is_none_or(|first| *day >= first));
    Ok(TopUps {
        engine: ENGINE,
        schema: SCHEMA_VERSION,
        name: bed.name.clone(),
        dangers: Vec::new(),
        beds: bed.count,
        filled: bed.filled,
        units: bed.units,
        has_rim: bed.rim_m.is_some(),
        months: rule.months,
        trigger: rule.trigger.clone(),
        material: rule.material.name.clone(),
        package: rule.package.clone(),
        top_ups: topped.list,
        restored,
        below_at_end_m: target_m - end_m,
        below_without_m: target_m - end_without_m,
        refill_from,
        defaults: bed.defaults.clone(),
        intervals: None,
    })
}
