//! Water store of a slice: inflow, drainage, evapotranspiration, exchange with wood.
//!
//! ```
#![doc = include_str!("../doc/soil_bed.md")]
//! # let mut measures = Vec::new();
//! # stack.measure(&state, 0.0, &mut measures);
//! let mut stores = Vec::new();
//! stack.stores(&measures, stack.weather.day(0.0), &mut stores);
//! let full_kg = stores[0].field_kg;
//! assert!(stores[0].flux(1.5 * full_kg, 0.0).drained > stores[0].flux(full_kg, 0.0).drained);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use crate::bed::measure::SliceMeasure;
use crate::bed::stack::Stack;
use crate::bed::state::State;
use crate::law::ventilation::{left_below, openness};
use crate::law::water::{
    drainage_and_slope, giving, giving_and_slope, rooting_share, tends_to_and_slope,
};
use crate::math::smooth::smooth_min_and_slope;
use crate::weather::Day;

/// Share of field capacity below which wood takes up little water (our own closure).
const DRY_SHARE: f64 = 0.001;

/// Water store of a slice under one day's weather.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Store {
    /// Field capacity; kg.
    pub field_kg: f64,
    /// Residual water that nothing extracts; kg.
    pub least_kg: f64,
    /// Rain received; kg/d.
    pub rain_kg_per_day: f64,
    /// Area open to the sky; m2.
    pub open_m2: f64,
    /// Share of the crop's roots.
    pub roots: f64,
    /// Evaporative demand of crop, air and wind; kg/d.
    pub demand_kg_per_day: f64,
    /// Share of the wind that reaches it.
    pub ventilation: f64,
    /// Evaporative demand of the wind; kg/d.
    pub wind_kg_per_day: f64,
    /// Time constant of drainage; d.
    pub drainage_days: f64,
    /// Dry mass of the wood; kg.
    pub wood_kg: f64,
    /// Basic specific gravity of the wood.
    pub wood_gravity: f64,
    /// Share of its saturation moisture that wood holds.
    pub wood_held: f64,
    /// Time constant of water exchange of the wood; d.
    pub drinking_days: f64,
}

/// Outflows of a store; kg/d.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flux {
    /// Drainage to the slice below, or out of the bed.
    pub drained: f64,
    /// Evapotranspiration, and evaporation by wind.
    pub taken: f64,
    /// Uptake by wood; negative when wood releases water.
    pub drunk: f64,
    /// Share of the demand that the store meets, apart from evaporation directly from wood; no
    /// rate, but computed with them.
    pub given: f64,
}

impl Store {
    /// Outflows at `water_kg` in the store and `wood_water_kg` in wood.
    #[inline]
    #[must_use]
    pub fn flux(&self, water_kg: f64, wood_water_kg: f64) -> Flux {
        self.flux_and_slope(water_kg, wood_water_kg).0
    }

    /// Outflows and their derivatives in the water of the store; kg/d and 1/d.
    #[must_use]
    pub fn flux_and_slope(&self, water_kg: f64, wood_water_kg: f64) -> (Flux, Flux) {
        let (drunk, drunk_slope) = self.drunk(water_kg, wood_water_kg);
        let (wind_loss, wind_loss_slope) = self.wind_loss(-drunk, -drunk_slope);
        let (drained, drained_slope) =
            drainage_and_slope(water_kg, self.field_kg, self.drainage_days);
        let over_kg = (self.field_kg - self.least_kg).max(1e-9);
        let (giving, giving_slope) = giving_and_slope((water_kg - self.least_kg) / over_kg);
        let demand = self.demand_kg_per_day - wind_loss;
        let flux = Flux {
            drained,
            taken: wind_loss + demand * giving,
            drunk,
            given: giving,
        };
        let slope = Flux {
            drained: drained_slope,
            taken: wind_loss_slope * (1.0 - giving) + demand * giving_slope / over_kg,
            drunk: drunk_slope,
            given: giving_slope / over_kg,
        };
        (flux, slope)
    }

    /// Evaporation by wind of the water `given` that wood releases, before it reaches the films;
    /// kg/d, and its slope. Bounded by `given` and by the demand of the wind.
    fn wind_loss(&self, given: f64, given_slope: f64) -> (f64, f64) {
        if given <= 0.0 || self.wind_kg_per_day <= 0.0 {
            return (0.0, 0.0);
        }
        // Smooth onset, at a hundredth of the wood's mass per time constant.
        let little = 0.01 * self.wood_kg / self.drinking_days;
        let sum = given + little;
        let reached = self.ventilation * given * given / sum;
        let reached_slope = self.ventilation * given * (given + 2.0 * little) / (sum * sum);
        let (wind_loss, slope) = smooth_min_and_slope(reached, self.wind_kg_per_day);
        (wind_loss, slope * reached_slope * given_slope)
    }

    /// Share of the demand that the store meets.
    #[inline]
    #[must_use]
    pub fn giving(&self, water_kg: f64) -> f64 {
        giving((water_kg - self.least_kg) / (self.field_kg - self.least_kg).max(1e-9))
    }

    /// Uptake by wood and its derivative in the water of the store.
    fn drunk(&self, water_kg: f64, wood_water_kg: f64) -> (f64, f64) {
        if self.wood_kg <= 0.0 {
            return (0.0, 0.0);
        }
        let field_kg = self.field_kg.max(1e-9);
        let wetness = water_kg / field_kg;
        let (tends_to, slope) = tends_to_and_slope(self.wood_gravity, wetness, self.wood_held);
        let drunk = (self.wood_kg * tends_to - wood_water_kg) / self.drinking_days;
        let slope = self.wood_kg * slope / field_kg / self.drinking_days;
        if drunk > 0.0 {
            // An empty store gives no water to wood.
            let dry_kg = DRY_SHARE * field_kg;
            let there = water_kg.max(0.0) / dry_kg;
            let left = 1.0 / (1.0 + there);
            (
                drunk * there * left,
                slope * there * left + drunk * left * left / dry_kg,
            )
        } else {
            (drunk, slope)
        }
    }
}

impl Stack {
    /// Stores of all slices for a day's weather, bottom first.
    pub fn stores(&self, measures: &[SliceMeasure], day: &Day, out: &mut Vec<Store>) {
        let parameters = &self.parameters;
        out.clear();
        // From the top down, with the remaining wind.
        let mut wind = 1.0;
        let mut widest_m2 = 0.0_f64;
        for (slice, measure) in self.slices.iter().zip(measures).rev() {
            // On a mound, rain also falls on the ring outside the slice above.
            let open_m2 = (measure.area_m2 - widest_m2).max(0.0);
            widest_m2 = widest_m2.max(measure.area_m2);
            let half_m = 0.5 * measure.thickness_m;
            let roots = rooting_share(
                measure.depth_m - half_m,
                measure.depth_m + half_m,
                parameters.rooting_m,
            );
            let side_m2 = slice.sides.area_m2(measure) * slice.sides.open;
            let mut ventilation = 0.0;
            if side_m2 > 0.0 {
                let filled = measure.fines_m3 / measure.gap_m3.max(f64::MIN_POSITIVE);
                // Leaves and clippings form mats, whatever their mean pore width.
                let woody = measure.wood_kg / measure.dry_kg.max(f64::MIN_POSITIVE);
                let open = woody * openness(measure.pore_m, filled);
                ventilation = open * wind;
                wind *= left_below(open, measure.thickness_m);
            }
            let wind_kg_per_day = parameters.side_factor * day.eto_mm * side_m2 * ventilation;
            out.push(Store {
                field_kg: measure.field_kg,
                // Material in full wind dries completely.
                least_kg: parameters.least_share * measure.field_kg * (1.0 - ventilation),
                rain_kg_per_day: day.rain_mm * open_m2,
                open_m2,
                roots,
                demand_kg_per_day: parameters.crop_factor * day.eto_mm * measure.area_m2 * roots
                    + wind_kg_per_day,
                ventilation,
                wind_kg_per_day,
                drainage_days: parameters.drainage_days,
                wood_kg: measure.wood_kg,
                wood_gravity: measure.wood_gravity,
                wood_held: parameters.wood_held,
                drinking_days: slice.drinking_days,
            });
        }
        // Rain received equals that on the outline of the bed.
        let catch_ratio = parameters.catch_m2 / widest_m2.max(f64::MIN_POSITIVE);
        for store in out.iter_mut() {
            store.open_m2 *= catch_ratio;
            store.rain_kg_per_day *= catch_ratio;
        }
        out.reverse();
    }

    /// Water and wood water of a slice; kg.
    #[must_use]
    pub fn held_kg(&self, state: &State, index: usize) -> (f64, f64) {
        let slots = &self.slices[index].slots;
        (state.rows[slots.water], state.rows[slots.wood_water])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A slice of stacked logs on a summer day.
    const LOGS: Store = Store {
        field_kg: 1.0,
        open_m2: 0.0,
        roots: 0.0,
        least_kg: 0.0,
        rain_kg_per_day: 0.0,
        demand_kg_per_day: 0.5,
        ventilation: 0.99,
        wind_kg_per_day: 0.4,
        drainage_days: 1.0,
        wood_kg: 80.0,
        wood_gravity: 0.6,
        wood_held: 0.6,
        drinking_days: 200.0,
    };

    #[test]
    fn wind_evaporation_is_bounded_by_wood_release() {
        for moisture in [0.151, 0.2, 0.3, 0.6, 0.9] {
            let windy = LOGS.flux(0.0, 80.0 * moisture);
            let given = -windy.drunk;
            assert!(
                windy.taken > 0.0 && windy.taken <= given.min(0.4),
                "{windy:?}"
            );
            let still = Store {
                ventilation: 0.0,
                wind_kg_per_day: 0.0,
                ..LOGS
            };
            assert!(still.flux(0.0, 80.0 * moisture).taken.abs() < 1e-12);
        }
        assert!(LOGS.flux(0.0, 80.0 * 0.3).taken > 0.9 * 80.0 * 0.15 / 200.0);
    }

    /// Derivatives match difference quotients in dry and wet stores, with and without wind.
    #[test]
    fn slopes_match_difference_quotients() {
        for moisture in [0.05, 0.2, 0.9] {
            for water_kg in [0.01, 0.2, 0.7, 0.99, 1.05, 2.0] {
                let at = |kg: f64| LOGS.flux(kg, 80.0 * moisture);
                let (_, slope) = LOGS.flux_and_slope(water_kg, 80.0 * moisture);
                let (less, more) = (at(water_kg - 1e-7), at(water_kg + 1e-7));
                for (slope, less, more) in [
                    (slope.drained, less.drained, more.drained),
                    (slope.taken, less.taken, more.taken),
                    (slope.drunk, less.drunk, more.drunk),
                    (slope.given, less.given, more.given),
                ] {
                    let quotient = (more - less) / 2e-7;
                    let off = (slope - quotient).abs();
                    assert!(off < 1e-5 * (1.0 + quotient.abs()), "{moisture} {water_kg}");
                }
            }
        }
    }

    /// Uptake never exceeds demand and increases with storage at any wood moisture; the implicit
    /// step relies on it.
    #[test]
    fn net_inflow_decreases_with_storage() {
        for moisture in [0.05, 0.16, 0.3, 0.8] {
            let mut before = f64::INFINITY;
            for i in 0..200 {
                let flux = LOGS.flux(f64::from(i) * 0.01, 80.0 * moisture);
                assert!(flux.taken <= LOGS.demand_kg_per_day);
                let gain = -flux.drained - flux.taken - flux.drunk;
                assert!(gain <= before + 1e-12, "{moisture} {i}");
                before = gain;
            }
        }
    }
}
