//! All laws together as one system of ordinary differential equations.
//!
//! The fast path splits this system into its processes; the reference path
//! integrates it as it stands. Both call the same laws, so that what they differ by
//! is the error of time stepping alone.

use alloc::vec::Vec;

use crate::decay::{Law, Pool};
use crate::envelope::{MINERAL_DENSITY_KG_M3, volume_left_slope};
use crate::flow::{Flow, loose_m3};
use crate::measure::{SliceMeasure, piece_left};
use crate::settlement::stress_rate;
use crate::stack::{Gap, RELEASED, Stack};
use crate::state::State;
use crate::temperature::{day_mean, soft_factor, wood_factor};

/// Temperature factors of a slice at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warmth {
    /// For wood.
    pub wood: f64,
    /// For soft matter, soil and humus.
    pub soft: f64,
}

impl Warmth {
    /// The factor that a pool's law asks for.
    #[inline]
    #[must_use]
    pub fn by(self, law: Law) -> f64 {
        match law {
            Law::Wood => self.wood,
            Law::Soft => self.soft,
        }
    }
}

/// The numbers of the fines' gaps in a slice, weighted by the grains of each kind.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MixedGap {
    /// Exponent of load.
    pub load_exponent: f64,
    /// Reference stress; kPa.
    pub reference_kpa: f64,
    /// Exponent of first wetting.
    pub collapse: f64,
    /// Exponent of creep.
    pub creep_exponent: f64,
}

/// Room to work in, kept between calls.
#[derive(Debug, Clone, Default)]
pub struct Scratch {
    measures: Vec<SliceMeasure>,
    flows: Vec<Flow>,
}

impl<const L: usize> Stack<L> {
    /// Temperature factors `depth_m` below the surface, `days` after filling.
    #[inline]
    #[must_use]
    pub fn warmth(&self, days: f64, depth_m: f64, lane: usize) -> Warmth {
        let parameters = &self.parameters;
        let (mean_c, half_swing_c) = self.air.below(
            self.filled_on_day + days,
            depth_m,
            parameters.yearly_damping_m[lane],
            parameters.daily_damping_m[lane],
        );
        let q10 = parameters.q10_wood[lane];
        Warmth {
            wood: day_mean(mean_c, half_swing_c, |t| wood_factor(q10, t)),
            soft: day_mean(mean_c, half_swing_c, soft_factor),
        }
    }

    /// The mixed numbers of the fines' gaps in slice `index`.
    #[must_use]
    pub fn mixed_gap(&self, state: &State<L>, index: usize, lane: usize) -> MixedGap {
        let slots = &self.slices[index].slots;
        let mut sum = MixedGap::default();
        let mut weights = f64::MIN_POSITIVE;
        for (fine, fine_slots) in self.fines.iter().zip(&slots.fines) {
            let carbon_kg =
                crate::measure::fine_carbon_kg(fine_slots, fine.pools.len(), state, lane);
            let weight = state.rows[fine_slots.mineral][lane] / MINERAL_DENSITY_KG_M3
                + carbon_kg * fine.organic_per_carbon[lane] / fine.organic_density_kg_m3[lane];
            let Gap {
                load_exponent,
                reference_kpa,
                collapse,
                creep_exponent,
                ..
            } = &fine.gap;
            weights += weight;
            sum.load_exponent += weight * load_exponent[lane];
            sum.reference_kpa += weight * reference_kpa[lane];
            sum.collapse += weight * collapse[lane];
            sum.creep_exponent += weight * creep_exponent[lane];
        }
        MixedGap {
            load_exponent: sum.load_exponent / weights,
            reference_kpa: (sum.reference_kpa / weights).max(1e-3),
            collapse: sum.collapse / weights,
            creep_exponent: sum.creep_exponent / weights,
        }
    }

    /// The rates of change of every quantity, per day, `days` after filling.
    pub fn rates(&self, state: &State<L>, days: f64, out: &mut State<L>, scratch: &mut Scratch) {
        for row in &mut out.rows {
            *row = [0.0; L];
        }
        for lane in 0..L {
            self.measure(state, days, lane, &mut scratch.measures);
            for index in 0..self.slices.len() {
                self.rot_rates(state, days, index, &scratch.measures[index], out, lane);
                self.settling_rates(state, days, index, &scratch.measures[index], out, lane);
            }
            self.flows(state, &scratch.measures, lane, &mut scratch.flows);
            for flow in &scratch.flows {
                let giver = &scratch.measures[flow.from];
                let share = flow.m3_per_day / loose_m3(giver);
                let gone = |mobility: f64| share * mobility;
                self.add_fines(state, flow.from, flow.to, giver, out, lane, gone);
                self.add_fines(state, flow.from, flow.from, giver, out, lane, |m| -gone(m));
            }
        }
    }

    fn rot_rates(
        &self,
        state: &State<L>,
        days: f64,
        index: usize,
        measure: &SliceMeasure,
        out: &mut State<L>,
        lane: usize,
    ) {
        let slice = &self.slices[index];
        let slots = &slice.slots;
        let warmth = self.warmth(days, measure.depth_m, lane);
        let humus_loss =
            self.parameters.humus_rate_per_day[lane] * warmth.soft * state.rows[slots.humus][lane];
        let mut humus = -humus_loss;
        let mut released = humus_loss;
        let mut rot = |pool: &Pool<L>, slot: usize, out: &mut State<L>| {
            let loss = pool.rate_per_day[lane] * warmth.by(pool.law) * state.rows[slot][lane];
            out.rows[slot][lane] -= loss;
            humus += pool.humified[lane] * loss;
            released += (1.0 - pool.humified[lane]) * loss;
            loss
        };
        let mut weighted = 0.0;
        for piece in &slice.pieces {
            let mut loss = 0.0;
            for (i, pool) in piece.pools.iter().enumerate() {
                loss += rot(pool, piece.first_pool + i, out);
            }
            let left = piece_left(piece, state, lane);
            let shrinking =
                piece.fresh_envelope_m3[lane] * volume_left_slope(left, piece.lag[lane]) * loss
                    / piece.fresh_carbon_kg[lane];
            weighted += piece.void_closure[lane] * shrinking;
        }
        out.rows[slots.gap][lane] -=
            state.rows[slots.gap][lane] * weighted / measure.frame_m3.max(f64::MIN_POSITIVE);
        let mut fine_weighted = 0.0;
        for (fine, fine_slots) in self.fines.iter().zip(&slots.fines) {
            let mut loss = 0.0;
            for (i, pool) in fine.pools.iter().enumerate() {
                loss += rot(pool, fine_slots.first_pool + i, out);
            }
            fine_weighted += fine.void_closure[lane] * loss * fine.organic_per_carbon[lane]
                / fine.organic_density_kg_m3[lane];
        }
        out.rows[slots.fine_gap][lane] -= state.rows[slots.fine_gap][lane] * fine_weighted
            / measure.grains_m3.max(f64::MIN_POSITIVE);
        out.rows[slots.humus][lane] += humus;
        out.rows[RELEASED][lane] += released;
    }

    fn settling_rates(
        &self,
        state: &State<L>,
        days: f64,
        index: usize,
        measure: &SliceMeasure,
        out: &mut State<L>,
        lane: usize,
    ) {
        let slice = &self.slices[index];
        let slots = &slice.slots;
        let parameters = &self.parameters;
        let felt_kpa = state.rows[slots.stress][lane];
        let stress = stress_rate(measure.load_kpa, felt_kpa, parameters.stress_days[lane]);
        let wetting = (1.0 - state.rows[slots.wetted][lane]) / slice.wetting_days[lane];
        let creep = 1.0 / (days + parameters.creep_start_days[lane]);
        out.rows[slots.stress][lane] += stress;
        out.rows[slots.wetted][lane] += wetting;
        let gap = &slice.gap;
        out.rows[slots.gap][lane] -= state.rows[slots.gap][lane]
            * (gap.load_exponent[lane] * stress / (gap.reference_kpa[lane] + felt_kpa)
                + gap.collapse[lane] * wetting
                + gap.creep_exponent[lane] * creep);
        let mixed = self.mixed_gap(state, index, lane);
        out.rows[slots.fine_gap][lane] -= state.rows[slots.fine_gap][lane]
            * (mixed.load_exponent * stress / (mixed.reference_kpa + felt_kpa)
                + mixed.collapse * wetting
                + mixed.creep_exponent * creep);
    }
}
