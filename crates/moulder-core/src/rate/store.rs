//! Water of a slice on its way: what comes, runs on, is taken, and is drunk by wood.
//!
//! ```
//! # use moulder_core::law::decay::Pool;
//! # use moulder_core::bed::parameters::Parameters;
//! # use moulder_core::law::season::Season;
//! # use moulder_core::bed::stack::{Fine, FineFill, Gap, Sides, SliceFill, Stack};
//! # use moulder_core::weather::{Day, EtoMethod, Weather};
//! # let gap = Gap {
//! #     min_void_ratio: [0.5],
//! #     load_exponent: [0.5],
//! #     reference_kpa: [2.0],
//! #     collapse: [0.3],
//! #     creep_exponent: [0.05],
//! # };
//! # let soil = Fine {
//! #     organic_density_kg_m3: [1400.0],
//! #     organic_per_carbon: [1.72],
//! #     field_capacity: [0.3],
//! #     void_closure: [1.0],
//! #     particle_size_m: [0.004],
//! #     gap: gap.clone(),
//! #     pools: vec![Pool { rate_per_day: [1e-4], humification_coefficient: [0.0], kept: [0.4] }],
//! # };
//! # let fill = SliceFill {
//! #     layer: 0,
//! #     area_m2: [1.0],
//! #     sides: Sides {
//! #         perimeter_m: [4.0],
//! #         share: [1.0],
//! #         wall_m: [0.02],
//! #         open: [1.0],
//! #         quarter_width_m: [0.25],
//! #     },
//! #     drinking_days: [200.0],
//! #     wetting_days: [2.0],
//! #     water_kg: [30.0],
//! #     wood_water_kg: [0.0],
//! #     temperature_c: [10.0],
//! #     gap,
//! #     mineral_nitrogen_kg: [0.004],
//! #     pieces: Vec::new(),
//! #     fines: vec![FineFill {
//! #         kind: 0,
//! #         mineral_kg: [200.0],
//! #         carbon_kg: vec![[4.0]],
//! #         nitrogen_kg: [0.36],
//! #         loose: [0.4],
//! #         held_by: None,
//! #     }],
//! #     excess_gap_m3: [0.0],
//! #     excess_fine_gap_m3: [0.03],
//! #     stress_kpa: [0.0],
//! #     wetted: [0.0],
//! # };
//! # let day = Day {
//! #     mean_c: 10.0,
//! #     half_swing_c: 4.0,
//! #     rain_mm: 2.0,
//! #     eto_mm: 1.5,
//! #     nitrogen_kg_m2: 0.0,
//! # };
//! # let weather = Weather::new(vec![day], EtoMethod::Hargreaves).ok_or("no weather")?;
//! # let (stack, state) = Stack::assemble(
//! #     vec![fill],
//! #     vec![soil],
//! #     Parameters::middle(),
//! #     weather,
//! #     Season::sinusoid(10.0, 7.0),
//! #     90.0,
//! # );
//! # let mut measures = Vec::new();
//! # stack.measure(&state, 0.0, 0, &mut measures);
//! let mut stores = Vec::new();
//! stack.stores(&measures, stack.weather.day(0.0), 0, &mut stores);
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

/// Share of field capacity below which wood finds little to drink (our own closure).
const LAST_SHARE: f64 = 0.001;

/// A slice's store of water under one day's weather.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Store {
    /// What it holds against drainage; kg.
    pub field_kg: f64,
    /// What nothing takes; kg.
    pub least_kg: f64,
    /// Rain that falls on it; kg/d.
    pub rain_kg_per_day: f64,
    /// Area that sees the sky; m2.
    pub open_m2: f64,
    /// Share of the crop's roots.
    pub roots: f64,
    /// What crop, air and wind would take; kg/d.
    pub demand_kg_per_day: f64,
    /// Share of the wind that reaches it.
    pub ventilation: f64,
    /// What wind would take; kg/d.
    pub wind_kg_per_day: f64,
    /// Time of drainage; d.
    pub drainage_days: f64,
    /// Dry mass of its wood; kg.
    pub wood_kg: f64,
    /// Gravity of that wood.
    pub wood_gravity: f64,
    /// Share of its largest moisture that wood holds.
    pub wood_held: f64,
    /// Time in which wood drinks; d.
    pub drinking_days: f64,
}

/// Where the water of a store goes; kg/d.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flux {
    /// Down to the slice below, or out.
    pub drained: f64,
    /// Up by crop and air, and aside by wind.
    pub taken: f64,
    /// Into its wood; negative when wood gives.
    pub drunk: f64,
    /// Share of wanted water that it gives, what wind takes straight off wood apart; no
    /// rate, but worked out with them.
    pub given: f64,
}

impl Store {
    /// Where water goes, with `water_kg` in the store and `wood_water_kg` in wood.
    #[inline]
    #[must_use]
    pub fn flux(&self, water_kg: f64, wood_water_kg: f64) -> Flux {
        self.flux_and_slope(water_kg, wood_water_kg).0
    }

    /// Where water goes, and how each way changes with the water in the store; kg/d and 1/d.
    #[must_use]
    pub fn flux_and_slope(&self, water_kg: f64, wood_water_kg: f64) -> (Flux, Flux) {
        let (drunk, drunk_slope) = self.drunk(water_kg, wood_water_kg);
        let (blown, blown_slope) = self.blown(-drunk, -drunk_slope);
        let (drained, drained_slope) =
            drainage_and_slope(water_kg, self.field_kg, self.drainage_days);
        let over_kg = (self.field_kg - self.least_kg).max(1e-9);
        let (giving, giving_slope) = giving_and_slope((water_kg - self.least_kg) / over_kg);
        let wanted = self.demand_kg_per_day - blown;
        let flux = Flux {
            drained,
            taken: blown + wanted * giving,
            drunk,
            given: giving,
        };
        let slope = Flux {
            drained: drained_slope,
            taken: blown_slope * (1.0 - giving) + wanted * giving_slope / over_kg,
            drunk: drunk_slope,
            given: giving_slope / over_kg,
        };
        (flux, slope)
    }

    /// What wind takes straight off of the `given` that wood gives a day, before it
    /// wets the films; kg/d. Never more than is given, nor than wind would take.
    fn blown(&self, given: f64, given_slope: f64) -> (f64, f64) {
        if given <= 0.0 || self.wind_kg_per_day <= 0.0 {
            return (0.0, 0.0);
        }
        // Begins without a kink: a hundredth of the wood's mass in its time is little.
        let little = 0.01 * self.wood_kg / self.drinking_days;
        let sum = given + little;
        let reached = self.ventilation * given * given / sum;
        let reached_slope = self.ventilation * given * (given + 2.0 * little) / (sum * sum);
        let (blown, slope) = smooth_min_and_slope(reached, self.wind_kg_per_day);
        (blown, slope * reached_slope * given_slope)
    }

    /// Share of wanted water that it gives.
    #[inline]
    #[must_use]
    pub fn giving(&self, water_kg: f64) -> f64 {
        giving((water_kg - self.least_kg) / (self.field_kg - self.least_kg).max(1e-9))
    }

    /// What wood drinks, and the slope of it by the water in the store.
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
            // Nothing is drunk from a store that has run dry.
            let last_kg = LAST_SHARE * field_kg;
            let there = water_kg.max(0.0) / last_kg;
            let left = 1.0 / (1.0 + there);
            (
                drunk * there * left,
                slope * there * left + drunk * left * left / last_kg,
            )
        } else {
            (drunk, slope)
        }
    }
}

impl<const L: usize> Stack<L> {
    /// The stores of one lane under a day's weather, bottom first.
    pub fn stores(&self, measures: &[SliceMeasure], day: &Day, lane: usize, out: &mut Vec<Store>) {
        let parameters = &self.parameters;
        out.clear();
        // From the top down, with what of the wind is left.
        let mut wind = 1.0;
        let mut widest_m2 = 0.0_f64;
        for (slice, measure) in self.slices.iter().zip(measures).rev() {
            // On a mound rain also falls on the ring that no slice covers.
            let open_m2 = (measure.area_m2 - widest_m2).max(0.0);
            widest_m2 = widest_m2.max(measure.area_m2);
            let half_m = 0.5 * measure.thickness_m;
            let roots = rooting_share(
                measure.depth_m - half_m,
                measure.depth_m + half_m,
                parameters.rooting_m[lane],
            );
            let side_m2 = slice.sides.perimeter_m[lane]
                * measure.thickness_m
                * slice.sides.share[lane]
                * slice.sides.open[lane];
            let mut ventilation = 0.0;
            if side_m2 > 0.0 {
                let filled = measure.fines_m3 / measure.gap_m3.max(f64::MIN_POSITIVE);
                // Leaves and clippings lie in mats, however wide their pores on the whole.
                let woody = measure.wood_kg / measure.dry_kg.max(f64::MIN_POSITIVE);
                let open = woody * openness(measure.pore_m, filled);
                ventilation = open * wind;
                wind *= left_below(open, measure.thickness_m);
            }
            let wind_kg_per_day = parameters.side_factor[lane] * day.eto_mm * side_m2 * ventilation;
            out.push(Store {
                field_kg: measure.field_kg,
                // What lies in the wind dries wholly.
                least_kg: parameters.least_share[lane] * measure.field_kg * (1.0 - ventilation),
                rain_kg_per_day: day.rain_mm * open_m2,
                open_m2,
                roots,
                demand_kg_per_day: parameters.crop_factor[lane]
                    * day.eto_mm
                    * measure.area_m2
                    * roots
                    + wind_kg_per_day,
                ventilation,
                wind_kg_per_day,
                drainage_days: parameters.drainage_days[lane],
                wood_kg: measure.wood_kg,
                wood_gravity: measure.wood_gravity,
                wood_held: parameters.wood_held[lane],
                drinking_days: slice.drinking_days[lane],
            });
        }
        // What falls on the bed is what falls on its outline, no more and no less.
        let caught = parameters.catch_m2[lane] / widest_m2.max(f64::MIN_POSITIVE);
        for store in out.iter_mut() {
            store.open_m2 *= caught;
            store.rain_kg_per_day *= caught;
        }
        out.reverse();
    }

    /// Water and wood water of a slice; kg.
    #[must_use]
    pub fn held_kg(&self, state: &State<L>, index: usize, lane: usize) -> (f64, f64) {
        let slots = &self.slices[index].slots;
        (
            state.rows[slots.water][lane],
            state.rows[slots.wood_water][lane],
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A slice of a stack of logs on a day in summer.
    const STACK: Store = Store {
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
    fn wind_takes_what_wood_gives_and_no_more() {
        for moisture in [0.151, 0.2, 0.3, 0.6, 0.9] {
            let windy = STACK.flux(0.0, 80.0 * moisture);
            let given = -windy.drunk;
            assert!(
                windy.taken > 0.0 && windy.taken <= given.min(0.4),
                "{windy:?}"
            );
            let still = Store {
                ventilation: 0.0,
                wind_kg_per_day: 0.0,
                ..STACK
            };
            assert!(still.flux(0.0, 80.0 * moisture).taken.abs() < 1e-12);
        }
        assert!(STACK.flux(0.0, 80.0 * 0.3).taken > 0.9 * 80.0 * 0.15 / 200.0);
    }

    /// The slopes are those of the fluxes, in dry and in wet stores, with and without wind.
    #[test]
    fn slopes_are_those_of_the_fluxes() {
        for moisture in [0.05, 0.2, 0.9] {
            for water_kg in [0.01, 0.2, 0.7, 0.99, 1.05, 2.0] {
                let at = |kg: f64| STACK.flux(kg, 80.0 * moisture);
                let (_, slope) = STACK.flux_and_slope(water_kg, 80.0 * moisture);
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

    /// Taking is never more than is wanted, and grows with what there is, however the
    /// wood stands: the implicit step relies on it.
    #[test]
    fn a_fuller_store_gains_less() {
        for moisture in [0.05, 0.16, 0.3, 0.8] {
            let mut before = f64::INFINITY;
            for i in 0..200 {
                let flux = STACK.flux(f64::from(i) * 0.01, 80.0 * moisture);
                assert!(flux.taken <= STACK.demand_kg_per_day);
                let gain = -flux.drained - flux.taken - flux.drunk;
                assert!(gain <= before + 1e-12, "{moisture} {i}");
                before = gain;
            }
        }
    }
}
