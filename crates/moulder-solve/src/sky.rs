//! Water and heat through a part of a day, with volumes standing still.

use alloc::vec::Vec;

use moulder_core::conditions::Conditions;
use moulder_core::heat::LATENT_KJ_PER_KG;
use moulder_core::measure::SliceMeasure;
use moulder_core::stack::{DRAINED, EVAPORATED, Stack, WATERED};
use moulder_core::state::State;
use moulder_core::store::{Flux, Store};
use moulder_core::tridiagonal::Tridiagonal;
use moulder_core::warmth::HeatWays;
use moulder_core::weather::Day;

use crate::diary::SliceDiary;

/// Parts of a pass in which water is brought on.
const WATER_PARTS: u32 = 2;
/// The stage of an L-stable two-stage method of second order: `1 - 1/sqrt 2`.
const STAGE: f64 = 1.0 - core::f64::consts::FRAC_1_SQRT_2;

/// Room to work in, kept between passes.
#[derive(Debug, Clone, Default)]
pub(crate) struct Room {
    conditions: Conditions,
    before: Conditions,
    stores: Vec<Store>,
    ways: Vec<HeatWays>,
    system: Tridiagonal,
    warm: Vec<f64>,
}

/// One lane under the sky.
pub(crate) struct Sky<'a, const L: usize> {
    pub(crate) stack: &'a Stack<L>,
    pub(crate) measures: &'a [SliceMeasure],
    pub(crate) room: &'a mut Room,
    pub(crate) lane: usize,
}

impl<const L: usize> Sky<'_, L> {
    /// Brings water and heat on from `from` by `dt` of one day, and adds to the exposures.
    pub(crate) fn pass(
        &mut self,
        state: &mut State<L>,
        from: f64,
        dt: f64,
        exposures: &mut [[f64; L]],
        soaking: &mut [[f64; L]],
        diary: &mut [SliceDiary<L>],
    ) {
        let (stack, lane) = (self.stack, self.lane);
        let day = *stack.weather.day(from + 0.5 * dt);
        stack.stores(self.measures, &day, lane, &mut self.room.stores);
        stack.conditions(state, self.measures, &day, lane, &mut self.room.before);
        let part = dt / f64::from(WATER_PARTS);
        for _ in 0..WATER_PARTS {
            self.water(state, part, soaking);
        }
        self.heat(state, from, dt, &day);
        // The conditions at the end: with those at the start they give the mean.
        stack.conditions(state, self.measures, &day, lane, &mut self.room.conditions);
        let slices = stack.slices.iter().zip(&self.room.conditions.slices);
        for ((slice, conditions), diary) in slices.zip(diary) {
            let temperature_c = state.rows[slice.slots.temperature][lane];
            diary.note(lane, temperature_c, conditions.oxygen_percent, dt);
        }
        let factors = self
            .room
            .before
            .factors
            .iter()
            .zip(&self.room.conditions.factors);
        for (exposure, (before, after)) in exposures.iter_mut().zip(factors) {
            exposure[lane] += 0.5 * (before + after) * dt;
        }
    }

    /// Water, from the top down: each slice by an implicit method of two stages, fed by
    /// the stages of the slice above.
    fn water(&mut self, state: &mut State<L>, dt: f64, soaking: &mut [[f64; L]]) {
        let (stack, lane) = (self.stack, self.lane);
        let mut above = [0.0; 2];
        for (index, store) in self.room.stores.iter().enumerate().rev() {
            let (water, wood) = stack.held_kg(state, index, lane);
            let come = above.map(|drained| store.rain_kg_per_day + drained);
            let first = settle_store(store, water, wood, come[0], STAGE * dt);
            let net = |come: f64, flux: &Flux| come - flux.drained - flux.taken - flux.drunk;
            let half = water + (1.0 - STAGE) * dt * net(come[0], &first);
            let wood_half = wood + (1.0 - STAGE) * dt * first.drunk;
            let second = settle_store(store, half, wood_half, come[1], STAGE * dt);
            let mean = |one: f64, other: f64| ((1.0 - STAGE) * one + STAGE * other) * dt;
            let slots = &stack.slices[index].slots;
            let rows = &mut state.rows;
            let (taken, drunk) = (
                mean(first.taken, second.taken),
                mean(first.drunk, second.drunk),
            );
            let (drained, came) = (mean(first.drained, second.drained), mean(come[0], come[1]));
            rows[slots.water][lane] = water + came - drained - taken - drunk;
            rows[slots.wood_water][lane] = wood + drunk;
            rows[WATERED][lane] += store.rain_kg_per_day * dt;
            rows[EVAPORATED][lane] += taken;
            if index == 0 {
                rows[DRAINED][lane] += drained;
            }
            soaking[index][lane] +=
                stack.wetting_per_day(index, &self.measures[index], came / dt, lane) * dt;
            above = [first.drained, second.drained];
        }
    }

    /// Heat: the heat of rot by a trapezium over the step, conduction by two half steps
    /// of the implicit Euler method against one whole (Richardson), which stays smooth
    /// between thin slices.
    fn heat(&mut self, state: &mut State<L>, from: f64, dt: f64, day: &Day) {
        let (stack, lane) = (self.stack, self.lane);
        stack.heat_ways(state, self.measures, lane, &mut self.room.ways);
        let start: Vec<f64> = stack
            .slices
            .iter()
            .map(|slice| state.rows[slice.slots.temperature][lane])
            .collect();
        let made_before: Vec<f64> = self.made(true);
        // Share of the heat that evaporates water, by what each store still gives.
        let latent_shares: Vec<f64> = stack
            .slices
            .iter()
            .zip(&self.room.stores)
            .map(|(slice, store)| {
                let water_kg = state.rows[slice.slots.water][lane];
                stack.parameters.latent_share[lane] * store.giving(water_kg)
            })
            .collect();
        let kept_before: Vec<f64> = made_before
            .iter()
            .zip(&latent_shares)
            .map(|(made, latent)| made * (1.0 - latent))
            .collect();
        let predicted = self.conduct(&start, &kept_before, from, dt, day);
        for (slice, warm) in stack.slices.iter().zip(&predicted) {
            state.rows[slice.slots.temperature][lane] = *warm;
        }
        stack.conditions(state, self.measures, day, lane, &mut self.room.conditions);
        let made: Vec<f64> = made_before
            .iter()
            .zip(self.made(false))
            .map(|(before, after)| 0.5 * (before + after))
            .collect();
        let mut kept = made.clone();
        for (index, slice) in stack.slices.iter().enumerate() {
            let water_kg = state.rows[slice.slots.water][lane];
            let latent = made[index] * latent_shares[index];
            let evaporated = (latent * dt / LATENT_KJ_PER_KG).min(0.5 * water_kg);
            state.rows[slice.slots.water][lane] -= evaporated;
            state.rows[EVAPORATED][lane] += evaporated;
            kept[index] -= evaporated * LATENT_KJ_PER_KG / dt;
        }
        let warm = self.conduct(&start, &kept, from, dt, day);
        for (slice, warm) in stack.slices.iter().zip(warm) {
            state.rows[slice.slots.temperature][lane] = warm;
        }
    }

    /// Heat of rot of each slice under the conditions before or after; kJ/d.
    fn made(&self, before: bool) -> Vec<f64> {
        let conditions = if before {
            &self.room.before
        } else {
            &self.room.conditions
        };
        conditions
            .slices
            .iter()
            .map(moulder_core::conditions::SliceConditions::heat_kj_per_day)
            .collect()
    }

    fn conduct(&mut self, start: &[f64], gain: &[f64], from: f64, dt: f64, day: &Day) -> Vec<f64> {
        let whole = self.implicit(start, gain, from + dt, dt, day);
        let half = self.implicit(start, gain, from + 0.5 * dt, 0.5 * dt, day);
        let halves = self.implicit(&half, gain, from + dt, 0.5 * dt, day);
        halves
            .iter()
            .zip(&whole)
            .map(|(fine, coarse)| 2.0 * fine - coarse)
            .collect()
    }

    /// One implicit Euler step of conduction with a steady gain.
    fn implicit(&mut self, start: &[f64], gain: &[f64], at: f64, dt: f64, day: &Day) -> Vec<f64> {
        let ground_c = self.stack.ground_c(at, self.lane);
        let Room {
            ways, system, warm, ..
        } = &mut *self.room;
        system.clear();
        let last = ways.len().saturating_sub(1);
        for (i, way) in ways.iter().enumerate() {
            let stores = way.stores_kj_per_k / dt;
            let below = if i == 0 {
                0.0
            } else {
                ways[i - 1].up_kj_per_day_k
            };
            let to_air = way.side_kj_per_day_k + if i == last { way.up_kj_per_day_k } else { 0.0 };
            system.push(
                -below,
                stores
                    + below
                    + way.up_kj_per_day_k
                    + way.side_kj_per_day_k
                    + way.ground_kj_per_day_k,
                if i == last { 0.0 } else { -way.up_kj_per_day_k },
                stores * start[i]
                    + gain[i]
                    + to_air * day.mean_c
                    + way.ground_kj_per_day_k * ground_c,
            );
        }
        warm.clear();
        warm.extend_from_slice(system.solve());
        warm.clone()
    }
}

/// Where water goes at the end of an implicit stage of `dt` that starts from `water`:
/// the root of `w = water + dt (come - drained - taken - drunk)`, by Newton with a
/// difference quotient; the right side falls with w, so there is one root.
fn settle_store(store: &Store, water: f64, wood: f64, come: f64, dt: f64) -> Flux {
    const MOST_ROUNDS: u32 = 50;
    let flux_at = |w: f64| {
        let wood_end = wood;
        store.flux(w, wood_end)
    };
    let excess = |w: f64| {
        let flux = flux_at(w);
        w - water - dt * (come - flux.drained - flux.taken - flux.drunk)
    };
    let scale = store.field_kg.max(1e-6);
    let step = 1e-7 * scale;
    let mut w = water.max(0.0);
    for _ in 0..MOST_ROUNDS {
        let value = excess(w);
        let slope = ((excess(w + step) - value) / step).max(1.0);
        let next = (w - value / slope).max(0.0);
        let moved = (next - w).abs();
        w = next;
        if moved < 1e-12 * scale {
            break;
        }
    }
    flux_at(w)
}
