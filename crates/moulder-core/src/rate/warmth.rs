//! Ways of heat: how slices exchange it with their neighbours, the air and the ground.
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

/// A slice as heat sees it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct HeatWays {
    /// What it stores; kJ/K.
    pub stores_kj_per_k: f64,
    /// To the slice above, or from the top one to the air; kJ/(d K).
    pub up_kj_per_day_k: f64,
    /// To the air at its sides; kJ/(d K).
    pub side_kj_per_day_k: f64,
    /// To the ground below, for the lowest slice; kJ/(d K).
    pub ground_kj_per_day_k: f64,
}

impl<const L: usize> Stack<L> {
    /// The ways of heat of one lane, bottom first.
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
            let side_m2 =
                slice.sides.perimeter_m[lane] * measure.thickness_m * slice.sides.share[lane];
            let side = side_w_m2_k(
                slice.sides.wall_m[lane],
                slice.sides.quarter_width_m[lane],
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

    /// Temperature of the point in the ground that the bottom meets; degC.
    #[must_use]
    pub fn ground_c(&self, days: f64, lane: usize) -> f64 {
        let relative_depth = GROUND_DEPTH_M / self.parameters.yearly_damping_m[lane];
        self.ground
            .damped(self.filled_on_day + days, relative_depth)
    }
}
