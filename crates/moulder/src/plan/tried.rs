//! Fills that were forecast, how far each misses what is wanted, and the best of them.

use super::aim::Aim;
use super::answer::FillIntervals;
use super::optimum::Optimum;
use super::role::Role;
use super::trial::Trial;
use crate::bed::Bed;
use crate::bed::plan_request::PlanRequest;
use crate::forecast::Forecast;

/// Tolerance of a fill that is on the mark; m: what a tape measure resolves.
const NEAR_M: f64 = 0.01;
/// Largest height above the requirement that the search is content with; m.
const OVER_M: f64 = 0.003;
/// Shortfall below which a requirement is met; m: half of the last digit that is told.
const MET_M: f64 = 0.000_5;

/// A figure for each role.
pub(super) type Layers = [f64; Role::ALL.len()];

/// A fill with its forecast.
#[derive(Clone)]
pub(super) struct Tried {
    pub(super) aim: Aim,
    pub(super) trial: Trial,
    pub(super) bed: Bed,
    /// The nominal forecast or, once it was made, that of the ensemble.
    pub(super) forecast: Forecast,
    pub(super) optimum: Optimum,
    /// What it comes to by that forecast.
    pub(super) stands: Stands,
    /// What it comes to against the requirement, with the shift that the search allowed for.
    pub(super) miss: Miss,
    /// Intervals of the ensemble.
    pub(super) intervals: Option<FillIntervals>,
    /// Correction of each layer against its materials on their own.
    pub(super) layers: Layers,
    /// How many nominal forecasts it took.
    pub(super) forecasts: u32,
    /// What its packs cost.
    pub(super) cost: f64,
    /// Net mineralisation of its mixed layer; kg/m2.
    pub(super) gives_kg: f64,
}

/// Height and depth of the growing soil, on the settled day, or a difference of these; m.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Stands {
    pub(super) height_m: f64,
    pub(super) soil_m: f64,
}

impl Stands {
    /// By a forecast of the trial.
    pub(super) fn of(trial: &Trial, forecast: &Forecast) -> Self {
        let Some(end) = forecast.months.last() else {
            return Self::default();
        };
        let soil = trial.soil().and_then(|index| end.layers.get(index));
        Self {
            height_m: end.height_m,
            soil_m: soil.map_or(0.0, |layer| layer.thickness_m),
        }
    }

    /// Further by a shift.
    pub(super) fn plus(self, shift: Self) -> Self {
        Self {
            height_m: self.height_m + shift.height_m,
            soil_m: self.soil_m + shift.soil_m,
        }
    }

    /// The shift that leads from another to this.
    pub(super) fn minus(self, other: Self) -> Self {
        Self {
            height_m: self.height_m - other.height_m,
            soil_m: self.soil_m - other.soil_m,
        }
    }
}

/// How far a fill lies above the requirement, negative below it; m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Miss {
    height_m: f64,
    soil_m: f64,
}

impl Miss {
    pub(super) fn new(plan: &PlanRequest, stands: Stands) -> Self {
        Self {
            height_m: stands.height_m - plan.height_m,
            soil_m: stands.soil_m - plan.soil_m,
        }
    }

    /// By how much the height falls short; m.
    pub(super) fn height_short_m(self) -> f64 {
        short_m(self.height_m)
    }

    /// By how much the growing soil falls short; m.
    pub(super) fn soil_short_m(self) -> f64 {
        short_m(self.soil_m)
    }

    /// Deviation from the requirement; m. More soil is allowed.
    pub(super) fn off_m(self) -> f64 {
        self.height_m.abs().max(-self.soil_m)
    }

    /// Whether it lies within what a tape measure resolves.
    pub(super) fn is_near(self) -> bool {
        self.off_m() <= NEAR_M
    }

    /// Whether it falls short of nothing and is hardly too high.
    pub(super) fn meets(self) -> bool {
        self.height_short_m() <= 0.0 && self.soil_short_m() <= 0.0 && self.height_m <= OVER_M
    }
}

fn short_m(above_m: f64) -> f64 {
    if above_m < -MET_M { -above_m } else { 0.0 }
}

/// The best for an aim, by forecast and whole packs: among those that meet the requirement, else
/// the nearest. None of none.
pub(super) fn best<'t>(plan: &PlanRequest, tried: &'t [Tried], aim: Aim) -> Option<&'t Tried> {
    let meets = |tried: &&Tried| tried.miss.meets();
    let rules = tried
        .iter()
        .filter(meets)
        .map(|t| t.optimum.bent.len())
        .min();
    let Some(rules) = rules else {
        let off_m = |tried: &Tried| tried.miss.off_m();
        let nearest = |one: &&Tried, other: &&Tried| off_m(one).total_cmp(&off_m(other));
        let own = tried.iter().filter(|tried| tried.aim == aim);
        return own.min_by(nearest).or_else(|| tried.iter().min_by(nearest));
    };
    let good = tried.iter().filter(meets);
    let good = good.filter(|tried| tried.optimum.bent.len() == rules);
    good.min_by(|one, other| {
        let merit = |tried: &Tried| merit(plan, tried, aim);
        merit(one)
            .total_cmp(&merit(other))
            .then(sinks_m(one).total_cmp(&sinks_m(other)))
    })
}

/// The best for an aim of those on the mark, else the nearest: where to go on from.
pub(super) fn promising<'t>(plan: &PlanRequest, tried: &'t [Tried], aim: Aim) -> Option<&'t Tried> {
    let near = tried.iter().filter(|tried| tried.miss.is_near());
    let best = near.min_by(|one, other| merit(plan, one, aim).total_cmp(&merit(plan, other, aim)));
    let off_m = |tried: &Tried| tried.miss.off_m();
    best.or_else(|| {
        let all = tried.iter();
        all.min_by(|one, other| off_m(one).total_cmp(&off_m(other)))
    })
}

/// Objective of a fill for an aim; less is better.
fn merit(plan: &PlanRequest, tried: &Tried, aim: Aim) -> f64 {
    match aim {
        Aim::Cheapest => tried.cost,
        Aim::SinksLeast => sinks_m(tried),
        Aim::FeedsBest => -tried.gives_kg,
        Aim::UsesMost => {
            let put = tried.trial.layers.iter().flat_map(|(_, put)| put);
            let free = put.filter(|put| plan.stock[put.hand].price.is_none());
            -free.map(|put| put.volume_m3).sum::<f64>()
        }
    }
}

fn sinks_m(tried: &Tried) -> f64 {
    tried
        .forecast
        .months
        .last()
        .map_or(0.0, |row| row.settlement_m)
}
