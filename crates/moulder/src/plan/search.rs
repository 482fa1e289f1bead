//! The search: amounts from the linear programme, forecast of the whole bed, correction.

use std::cell::Cell;

use super::aim::Aim;
use super::answer::SCHEMA_VERSION;
use super::answer::{Alone, Fill, Plan, Shortfall};
use super::expected::in_the_mean;
use super::optimum::{self, Goal, Lack, Optimum, Part};
use super::report::{buy, cost, report_fill, short};
use super::retention::Retention;
use super::role::Role;
use super::trial::Trial;
use super::tried::{Layers, Miss, Stands, Tried, best, promising};
use crate::bed::plan_request::{PlanRequest, StockItem, Supply};
use crate::fault::error::Error;
use crate::forecast::ENGINE;
use crate::forecast::calendar::month_day;
use crate::forecast::progress::{Progress, unwatched};
use crate::forecast::{Forecast, forecast};

/// What the search aims at above the requirement, so that rounded amounts fall short of nothing; m.
const MARGIN_M: f64 = 0.001;
/// Most forecasts of one search.
const FORECASTS: u32 = 20;
/// From this forecast on corrections are damped, which ends oscillation between two sets of
/// materials.
const CALM_FROM: u32 = 6;
/// From this forecast on the materials are held, and their amounts change as little as they must:
/// the best materials by one forecast may not be those by the next.
const HOLD_FROM: u32 = 9;
/// Factor by which all shares are raised (so amounts fall) where a mound has no room.
const LESS: f64 = 1.1;
/// Initial guess for a mound: loose height as a multiple of the settled height, and the
/// relative height of each layer, from the ground up.
const LOOSE: f64 = 1.3;
const LIES_AT: Layers = [0.15, 0.45, 0.7, 0.75, 0.9];
/// Largest correction of a layer's share in one step.
const MOST_CHANGE: f64 = 2.0;
/// Unlimited stock, as a multiple of what would fill the bed alone.
const PLENTY: f64 = 2.0;
/// Mineral share of the dry mass below which material of the soil layer is compost (our own
/// choice: between composts and bought mixes).
const COMPOST_MINERAL: f64 = 0.7;
/// Fills whose amounts differ by no more than this share of the whole are the same.
const SAME: f64 = 0.02;

/// Plans fills for a request, or reports what is short.
///
/// Each fill meets the requirement in the mean of its realisations
/// ([`PlanRequest::ensemble_size`]), or in the nominal run where there are none; or it says by how
/// much it falls short.
///
/// # Errors
///
/// [`Error::Stopped`], too many realisations, a mound without room, or figures beyond what the
/// solver can do.
///
/// ```
/// use moulder::{Library, PlanRequest, plan};
///
/// let text = r#"
///     format = 1
///     filled = 2026-03-14
///     climate = "Cambridge UK"
///     bed = { shape = "round", across = "1.2 m", rim = "40 cm" }
///     wanted = { after = 6 }
///     hand = [{ material = "birch log", amount = "200 L" }, { material = "loamy topsoil", amount = "plenty" }]
/// "#;
/// let request = PlanRequest::from_toml(text, &Library::built_in())?;
/// let plan = plan(&request, &moulder::months::unwatched)?;
/// assert!((plan.fills[0].stands_m - 0.40).abs() < 0.01);
/// # Ok::<(), moulder::Error>(())
/// ```
pub fn plan(plan: &PlanRequest, progress: &Progress<'_>) -> Result<Plan, Error> {
    let aims: Vec<Aim> = Aim::ALL
        .into_iter()
        .filter(|aim| is_worth(plan, *aim))
        .collect();
    let passes = if plan.ensemble_size > 0 { 3 } else { 2 };
    let of = u32::try_from(passes * aims.len() + plan.stock.len()).unwrap_or(u32::MAX);
    let so_far = Cell::new(0);
    let report_progress = || {
        so_far.set(so_far.get() + 1);
        if progress(so_far.get(), of).is_break() {
            Err(Error::Stopped)
        } else {
            Ok(())
        }
    };
    let mut retentions: Vec<Retention> = Vec::new();
    for item in &plan.stock {
        retentions.push(Retention::new(plan, item)?);
        report_progress()?;
    }
    let mut answer = Plan {
        engine: ENGINE,
        schema: SCHEMA_VERSION,
        seed: (plan.ensemble_size > 0).then_some(plan.seed),
        ensemble_size: plan.ensemble_size,
        name: plan.name.clone(),
        filled: plan.filled,
        settled: month_day(plan.filled, plan.after_months),
        after_months: plan.after_months,
        climate: plan.climate.name.clone(),
        units: plan.units,
        money: plan.money.clone(),
        base_m2: plan.shape.area_m2(),
        rim_m: plan.rim_m,
        height_m: plan.height_m,
        soil_m: plan.soil_m,
        materials: alone(plan, &retentions),
        fills: Vec::new(),
        shortfall: None,
        defaults: plan.defaults.clone(),
    };
    let mut tried: Vec<Tried> = Vec::new();
    for aim in &aims {
        match search(plan, &retentions, *aim, narrowing(plan), Stands::default())? {
            Ok(found) => tried.extend(found),
            Err(short) => {
                answer.shortfall = Some(short);
                return Ok(answer);
            }
        }
        report_progress()?;
    }
    for aim in &aims {
        // A better fill of another aim gives another starting point.
        let start = best(plan, &tried, *aim).ok_or(Error::Unsolved)?;
        if start.aim != *aim {
            let layers = start.layers;
            let found = search(plan, &retentions, *aim, layers, Stands::default())?;
            tried.extend(found.unwrap_or_default());
        }
        report_progress()?;
    }
    if plan.ensemble_size > 0 {
        let mut expected: Vec<Tried> = Vec::new();
        let mut starts: Vec<&Tried> = Vec::new();
        for aim in &aims {
            let start = best(plan, &tried, *aim).ok_or(Error::Unsolved)?;
            if starts.iter().all(|known| known.trial != start.trial) {
                let now = so_far.get();
                let watch = move |_: u32, _: u32| progress(now, of);
                expected.extend(in_the_mean(plan, &retentions, start, &watch)?);
                starts.push(start);
            }
            report_progress()?;
        }
        tried = expected;
    }
    for aim in &aims {
        let best = best(plan, &tried, *aim).ok_or(Error::Unsolved)?;
        take_in(
            &mut answer.fills,
            report_fill(plan, &retentions, *aim, best)?,
        );
    }
    answer.fills.sort_by(|one, other| {
        let sinks_m = |fill: &Fill| fill.tipped_m - fill.stands_m;
        other
            .on_the_mark
            .cmp(&one.on_the_mark)
            .then(one.cost.total_cmp(&other.cost))
            .then(sinks_m(one).total_cmp(&sinks_m(other)))
    });
    Ok(answer)
}

/// What each material retains on its own.
fn alone(plan: &PlanRequest, retentions: &[Retention]) -> Vec<Alone> {
    let items = plan.stock.iter().zip(retentions);
    items
        .map(|(item, retention)| Alone {
            material: item.sample.material.name.clone(),
            layer: Role::from_ingredient(&item.sample),
            kept: retention.kept,
        })
        .collect()
}

/// Whether an aim applies to a plan: without prices there is no cheapest.
fn is_worth(plan: &PlanRequest, aim: Aim) -> bool {
    let priced = |item: &StockItem| item.price.as_ref().is_some_and(|price| price.money > 0.0);
    match aim {
        Aim::Cheapest => plan.stock.iter().any(priced),
        Aim::SinksLeast => true,
        Aim::FeedsBest => {
            let mut items = plan.stock.iter();
            items.any(|item| Role::from_ingredient(&item.sample) == Role::Mixed)
        }
        Aim::UsesMost => plan.stock.iter().any(|item| item.price.is_none()),
    }
}

/// Adds a fill, or its aim to an equal one.
fn take_in(fills: &mut Vec<Fill>, fill: Fill) {
    let volumes = |fill: &Fill| -> Vec<(usize, f64)> {
        let put = fill.layers.iter().flat_map(|layer| &layer.put);
        put.map(|put| (put.hand, put.volume_m3)).collect()
    };
    let new = volumes(&fill);
    let whole: f64 = new.iter().map(|(_, m3)| m3).sum();
    let same = fills.iter_mut().find(|known| {
        let old = volumes(known);
        let of = |list: &[(usize, f64)], item: usize| {
            let found = list.iter().find(|(index, _)| *index == item);
            found.map_or(0.0, |(_, m3)| *m3)
        };
        let items = new.iter().chain(&old).map(|(item, _)| *item);
        items
            .into_iter()
            .all(|item| (of(&new, item) - of(&old, item)).abs() <= SAME * whole)
    });
    match same {
        Some(known) => known.aims.extend(fill.aims),
        None => fills.push(fill),
    }
}

/// How much thicker than over the base a volume lies in each layer of a mound; 1 with upright
/// sides.
fn narrowing(plan: &PlanRequest) -> Layers {
    let height_m = plan.height_m + plan.trench_m;
    let loose_m = (LOOSE * height_m).min(plan.shape.peak_m().unwrap_or(f64::INFINITY));
    let area_m2 = |height_m: f64| {
        let (width_m, length_m) = plan.shape.section_m(height_m);
        width_m * length_m
    };
    LIES_AT.map(|share| area_m2(0.0) / area_m2(share * loose_m))
}

/// All fills forecast on the way to an aim, or a shortfall. Between what is told of a fill and its
/// nominal forecast lies a shift, which the search allows for.
pub(super) fn search(
    plan: &PlanRequest,
    retentions: &[Retention],
    aim: Aim,
    mut layers: Layers,
    shift: Stands,
) -> Result<Result<Vec<Tried>, Shortfall>, Error> {
    let required = Goal {
        height_m: plan.height_m + plan.trench_m,
        soil_m: plan.soil_m,
    };
    let margin_m = |required_m: f64| if required_m > 0.0 { MARGIN_M } else { 0.0 };
    let goal = Goal {
        height_m: (required.height_m + MARGIN_M - shift.height_m).max(MARGIN_M),
        soil_m: (plan.soil_m + margin_m(plan.soil_m) - shift.soil_m).max(0.0),
    };
    let is_first = shift == Stands::default();
    let mut all: Vec<Tried> = Vec::new();
    let mut calm = false;
    for forecasts in 1..=FORECASTS {
        if forecasts == HOLD_FROM
            && let Some(from) = promising(plan, &all, aim)
        {
            let from = from.clone();
            layers = from.layers;
            all.push(from);
        }
        let is_held = forecasts >= HOLD_FROM;
        let parts = parts(plan, retentions, &layers, goal);
        // Only a shortfall at the start is one: later it comes from corrections, and as much is
        // put in as there is.
        if is_first && all.is_empty() && optimum::best(&parts, required, aim).is_none() {
            let lack = optimum::lack(&parts, required).ok_or(Error::Unsolved)?;
            return Ok(Err(short(plan, required, lack)));
        }
        let held = all.last().filter(|_| is_held);
        let held = held.and_then(|held| optimum::near(&parts, goal, &held.optimum));
        let Some(optimum) = held.or_else(|| nearest(&parts, goal, aim)) else {
            break;
        };
        let trial = Trial::new(plan, retentions, &optimum.depths_m);
        // The same again has the same forecast.
        if all.last().is_some_and(|last| last.trial == trial) {
            break;
        }
        let bed = trial.bed(plan);
        let forecast = match forecast(&bed, plan.after_months, &unwatched) {
            Ok(forecast) => forecast,
            // Too much for a mound: less of everything.
            Err(Error::NoRoom(_)) if forecasts < FORECASTS => {
                for share in &mut layers {
                    *share *= LESS;
                }
                calm = true;
                continue;
            }
            Err(Error::NoRoom(_)) if !all.is_empty() => break,
            Err(error) => return Err(error),
        };
        let stands = Stands::of(&trial, &forecast);
        let miss = Miss::new(plan, stands.plus(shift));
        let exact = corrected(layers, &parts, &optimum.depths_m, &trial, &forecast);
        let is_damped = !is_held && (calm || forecasts >= CALM_FROM);
        for (share, exact) in layers.iter_mut().zip(exact) {
            *share = if is_damped {
                0.5 * (*share + exact)
            } else {
                exact
            };
        }
        let gives = parts.iter().zip(&optimum.depths_m);
        all.push(Tried {
            aim,
            cost: cost(&buy(plan, retentions, &trial)),
            gives_kg: gives.map(|(part, depth_m)| part.gives_kg() * depth_m).sum(),
            trial,
            bed,
            forecast,
            optimum,
            stands,
            miss,
            intervals: None,
            layers: exact,
            forecasts,
        });
        if miss.meets() {
            break;
        }
    }
    Ok(Ok(all))
}

/// The best depths for an aim or, where what there is does not reach so far, as far as it reaches.
fn nearest(parts: &[Part], goal: Goal, aim: Aim) -> Option<Optimum> {
    /// Room for the rounding of the programme; m.
    const ROOM_M: f64 = 1e-6;
    optimum::best(parts, goal, aim).or_else(|| {
        let Lack { soil_m, fill_m } = optimum::lack(parts, goal)?;
        let within = Goal {
            height_m: goal.height_m - soil_m - fill_m - ROOM_M,
            soil_m: (goal.soil_m - soil_m - ROOM_M).max(0.0),
        };
        optimum::best(parts, within, aim)
    })
}

/// The parts of the linear programme.
fn parts(plan: &PlanRequest, retentions: &[Retention], layers: &[f64], goal: Goal) -> Vec<Part> {
    let area_m2 = plan.shape.area_m2();
    let items = plan.stock.iter().zip(retentions);
    items
        .map(|(item, retention)| {
            let role = Role::from_ingredient(&item.sample);
            let left_share = retention.kept * layers[role as usize];
            let plenty_m = PLENTY * goal.height_m / left_share;
            let stock_m = match item.supply {
                Supply::Plenty => plenty_m,
                Supply::Of(amount) => (retention.volume_m3(amount) / area_m2).min(plenty_m),
            };
            Part {
                role,
                compost: item.sample.material.mineral_share.best < COMPOST_MINERAL,
                left_share,
                most_m: stock_m,
                shares: (item.least, item.most),
                price_per_m: item
                    .price
                    .as_ref()
                    .map(|price| price.money * area_m2 / retention.volume_m3(price.per)),
                carbon_kg: retention.carbon_kg,
                nitrogen_kg: retention.nitrogen_kg,
            }
        })
        .collect()
}

/// The correction of each layer by its forecast thickness.
fn corrected(
    mut layers: Layers,
    parts: &[Part],
    depths_m: &[f64],
    trial: &Trial,
    forecast: &Forecast,
) -> Layers {
    let Some(end) = forecast.months.last() else {
        return layers;
    };
    for ((role, _), row) in trial.layers.iter().zip(&end.layers) {
        let here = parts.iter().zip(depths_m);
        let predicted_m: f64 = here
            .filter(|(part, _)| part.role == *role)
            .map(|(part, depth_m)| part.left_share * depth_m)
            .sum();
        let ratio = (row.thickness_m / predicted_m).clamp(1.0 / MOST_CHANGE, MOST_CHANGE);
        if ratio.is_finite() {
            layers[*role as usize] *= ratio;
        }
    }
    layers
}
