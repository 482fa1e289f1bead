//! Thermal conductances between slices, air and ground.
//!
//! ```
#![doc = include_str!("../doc/soil_bed.md")]
//! # let mut measures = Vec::new();
//! # stack.measure(&state, 0.0, &mut measures);
//! let mut ways = Vec::new();
//! stack.heat_ways(&state, &measures, &mut ways);
//! assert!(ways[0].stores_kj_per_k > 0.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use crate::bed::measure::SliceMeasure;
use crate::bed::stack::Stack;
use crate::bed::state::State;
use crate::law::heat::{
    FILM_W_M2_K, GROUND_DEPTH_M, GROUND_W_M_K, KJ_PER_DAY_W, LEAST_STORE_KJ_M2_K,
    WATER_KJ_PER_KG_K, conductivity_w_m_k, side_w_m2_k,
};

/// Heat capacity and conductances of a slice.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct HeatWays {
    /// Heat capacity; kJ/K.
    pub stores_kj_per_k: f64,
    /// To the slice above, or from the top slice to the air; kJ/(d K).
    pub up_kj_per_day_k: f64,
    /// Through the sides to the air; kJ/(d K).
    pub side_kj_per_day_k: f64,
    /// From the lowest slice to the ground; kJ/(d K).
    pub ground_kj_per_day_k: f64,
}

impl Stack {
    /// Conductances of all slices, bottom first.
    pub fn heat_ways(&self, state: &State, measures: &[SliceMeasure], out: &mut Vec<HeatWays>) {
        let held_kg = |i: usize| {
            let slots = &self.slices[i].slots;
            state.rows[slots.water] + state.rows[slots.wood_water]
        };
        // Conductivity, and resistance from the middle of a slice to its face.
        let conducts = |i: usize| {
            let volume_m3 = measures[i].volume_m3;
            let conductivity = conductivity_w_m_k(
                held_kg(i) / 1000.0 / volume_m3,
                measures[i].mineral_m3 / volume_m3,
            );
            (conductivity, 0.5 * measures[i].thickness_m / conductivity)
        };
        out.clear();
        let mut outward = 1.0 / FILM_W_M2_K;
        for (i, (slice, measure)) in self.slices.iter().zip(measures).enumerate().rev() {
            let (conductivity, half) = conducts(i);
            let side_m2 = slice.sides.area_m2(measure);
            let side = side_w_m2_k(
                slice.sides.wall_m,
                slice.sides.quarter_width_m * measure.widening,
                conductivity,
            );
            let ground = if i == 0 {
                measure.area_m2 / (half + GROUND_DEPTH_M / GROUND_W_M_K)
            } else {
                0.0
            };
            out.push(HeatWays {
                stores_kj_per_k: measure.dry_kj_per_k
                    + WATER_KJ_PER_KG_K * held_kg(i)
                    + LEAST_STORE_KJ_M2_K * measure.area_m2,
                up_kj_per_day_k: KJ_PER_DAY_W * measure.area_m2 / (half + outward),
                side_kj_per_day_k: KJ_PER_DAY_W * side * side_m2,
                ground_kj_per_day_k: KJ_PER_DAY_W * ground,
            });
            outward = half;
        }
        out.reverse();
    }

    /// Ground temperature at the lower boundary; degC.
    #[must_use]
    pub fn ground_c(&self, days: f64) -> f64 {
        let relative_depth = GROUND_DEPTH_M / self.parameters.yearly_damping_m;
        self.ground
            .damped(self.filled_on_day + days, relative_depth)
    }
}
