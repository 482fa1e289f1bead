//! What is reported of a fill, and of a shortfall.

use super::aim::Aim;
use super::answer::{Buy, Fill, FillLayer, Left, Put, Shortfall, WET_SHARE};
use super::optimum::{self, Goal};
use super::retention::Retention;
use super::role::Role;
use super::trial::{Measured, Trial};
use super::tried::Tried;
use crate::bed::Bed;
use crate::bed::plan_request::{PlanRequest, Reported, Supply};
use crate::fault::error::Error;
use crate::model::compile::arrivals;
use crate::model::figures::Figures;
use crate::model::mixture::{Mixtures, Part as Mixed, amount_for_moisture, mixed_moisture};

/// Leftovers below this share of the stock are not reported.
const CRUMBS: f64 = 0.05;

/// The shortfall as volumes.
pub(super) fn short(plan: &PlanRequest, goal: Goal, lack: optimum::Lack) -> Shortfall {
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
pub(super) fn report_fill(
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
        soil_stands_m: tried.stands.soil_m,
        height_short_m: tried.miss.height_short_m(),
        soil_short_m: tried.miss.soil_short_m(),
        on_the_mark: tried.miss.is_near(),
        intervals: tried.intervals,
        forecasts: tried.forecasts,
        feeding: layers.iter().rposition(|layer| layer.role == Role::Mixed),
        water_l: water_l(&tried.bed, &tried.trial)?,
        total_mass_kg: months
            .iter()
            .map(|row| row.total_mass_kg)
            .fold(0.0, f64::max),
        cost: cost(&buy),
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

/// What purchases cost together.
pub(super) fn cost(buy: &[Buy]) -> f64 {
    // An empty sum of floats is minus zero.
    buy.iter().fold(0.0, |sum, buy| sum + buy.cost)
}

/// Purchases, in whole packs.
pub(super) fn buy(plan: &PlanRequest, retentions: &[Retention], trial: &Trial) -> Vec<Buy> {
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
