//! When to top beds up, with how much, and what to buy: all that is told of it.

use jiff::ToSpan as _;
use moulder::Date;
use moulder::internals::bed::{Bed, EditBed as _};
use moulder::internals::fault::error::Error;
use moulder::internals::forecast::calendar::{month_day, months_to};
use moulder::internals::forecast::progress::{Progress, unwatched};
use moulder::internals::ledger::saving::{Saving, saving};
use moulder::internals::library::material::Material;
use moulder::internals::text::limit::MONTHS_LIMIT;
use moulder::internals::topup::overfill::{
    Allowance, Overfill, OverfillIntervals, allowance, overfill, overfill_intervals,
};
use moulder::internals::topup::{
    Buying, Package, PlannedBed, PooledOrder, TopUpRule, TopUpTrigger, TopUps, brought_by,
    planned_beds, pooled_orders,
};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use serde::Serialize;

use super::ahead::as_of;

/// Months in a year.
const YEAR: u32 = 12;

/// What is asked.
#[derive(Debug, Clone)]
pub struct Wanted {
    /// When; in the month before spring where nothing is said.
    pub trigger: Option<TopUpTrigger>,
    /// With what.
    pub material: Material,
    /// How a bed alone buys it.
    pub package: Package,
    /// How beds buy it together.
    pub buying: Buying,
    /// Largest thickness at once; m.
    pub most_m: Option<f64>,
    /// Years to look ahead.
    pub years: u32,
    /// The day to take for today; none for the day of filling.
    pub today: Option<Date>,
    /// Whether orders are shared.
    pub shares: bool,
    /// Months after which a bed that is heaped at the start is level.
    pub overfill_months: Option<u32>,
    /// The ensemble.
    pub draws: Realisations,
}

/// What was planned.
#[derive(Debug)]
pub struct PlannedBeds {
    /// The day from which each bed is planned.
    pub days: Vec<Date>,
    /// The rule of each.
    pub rules: Vec<TopUpRule>,
    /// Each bed.
    pub beds: Vec<PlannedBed>,
    /// The orders that they share; none where each buys for itself.
    pub orders: Option<Vec<PooledOrder>>,
    /// How these are bought.
    pub buying: Buying,
}

/// What is told of one bed.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Told {
    /// Its top-ups.
    #[serde(flatten)]
    pub topups: TopUps,
    /// How high to heap it at the start.
    pub overfill: Option<Overfill>,
    /// The same as intervals.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overfill_intervals: Option<OverfillIntervals>,
    /// What to hold back of the fill.
    pub allowance: Allowance,
    /// What it saves against a fill of bought mix.
    pub saving: Saving,
}

impl Wanted {
    /// Plans beds.
    ///
    /// # Errors
    ///
    /// Figures out of range, and those of the plans.
    pub fn plan(&self, beds: &[Bed], progress: &Progress<'_>) -> Result<PlannedBeds, Error> {
        let days: Vec<Date> = beds.iter().map(|bed| self.day_of(bed)).collect();
        let lead = i64::from(self.package.lead_days).days();
        let mut buying = self.buying.clone();
        buying.from = days.iter().min().map(|day| day.saturating_add(lead));
        let rules = beds.iter().zip(&days);
        let rules = rules.map(|(bed, day)| self.rule(bed, *day));
        let rules = rules.collect::<Result<Vec<TopUpRule>, Error>>()?;
        let mut planned = planned_beds(beds, &rules, self.draws, progress)?;
        let plans: Vec<TopUps> = planned.iter().map(|bed| bed.topups.clone()).collect();
        let orders = self.shares.then(|| pooled_orders(&plans, &buying));
        let orders: Option<Vec<PooledOrder>> = orders.transpose()?;
        if let Some(orders) = &orders {
            let brought = brought_by(orders, beds, &plans, &self.material, self.draws, progress)?;
            for (planned, brought) in planned.iter_mut().zip(brought) {
                planned.topups = brought;
            }
        }
        Ok(PlannedBeds {
            days,
            rules,
            beds: planned,
            orders,
            buying,
        })
    }

    /// The day from which a bed is planned.
    fn day_of(&self, bed: &Bed) -> Date {
        self.today.map_or(bed.filled(), |today| as_of(bed, today))
    }

    /// The rule for a bed as of a day.
    fn rule(&self, bed: &Bed, day: Date) -> Result<TopUpRule, Error> {
        let usual = || TopUpTrigger::before_spring(bed.climate().latitude_deg);
        let months = months_to(bed.filled(), month_day(day, self.years * YEAR))?;
        let rule = TopUpRule {
            trigger: self.trigger.clone().unwrap_or_else(usual),
            material: self.material.clone(),
            package: self.package.clone(),
            most_m: self.most_m,
            // A shared budget is that of the orders.
            yearly_budget: self.buying.yearly_budget.filter(|_| !self.shares),
            months: months.min(MONTHS_LIMIT),
            from: None,
        };
        Ok(rule.as_of(day))
    }

    /// What is told of a bed that was planned.
    ///
    /// # Errors
    ///
    /// As [`forecast_with_intervals`].
    pub fn told(
        &self,
        bed: &Bed,
        rule: &TopUpRule,
        planned: PlannedBed,
        progress: &Progress<'_>,
    ) -> Result<Told, Error> {
        let PlannedBed {
            topups, forecast, ..
        } = planned;
        let as_filled = if let Some(forecast) = forecast.filter(|_| bed.additions().is_empty()) {
            forecast
        } else {
            let mut untouched = bed.clone();
            untouched.edit().additions.clear();
            forecast_with_intervals(&untouched, rule.months, self.draws, &unwatched)?
        };
        let overfill = match self.overfill_months {
            Some(months) => overfill(bed, &rule.material, months)?,
            None => None,
        };
        let overfill_intervals = match &overfill {
            Some(middle) => overfill_intervals(bed, &rule.material, middle, self.draws, progress)?,
            None => None,
        };
        let mut saving = saving(bed, &as_filled, &topups)?;
        if self.shares {
            // What a bed would pay by itself says nothing of what shared orders save.
            saving.net_money = None;
        }
        Ok(Told {
            overfill,
            overfill_intervals,
            allowance: allowance(bed, &as_filled),
            saving,
            topups,
        })
    }
}
