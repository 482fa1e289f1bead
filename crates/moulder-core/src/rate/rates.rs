//! All laws as one system of ordinary differential equations.
//!
//! The fast solver splits this system into processes; the reference solver integrates it whole.
//! Both call the same laws, so they differ by time discretisation alone.
//!
//! ```
#![doc = include_str!("../doc/soil_bed.md")]
//! use moulder_core::rate::rates::Scratch;
//! use moulder_core::bed::stack::RELEASED;
//! use moulder_core::bed::state::State;
//!
//! let mut rates = State::zeros(stack.quantities);
//! stack.rates(&state, 0.0, 0.0, &mut rates, &mut Scratch::default());
//! assert!(rates.rows[RELEASED] > 0.0, "soil respires");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use crate::bed::measure::{SliceMeasure, piece_left};
use crate::bed::stack::{CROPPED, DRAINED, EVAPORATED, FED, LEACHED, RELEASED, Stack, WATERED};
use crate::bed::state::State;
use crate::law::decay::{Fate, Pool};
use crate::law::envelope::{MINERAL_DENSITY_KG_M3, volume_left_slope};
use crate::law::heat::LATENT_KJ_PER_KG;
use crate::law::nitrogen::{NitrogenStore, Turnover, immobilised_at_once, supply};
use crate::law::settlement::stress_rate;
use crate::rate::flow::{Flow, loose_m3};
use crate::rate::rate_modifiers::RateModifiers;
use crate::rate::store::Store;
use crate::rate::warmth::HeatWays;
use crate::weather::Day;

/// Compression parameters of a slice's fines, averaged by grain volume.
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

/// Workspace, reused between calls.
#[derive(Debug, Clone, Default)]
pub struct Scratch {
    measures: Vec<SliceMeasure>,
    flows: Vec<Flow>,
    mobilities: Vec<f64>,
    rate_modifiers: RateModifiers,
    stores: Vec<Store>,
    ways: Vec<HeatWays>,
    nitrogen: Vec<NitrogenStore>,
    turnovers: Vec<Turnover>,
}

impl Stack {
    /// Mean compression parameters of the fines in slice `index`.
    #[must_use]
    pub fn mixed_gap(&self, state: &State, index: usize) -> MixedGap {
        let mut sum = MixedGap::default();
        let mut weights = f64::MIN_POSITIVE;
        for (fine, fine_slots) in self.fines_in(&self.slices[index]) {
            let carbon_kg =
                crate::bed::measure::fine_carbon_kg(fine_slots, fine.pools.len(), state);
            let weight = state.rows[fine_slots.mineral].max(0.0) / MINERAL_DENSITY_KG_M3
                + carbon_kg * fine.organic_per_carbon / fine.organic_density_kg_m3;
            let gap = &fine.gap;
            weights += weight;
            sum.load_exponent += weight * gap.load_exponent;
            sum.reference_kpa += weight * gap.reference_kpa;
            sum.collapse += weight * gap.collapse;
            sum.creep_exponent += weight * gap.creep_exponent;
        }
        MixedGap {
            load_exponent: sum.load_exponent / weights,
            reference_kpa: (sum.reference_kpa / weights).max(1e-3),
            collapse: sum.collapse / weights,
            creep_exponent: sum.creep_exponent / weights,
        }
    }

    /// Rates of change of all rows, per day, `days` after filling.
    ///
    /// `day_starts` selects the weather: a step that ends at midnight belongs to the day before.
    pub fn rates(
        &self,
        state: &State,
        days: f64,
        day_starts: f64,
        out: &mut State,
        scratch: &mut Scratch,
    ) {
        let day = *self.weather.day(day_starts);
        out.rows.fill(0.0);
        let Scratch {
            measures,
            flows,
            mobilities,
            rate_modifiers,
            stores,
            ways,
            nitrogen,
            turnovers,
        } = scratch;
        self.measure(state, days, measures);
        self.rate_modifiers(state, measures, &day, rate_modifiers);
        self.decay_rates(state, measures, &rate_modifiers.factors, out);
        self.stores(measures, &day, stores);
        self.water_rates(state, measures, stores, out);
        self.nitrogen_stores(state, measures, stores, &day, nitrogen);
        self.nitrogen_rates(
            state,
            &rate_modifiers.factors,
            stores,
            nitrogen,
            turnovers,
            out,
        );
        self.bioturbation_rates(state, measures, &rate_modifiers.factors, days, out);
        self.heat_ways(state, measures, ways);
        self.heat_rates(state, days, &day, rate_modifiers, stores, ways, out);
        for (index, measure) in measures.iter().enumerate() {
            self.settlement_rates(state, days, index, measure, out);
        }
        if let (Some(slopes), Some(mound)) = (&self.slopes, self.mound(state, measures)) {
            let run_m = state.rows[slopes.run];
            out.rows[slopes.run] += mound.run_m_per_day(run_m);
        }
        self.flows(state, measures, flows);
        for flow in flows.iter() {
            let source = &measures[flow.from];
            let share = flow.m3_per_day / loose_m3(source);
            self.mobilities(state, flow.from, source, mobilities);
            self.add_fines(state, flow.from, flow.to, out, share, mobilities);
            self.add_fines(state, flow.from, flow.from, out, -share, mobilities);
        }
    }

    fn decay_rates(
        &self,
        state: &State,
        measures: &[SliceMeasure],
        factors: &[f64],
        out: &mut State,
    ) {
        let mut at = 0;
        for (slice, measure) in self.slices.iter().zip(measures) {
            let slots = &slice.slots;
            let mut humus = 0.0;
            let mut released = 0.0;
            let mut decay = |pool: &Pool, slot: usize, factor: f64, out: &mut State| {
                let loss = pool.rate_per_day * factor * state.rows[slot];
                out.rows[slot] -= loss;
                if pool.fate == Fate::Colonised {
                    out.rows[slot + 1] += loss;
                    return 0.0;
                }
                humus += pool.humification_coefficient * loss;
                released += (1.0 - pool.humification_coefficient) * loss;
                loss
            };
            let mut weighted = 0.0;
            for piece in &slice.pieces {
                let mut loss = 0.0;
                for (i, pool) in piece.pools.iter().enumerate() {
                    loss += decay(pool, piece.first_pool + i, factors[at], out);
                }
                at += 1;
                let left = piece_left(piece, state);
                let shrinking = piece.fresh_envelope_m3 * volume_left_slope(left, piece.lag) * loss
                    / piece.fresh_carbon_kg.max(f64::MIN_POSITIVE);
                weighted += piece.void_closure * shrinking;
            }
            out.rows[slots.gap] -= state.rows[slots.gap] * weighted
                / measure.swollen_skeleton_m3.max(f64::MIN_POSITIVE);
            let mut fine_weighted = 0.0;
            for (fine, fine_slots) in self.fines_in(slice) {
                let mut loss = 0.0;
                for (i, pool) in fine.pools.iter().enumerate() {
                    // Integrators may evaluate slightly negative masses, which grains leave out.
                    loss += decay(pool, fine_slots.first_pool + i, factors[at], out).max(0.0);
                }
                at += 1;
                fine_weighted +=
                    fine.void_closure * loss * fine.organic_per_carbon / fine.organic_density_kg_m3;
            }
            out.rows[slots.fine_gap] -= state.rows[slots.fine_gap] * fine_weighted
                / measure.grains_m3.max(f64::MIN_POSITIVE);
            let humus_loss =
                self.parameters.humus_rate_per_day * factors[at] * state.rows[slots.humus];
            at += 1;
            out.rows[slots.humus] += humus - humus_loss;
            out.rows[RELEASED] += released + humus_loss;
        }
    }

    fn water_rates(
        &self,
        state: &State,
        measures: &[SliceMeasure],
        stores: &[Store],
        out: &mut State,
    ) {
        let mut from_above = 0.0;
        for (index, (store, measure)) in stores.iter().zip(measures).enumerate().rev() {
            let (water_kg, wood_water_kg) = self.held_kg(state, index);
            let flux = store.flux(water_kg, wood_water_kg);
            let slots = &self.slices[index].slots;
            let inflow = store.rain_kg_per_day + from_above;
            out.rows[slots.water] += inflow - flux.drained - flux.taken - flux.drunk;
            out.rows[slots.wood_water] += flux.drunk;
            out.rows[WATERED] += store.rain_kg_per_day;
            out.rows[EVAPORATED] += flux.taken;
            out.rows[slots.wetted] +=
                (1.0 - state.rows[slots.wetted]) * self.wetting_per_day(index, measure, inflow);
            from_above = flux.drained;
        }
        out.rows[DRAINED] += from_above;
    }

    /// Rate of first wetting of the dry share of a slice at an inflow of `inflow_kg_per_day`;
    /// 1/d.
    #[must_use]
    pub fn wetting_per_day(
        &self,
        index: usize,
        measure: &SliceMeasure,
        inflow_kg_per_day: f64,
    ) -> f64 {
        let whole_kg = self.parameters.wetting_share * measure.field_kg.max(1e-9);
        inflow_kg_per_day / whole_kg + 1.0 / self.slices[index].wetting_days
    }

    /// Mineralisation, immobilisation, crop uptake and transport with water.
    fn nitrogen_rates(
        &self,
        state: &State,
        factors: &[f64],
        stores: &[Store],
        nitrogen: &[NitrogenStore],
        turnovers: &mut Vec<Turnover>,
        out: &mut State,
    ) {
        let held = |index: usize| state.rows[self.slices[index].slots.mineral_nitrogen];
        let mut factors = factors;
        for (index, (slice, store)) in self.slices.iter().zip(nitrogen).enumerate() {
            let (own, others) = factors.split_at(self.factors_of(slice));
            factors = others;
            let row = slice.slots.mineral_nitrogen;
            let mineral_kg = held(index);
            let share = supply(mineral_kg, store.half_kg);
            self.turnovers(slice, state, own, turnovers);
            for turnover in turnovers.iter() {
                let demand = turnover.demand_kg_per_day;
                let mineralised = turnover.mineralised_per_day * state.rows[turnover.row];
                let own = immobilised_at_once(mineralised, demand);
                let immobilised = own + share * (demand - own);
                out.rows[turnover.row] -= mineralised;
                out.rows[turnover.into] += immobilised;
                out.rows[row] += mineralised - immobilised;
            }
            let taken = store.crop_kg_per_day * supply(mineral_kg, store.crop_half_kg);
            let (water_kg, wood_water_kg) = self.held_kg(state, index);
            let drained = stores[index].flux(water_kg, wood_water_kg).drained;
            let leached = mineral_kg * store.leached_per_kg * drained;
            out.rows[row] += store.came_kg_per_day - taken - leached;
            out.rows[FED] += store.came_kg_per_day;
            out.rows[CROPPED] += taken;
            match index.checked_sub(1) {
                Some(below) => {
                    let up = nitrogen[below].up_m3_per_day
                        * (held(below) / nitrogen[below].volume_m3 - mineral_kg / store.volume_m3);
                    let row_below = self.slices[below].slots.mineral_nitrogen;
                    out.rows[row_below] += leached - up;
                    out.rows[row] += up;
                }
                None => out.rows[LEACHED] += leached,
            }
        }
    }

    /// Humus exchange between neighbouring slices, and fines raised from one to the next.
    fn bioturbation_rates(
        &self,
        state: &State,
        measures: &[SliceMeasure],
        factors: &[f64],
        days: f64,
        out: &mut State,
    ) {
        let mut end = 0;
        let mut factor_below = None;
        for (index, slice) in self.slices.iter().enumerate() {
            end += self.factors_of(slice);
            let factor = factors[end - 1];
            if let (Some(below), Some(factor_below)) = (index.checked_sub(1), factor_below) {
                let between = 0.5 * (factor + factor_below);
                let exchange = self.exchange_m3_per_day(measures, below) * between;
                for (lower, upper) in self.humus_rows(below) {
                    let up = exchange
                        * (state.rows[lower] / measures[below].volume_m3
                            - state.rows[upper] / measures[index].volume_m3);
                    out.rows[lower] -= up;
                    out.rows[upper] += up;
                }
                let raised = self.raised_per_day(measures, below, days) * between;
                if raised > 0.0 {
                    for (lower, upper) in self.fines_rows(below) {
                        let up = raised * state.rows[lower];
                        out.rows[lower] -= up;
                        out.rows[upper] += up;
                    }
                }
            }
            factor_below = Some(factor);
        }
    }

    /// Heat of decay, latent heat and conduction.
    #[allow(clippy::too_many_arguments, reason = "couples all processes")]
    fn heat_rates(
        &self,
        state: &State,
        days: f64,
        day: &Day,
        rate_modifiers: &RateModifiers,
        stores: &[Store],
        ways: &[HeatWays],
        out: &mut State,
    ) {
        let at = |index: usize| state.rows[self.slices[index].slots.temperature];
        let ground_c = self.ground_c(days);
        for (index, slice) in self.slices.iter().enumerate() {
            let own = at(index);
            let way = &ways[index];
            let above_c = if index + 1 < ways.len() {
                at(index + 1)
            } else {
                day.mean_c
            };
            let mut heat = way.up_kj_per_day_k * (above_c - own)
                + way.side_kj_per_day_k * (day.mean_c - own)
                + way.ground_kj_per_day_k * (ground_c - own);
            if index > 0 {
                heat += ways[index - 1].up_kj_per_day_k * (at(index - 1) - own);
            }
            let made = rate_modifiers.slices[index].heat_kj_per_day();
            let water_kg = state.rows[slice.slots.water];
            let latent = made * self.parameters.latent_share * stores[index].giving(water_kg);
            heat += made - latent;
            let evaporated = latent / LATENT_KJ_PER_KG;
            out.rows[slice.slots.water] -= evaporated;
            out.rows[EVAPORATED] += evaporated;
            out.rows[slice.slots.temperature] += heat / way.stores_kj_per_k;
        }
    }

    fn settlement_rates(
        &self,
        state: &State,
        days: f64,
        index: usize,
        measure: &SliceMeasure,
        out: &mut State,
    ) {
        let slice = &self.slices[index];
        let slots = &slice.slots;
        let parameters = &self.parameters;
        let effective_kpa = state.rows[slots.stress];
        let stress = stress_rate(
            measure.vertical_stress_kpa,
            effective_kpa,
            parameters.stress_days,
        );
        // `water_rates` has already set the rate of wetting.
        let wetting = out.rows[slots.wetted];
        let creep = 1.0 / (days - slice.laid_days + parameters.creep_start_days);
        out.rows[slots.stress] += stress;
        let gap = &slice.gap;
        out.rows[slots.gap] -= state.rows[slots.gap]
            * (gap.load_exponent * stress / (gap.reference_kpa + effective_kpa)
                + gap.collapse * wetting
                + gap.creep_exponent * creep);
        let mixed = self.mixed_gap(state, index);
        out.rows[slots.fine_gap] -= state.rows[slots.fine_gap]
            * (mixed.load_exponent * stress / (mixed.reference_kpa + effective_kpa)
                + mixed.collapse * wetting
                + mixed.creep_exponent * creep);
    }
}
