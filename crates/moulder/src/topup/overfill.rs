//! How high to heap a bed when it is filled, and how much to order for its losses.

mod intervals;

use serde::{Deserialize, Serialize};

use crate::bed::{Addition, Amount, Bed, Ingredient, Placement};
use crate::fault::error::Error;
use crate::forecast::notice::heap_stays_m;
use crate::forecast::progress::unwatched;
use crate::forecast::{Forecast, forecast};
use crate::library::material::{Material, wet_share};

pub use intervals::{OverfillIntervals, overfill_intervals};

/// Tolerance of the level; m.
const LEVEL_M: f64 = 5e-4;
/// Months in which tipped material settles most.
const TIPPING_MONTHS: usize = 1;
/// Months to the end of the first season.
const SEASON_MONTHS: usize = 8;
/// Most iterations of each loop.
const MOST_ROUNDS: u32 = 40;

/// An initial heap.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Overfill {
    /// Months after which it is level with the rim.
    pub months: u32,
    /// Additional thickness on the day of filling; m.
    pub more_m: f64,
    /// The same as loose volume; m3.
    pub more_m3: f64,
    /// Height above the rim on that day; m, negative below it.
    pub above_rim_m: f64,
    /// Largest height above the rim at which loose material stays on a bed of that width; m.
    pub most_above_rim_m: f64,
}

/// Volume to order beyond the room, by when it is lost.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Allowance {
    /// Lost within a month of tipping; m3.
    pub tipping_m3: f64,
    /// Lost in the rest of the first eight months; m3.
    pub first_season_m3: f64,
    /// Lost later, to the end of the forecast; m3.
    pub later_m3: f64,
    /// Volume of the bed as filled; m3.
    pub filled_m3: f64,
}

/// Heap of a material that makes a bed level with its rim after `months`. None for a mound,
/// which has no rim, and where the bed ends above its rim without one.
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
    // More material always ends higher: bracket the root, then regula falsi with a margin.
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

/// The bed with that addition on the day of filling.
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

/// Losses of a forecast by period; m3 of loose fill.
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
        filled_m3: bed.shape.volume_m3(0.0, start_m),
    }
}
