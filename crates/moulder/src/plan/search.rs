//! The search: amounts from the linear programme, forecast of the whole bed, correction.

use super::aim::Aim;
use super::answer::{Alone, Buy, Fill, FillLayer, Left, Plan, Put, Shortfall};
use super::answer::{SCHEMA_VERSION, WET_SHARE};
use super::optimum::{self, Goal, Optimum, Part};
use super::retention::Retention;
use super::role::Role;
use super::trial::{Measured, Trial};
use crate::bed::Bed;
use crate::bed::plan_request::{PlanRequest, Reported, StockItem, Supply};
use crate::fault::error::Error;
use crate::forecast::ENGINE;
use crate::forecast::calendar::month_day;
use crate::forecast::progress::{Progress, unwatched};
use crate::forecast::{Forecast, forecast};
use crate::model::compile::arrivals;
use crate::model::figures::Figures;
use crate::model::mixture::{Mixtures, Part as Mixed, amount_for_moisture, mixed_moisture};

/// Tolerance of the forecast against the requirement; m: what a tape measure resolves.
const NEAR_M: f64 = 0.01;
/// Tolerance of the search, so that rounding stays within the other; m.
const AIM_M: f64 = 0.003;
/// Most forecasts of one search.
const FORECASTS: u32 = 20;
/// From this forecast on corrections are damped, which ends oscillation between two sets of
/// materials.
const CALM_FROM: u32 = 6;
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
/// Leftovers below this share of the stock are not reported.
const CRUMBS: f64 = 0.05;

/// Plans fills for a request, or reports what is short.
///
/// # Errors
///
/// [`Error::Stopped`], a mound without room, or figures beyond what the solver can do.
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
    let of = u32::try_from(2 * aims.len() + plan.stock.len()).unwrap_or(u32::MAX);
    let mut so_far = 0;
    let mut report_progress = || {
        so_far += 1;
        if progress(so_far, of).is_break() {
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
        materials: plan
            .stock
            .iter()
            .zip(&retentions)
            .map(|(item, retention)| Alone {
                material: item.sample.material.name.clone(),
                layer: Role::from_ingredient(&item.sample),
                kept: retention.kept,
            })
            .collect(),
        fills: Vec::new(),
        shortfall: None,
        defaults: plan.defaults.clone(),
    };
    let mut tried: Vec<Tried> = Vec::new();
    for aim in &aims {
        match search(plan, &retentions, *aim, narrowing(plan))? {
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
            let found = search(plan, &retentions, *aim, layers)?;
            tried.extend(found.unwrap_or_default());
        }
        let best = best(plan, &tried, *aim).ok_or(Error::Unsolved)?;
        take_in(
            &mut answer.fills,
            report_fill(plan, &retentions, *aim, best)?,
        );
        report_progress()?;
    }
    // Fills within tolerance first, then the cheaper, then the one that settles less.
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

/// A fill with its forecast.
struct Tried {
    aim: Aim,
    trial: Trial,
    bed: Bed,
    forecast: Forecast,
    optimum: Optimum,
    /// Deviation from the requirement; m.
    off_m: f64,
    /// Correction of each layer against its materials on their own.
    layers: Layers,
    /// How many forecasts it took.
    forecasts: u32,
    /// What its packs cost.
    cost: f64,
    /// Net mineralisation of its mixed layer; kg/m2.
    gives_kg: f64,
}

/// A figure for each role.
type Layers = [f64; Role::ALL.len()];

/// The best for an aim, by forecast and whole packs: among those within tolerance, else the
/// nearest. None of none.
fn best<'t>(plan: &PlanRequest, tried: &'t [Tried], aim: Aim) -> Option<&'t Tried> {
    let near = |tried: &&Tried| tried.off_m <= NEAR_M;
    let rules = tried
        .iter()
        .filter(near)
        .map(|t| t.optimum.bent.len())
        .min();
    let Some(rules) = rules else {
        let own = tried.iter().filter(|tried| tried.aim == aim);
        return own.min_by(|one, other| one.off_m.total_cmp(&other.off_m));
    };
    let good = tried.iter().filter(near);
    let good = good.filter(|tried| tried.optimum.bent.len() == rules);
    good.min_by(|one, other| {
        let merit = |tried: &Tried| merit(plan, tried, aim);
        merit(one)
            .total_cmp(&merit(other))
            .then(sinks_m(one).total_cmp(&sinks_m(other)))
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

/// All fills forecast on the way to an aim, or a shortfall.
fn search(
    plan: &PlanRequest,
    retentions: &[Retention],
    aim: Aim,
    mut layers: Layers,
) -> Result<Result<Vec<Tried>, Shortfall>, Error> {
    let goal = Goal {
        height_m: plan.height_m + plan.trench_m,
        soil_m: plan.soil_m,
    };
    let mut all: Vec<Tried> = Vec::new();
    let mut calm = false;
    for forecasts in 1..=FORECASTS {
        let parts = parts(plan, retentions, &layers, goal);
        let Some(optimum) = optimum::best(&parts, goal, aim) else {
            // Only a shortfall at the start is one: later it comes from corrections, and the
            // nearest fill is kept.
            if !all.is_empty() {
                break;
            }
            let lack = optimum::lack(&parts, goal).ok_or(Error::Unsolved)?;
            return Ok(Err(short(plan, goal, lack)));
        };
        let trial = Trial::new(plan, retentions, &optimum.depths_m);
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
        let off_m = off(plan, &trial, &forecast);
        correct(
            &mut layers,
            &parts,
            &optimum.depths_m,
            &trial,
            &forecast,
            calm || forecasts >= CALM_FROM,
        );
        let gives = parts.iter().zip(&optimum.depths_m);
        all.push(Tried {
            aim,
            cost: buy(plan, retentions, &trial)
                .iter()
                .map(|buy| buy.cost)
                .sum(),
            gives_kg: gives.map(|(part, depth_m)| part.gives_kg() * depth_m).sum(),
            trial,
            bed,
            forecast,
            optimum,
            off_m,
            layers,
            forecasts,
        });
        if off_m <= AIM_M {
            break;
        }
    }
    Ok(Ok(all))
}

/// Deviation of a forecast from the requirement; m. More soil is allowed.
fn off(plan: &PlanRequest, trial: &Trial, forecast: &Forecast) -> f64 {
    let Some(end) = forecast.months.last() else {
        return f64::INFINITY;
    };
    let soil_m = plan.soil_m - soil_m(trial, forecast);
    (end.height_m - plan.height_m).abs().max(soil_m)
}

/// Depth of the growing soil at the end; m.
fn soil_m(trial: &Trial, forecast: &Forecast) -> f64 {
    let layers = trial.layers.iter();
    let soil = layers.map(|(role, _)| *role).position(|r| r == Role::Soil);
    let end = soil.and_then(|index| forecast.months.last()?.layers.get(index));
    end.map_or(0.0, |layer| layer.thickness_m)
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

/// Corrects each layer by its forecast thickness.
fn correct(
    layers: &mut [f64],
    parts: &[Part],
    depths_m: &[f64],
    trial: &Trial,
    forecast: &Forecast,
    calm: bool,
) {
    let Some(end) = forecast.months.last() else {
        return;
    };
    for ((role, _), row) in trial.layers.iter().zip(&end.layers) {
        let here = parts.iter().zip(depths_m);
        let predicted_m: f64 = here
            .filter(|(part, _)| part.role == *role)
            .map(|(part, depth_m)| part.left_share * depth_m)
            .sum();
        let ratio = (row.thickness_m / predicted_m).clamp(1.0 / MOST_CHANGE, MOST_CHANGE);
        if ratio.is_finite() {
            layers[*role as usize] *= if calm { 0.5 + 0.5 * ratio } else { ratio };
        }
    }
}

/// The shortfall as volumes.
fn short(plan: &PlanRequest, goal: Goal, lack: optimum::Lack) -> Shortfall {
    // An upper bound for a mound, which is narrower at its soil.
    let area_m2 = plan.shape.area_m2();
    Shortfall {
        soil_m3: lack.soil_m * area_m2,
        soil_m: lack.soil_m,
        fill_m3: lack.fill_m * area_m2,
        fill_m: lack.fill_m,
        reached_m: (goal.height_m - lack.soil_m - lack.fill_m - plan.trench_m).max(0.0),
    }
}

/// A fill with all that is reported of it.
fn report_fill(
    plan: &PlanRequest,
    retentions: &[Retention],
    aim: Aim,
    tried: &Tried,
) -> Result<Fill, Error> {
    let months = &tried.forecast.months;
    let (Some(start), Some(end)) = (months.first(), months.last()) else {
        return Err(Error::Unsolved);
    };
    let mixtures = Mixtures::of(&tried.bed)?;
    let layers: Vec<FillLayer> = tried
        .trial
        .layers
        .iter()
        .enumerate()
        .map(|(index, (role, put))| FillLayer {
            role: *role,
            put: put
                .iter()
                .map(|put| report_put(plan, retentions, put))
                .collect(),
            tipped_m: start.layers[index].thickness_m,
            stands_m: end.layers[index].thickness_m,
            mixture: mixtures.layers[index],
        })
        .collect();
    let buy = buy(plan, retentions, &tried.trial);
    Ok(Fill {
        aims: vec![aim],
        tipped_m: start.height_m,
        stands_m: end.height_m,
        soil_stands_m: soil_m(&tried.trial, &tried.forecast),
        on_the_mark: tried.off_m <= NEAR_M,
        forecasts: tried.forecasts,
        feeding: layers.iter().rposition(|layer| layer.role == Role::Mixed),
        water_l: water_l(&tried.bed, &tried.trial)?,
        total_mass_kg: months
            .iter()
            .map(|row| row.total_mass_kg)
            .fold(0.0, f64::max),
        cost: buy.iter().map(|buy| buy.cost).sum(),
        buy,
        left: left(plan, retentions, &tried.trial),
        bent: tried.optimum.bent.clone(),
        notices: tried.forecast.notices.clone(),
        bed: tried.trial.document(plan),
        layers,
    })
}

fn report_put(plan: &PlanRequest, retentions: &[Retention], put: &Measured) -> Put {
    let item = &plan.stock[put.hand];
    Put {
        hand: put.hand,
        material: item.sample.material.name.clone(),
        amount: put.text.clone(),
        volume_m3: put.volume_m3,
        total_mass_kg: put.volume_m3 * retentions[put.hand].total_mass_kg,
        measures: match &item.reported {
            Reported::Measure(name, held_m3) => Some((put.volume_m3 / held_m3, name.clone())),
            Reported::Volume | Reported::Weight => None,
        },
        bought: item.price.is_some(),
    }
}

/// Water to add while filling; L.
fn water_l(bed: &Bed, trial: &Trial) -> Result<f64, Error> {
    let water = Mixed {
        total_mass_kg: 1.0,
        moisture_wet: 1.0,
        carbon: 0.0,
        nitrogen: 0.0,
    };
    let arrived = arrivals(bed, Figures::nominal())?;
    let layers = trial.layers.iter().zip(&arrived);
    let dry = layers.filter(|((role, _), _)| matches!(role, Role::Mixed | Role::Card));
    let pour = dry.map(|(_, put)| {
        let parts: Vec<Mixed> = put
            .iter()
            .map(|arrival| Mixed {
                total_mass_kg: arrival.total_mass_kg(),
                moisture_wet: arrival.ingredient.moisture_wet,
                carbon: 0.0,
                nitrogen: 0.0,
            })
            .collect();
        let mixed = Mixed {
            total_mass_kg: parts.iter().map(|part| part.total_mass_kg).sum(),
            moisture_wet: mixed_moisture(&parts).unwrap_or(WET_SHARE),
            ..water
        };
        // Wetter mixtures need none. A litre of water weighs a kilogram.
        if mixed.moisture_wet < WET_SHARE {
            amount_for_moisture(&mixed, &water, WET_SHARE).unwrap_or(0.0)
        } else {
            0.0
        }
    });
    Ok(pour.sum())
}

/// Purchases, in whole packs.
fn buy(plan: &PlanRequest, retentions: &[Retention], trial: &Trial) -> Vec<Buy> {
    let put = trial.layers.iter().flat_map(|(_, put)| put);
    put.filter_map(|put| {
        let item = &plan.stock[put.hand];
        let price = item.price.as_ref()?;
        let per_m3 = retentions[put.hand].volume_m3(price.per);
        let packs = (put.volume_m3 / per_m3 - 1e-6).ceil().max(1.0);
        Some(Buy {
            material: item.sample.material.name.clone(),
            packs,
            per: price.per_text.clone(),
            cost: packs * price.money,
            spare_m3: (packs * per_m3 - put.volume_m3).max(0.0),
        })
    })
    .collect()
}

/// Stock left over.
fn left(plan: &PlanRequest, retentions: &[Retention], trial: &Trial) -> Vec<Left> {
    let used = |index: usize| -> f64 {
        let put = trial.layers.iter().flat_map(|(_, put)| put);
        put.filter(|put| put.hand == index)
            .map(|put| put.volume_m3)
            .sum()
    };
    let items = plan.stock.iter().zip(retentions).enumerate();
    items
        .filter_map(|(index, (item, retention))| {
            let Supply::Of(amount) = item.supply else {
                return None;
            };
            let stock_m3 = retention.volume_m3(amount);
            let volume_m3 = stock_m3 - used(index);
            (item.price.is_none() && volume_m3 > CRUMBS * stock_m3).then(|| Left {
                material: item.sample.material.name.clone(),
                volume_m3,
                total_mass_kg: volume_m3 * retention.total_mass_kg,
                by_weight: item.reported == Reported::Weight,
            })
        })
        .collect()
}
