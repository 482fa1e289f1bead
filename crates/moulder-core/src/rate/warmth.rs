//! Thermal conductances between slices, air and ground.
//!
//! ```
#![doc = include_str!("../doc/soil_bed.md")]
//! # let mut measures = Vec::new();
//! # stack.measure(&state, 0.0, 0, &mut measures);
//! let mut ways = Vec::new();
//! stack.heat_ways(&state, &measures, 0, &mut ways);
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

impl<const L: usize> Stack<L> {
    /// Conductances of one lane, bottom first.
    pub fn heat_ways(
        &self,
        state: &State<L>,
        measures: &[SliceMeasure],
        lane: usize,
        out: &mut Vec<HeatWays>,
    ) {
        let conductivity = |i: usize| {
            let slots = &self.slices[i].slots;
            let water_kg = state.rows[slots.water][lane] + state.rows[slots.wood_water][lane];
            let volume_m3 = measures[i].volume_m3;
            conductivity_w_m_k(
                water_kg / 1000.0 / volume_m3,
                measures[i].mineral_m3 / volume_m3,
            )
        };
        let half = |i: usize| 0.5 * measures[i].thickness_m / conductivity(i);
        out.clear();
        for (i, (slice, measure)) in self.slices.iter().zip(measures).enumerate() {
            let water_kg =
                state.rows[slice.slots.water][lane] + state.rows[slice.slots.wood_water][lane];
            let outward = if i + 1 < measures.len() {
                half(i + 1)
            } else {
                1.0 / FILM_W_M2_K
            };
            let side_m2 = slice.sides.area_m2(measure, lane);
            let side = side_w_m2_k(
                slice.sides.wall_m[lane],
                slice.sides.quarter_width_m[lane] * measure.widening,
                conductivity(i),
            );
            let ground = if i == 0 {
                measure.area_m2 / (half(0) + GROUND_DEPTH_M / GROUND_W_M_K)
            } else {
                0.0
            };
            out.push(HeatWays {
                stores_kj_per_k: measure.dry_kj_per_k
                    + WATER_KJ_PER_KG_K * water_kg
                    + LEAST_STORE_KJ_M2_K * measure.area_m2,
                up_kj_per_day_k: KJ_PER_DAY_W * measure.area_m2 / (half(i) + outward),
                side_kj_per_day_k: KJ_PER_DAY_W * side * side_m2,
                ground_kj_per_day_k: KJ_PER_DAY_W * ground,
            });
        }
    }

    /// Ground temperature at the lower boundary; degC.
    #[must_use]
    pub fn ground_c(&self, days: f64, lane: usize) -> f64 {
        let relative_depth = GROUND_DEPTH_M / self.parameters.yearly_damping_m[lane];
        self.ground
            .damped(self.filled_on_day + days, relative_depth)
    }
}
