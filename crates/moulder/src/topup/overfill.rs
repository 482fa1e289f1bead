//! How high to heap a bed at the start, and how much to order for what it will lose.

mod intervals;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::bed::{Addition, Amount, Bed, Ingredient, Placement};
use crate::fault::error::Error;
use crate::forecast::notice::heap_stays_m;
use crate::forecast::progress::unwatched;
use crate::forecast::{Forecast, forecast};
use crate::library::material::{Material, wet_share};

pub use intervals::{OverfillIntervals, overfill_bands};

/// How close to level is level; m.
const LEVEL_M: f64 = 5e-4;
/// Months in which what is tipped in settles.
const TIPPING_MONTHS: usize = 1;
/// Months to the end of the first season.
const SEASON_MONTHS: usize = 8;
/// Rounds of the search; each halves what is left at the least.
const MOST_ROUNDS: u32 = 40;

/// How high to heap a bed when it is filled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Overfill {
    /// Months after which it is level with the rim.
    pub months: u32,
    /// How much more to lay on when it is filled; m.
    pub more_m: f64,
    /// The same as loose volume; m3.
    pub more_m3: f64,
    /// How far it then stands above the rim at the start; m, negative below it.
    pub above_rim_m: f64,
    /// The most that loose stuff stays above the rim of a bed as wide; m.
    pub most_above_rim_m: f64,
}

/// What to order beyond the room there is, by when it is lost.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Allowance {
    /// Lost within a month of tipping; m3.
    pub tipping_m3: f64,
    /// Lost in the rest of the first eight months; m3.
    pub first_season_m3: f64,
    /// Lost later, to the end of the forecast; m3.
    pub later_m3: f64,
}

/// How high to heap a bed with a material so that it is level with the rim after `months`.
/// None for a mound, which has no rim, and where the bed stands above it by then anyway.
///
/// # Errors
///
/// As [`forecast`].
pub fn overfill(bed: &Bed, material: &Material, months: u32) -> Result<Option<Overfill>, Error> {
    let below_m = |more_m3: f64| -> Result<Option<[f64; 2]>, Error> {
        let forecast = forecast(&heaped(bed, material, more_m3), months, &unwatched)?;
        let ends = forecast.months.first().zip(forecast.months.last());
        Ok(ends
            .and_then(|(first, last)| first.below_rim_m.zip(last.below_rim_m))
            .map(|(first, last)| [first, last]))
    };
    let Some([start_m, end_m]) = below_m(0.0)? else {
        return Ok(None);
    };
    if end_m < LEVEL_M {
        return Ok(None);
    }
    let area_m2 = bed.shape.area_m2();
    // More on top always ends higher: a bracket that holds the answer, then its halves, or
    // less where a straight line tells better.
    let (mut low_m3, mut low_below) = (0.0, end_m);
    let mut high_m3 = 1.5 * end_m * area_m2;
    let mut high_below = end_m;
    for _ in 0..MOST_ROUNDS {
        high_below = below_m(high_m3)?.map_or(0.0, |[_, end]| end);
        if high_below <= 0.0 {
            break;
        }
        (low_m3, low_below) = (high_m3, high_below);
        high_m3 *= 2.0;
    }
    let mut more_m3 = high_m3;
    let mut first_m = start_m;
    for _ in 0..MOST_ROUNDS {
        let line = low_m3 + (high_m3 - low_m3) * low_below / (low_below - high_below);
        let margin = 0.05 * (high_m3 - low_m3);
        more_m3 = line.clamp(low_m3 + margin, high_m3 - margin);
        let Some([first, end]) = below_m(more_m3)? else {
            return Ok(None);
        };
        first_m = first;
        if end.abs() < LEVEL_M {
            break;
        }
        if end > 0.0 {
            (low_m3, low_below) = (more_m3, end);
        } else {
            (high_m3, high_below) = (more_m3, end);
        }
    }
    Ok(Some(Overfill {
        months,
        more_m: start_m - first_m,
        more_m3,
        above_rim_m: -first_m,
        most_above_rim_m: heap_stays_m(bed),
    }))
}

/// The bed with so much more laid on it on the day it is filled.
fn heaped(bed: &Bed, material: &Material, more_m3: f64) -> Bed {
    let mut heaped = bed.clone();
    if more_m3 > 0.0 {
        let ingredient = Ingredient {
            amount: Amount::VolumeM3(more_m3),
            placement: Placement::Loose,
            particle_size_m: material.particle_size.best,
            moisture_wet: wet_share(&material.moisture),
            rotten: 0.0,
            material: material.clone(),
        };
        heaped.additions.insert(
            0,
            Addition {
                on: bed.filled,
                ingredient,
            },
        );
    }
    heaped
}

/// What a forecast loses, by when; m3 of loose fill.
#[must_use]
pub fn allowance(bed: &Bed, forecast: &Forecast) -> Allowance {
    let last = forecast.months.len().saturating_sub(1);
    let start_m = forecast.months.first().map_or(0.0, |row| row.height_m) + bed.trench_m;
    let settlement_m3 = |month: usize| {
        let row = forecast.months.get(month.min(last));
        let settlement_m = row.map_or(0.0, |row| row.settlement_m);
        bed.shape.volume_m3(start_m - settlement_m, start_m)
    };
    Allowance {
        tipping_m3: settlement_m3(TIPPING_MONTHS),
        first_season_m3: settlement_m3(SEASON_MONTHS) - settlement_m3(TIPPING_MONTHS),
        later_m3: settlement_m3(last) - settlement_m3(SEASON_MONTHS),
    }
}
