//! Water, heat and nitrogen over part of a day, at constant volumes.

use alloc::vec::Vec;

use moulder_core::bed::measure::SliceMeasure;
use moulder_core::bed::stack::{CROPPED, DRAINED, EVAPORATED, FED, LEACHED, Stack, WATERED};
use moulder_core::bed::state::State;
use moulder_core::law::decay::{Fate, Pool};
use moulder_core::law::heat::LATENT_KJ_PER_KG;
use moulder_core::law::nitrogen::{NitrogenStore, Turnover, immobilised_at_once, uptake_kg};
use moulder_core::math::elementary::exp;
use moulder_core::math::tridiagonal::Tridiagonal;
use moulder_core::rate::rate_modifiers::{RateModifiers, SliceRateModifiers};
use moulder_core::rate::store::{Flux, Store};
use moulder_core::rate::warmth::HeatWays;
use moulder_core::weather::Day;

use crate::month_log::SliceMonthLog;
use crate::schedule::StepSchedule;

/// Stage coefficient of the L-stable two-stage method of second order: `1 - 1/sqrt 2`.
const STAGE: f64 = 1.0 - core::f64::consts::FRAC_1_SQRT_2;

/// Workspace, reused between passes.
#[derive(Debug, Clone, Default)]
pub(crate) struct Workspace {
    rate_modifiers: RateModifiers,
    before: RateModifiers,
    /// At the midpoint of a pass.
    middle: RateModifiers,
    /// Water, wood water and temperature of each slice at the midpoint of a pass.
    midpoint: Vec<[f64; 3]>,
    stores: Vec<Store>,
    /// Stores under the weather of a part of a long pass.
    spell_stores: Vec<Store>,
    ways: Vec<HeatWays>,
    system: Tridiagonal,
    /// Heat of decay at the start of a pass; kJ/d.
    made: Vec<f64>,
    /// Time integral of the share of demand met by each store in a pass; d.
    given_days: Vec<f64>,
    /// Leaching of each slice's mineral nitrogen in a pass, as the negative logarithm of the
    /// share left.
    leached: Vec<f64>,
    /// Volume of solution that each pair of slices exchanges in half a pass; m3.
    exchanged_m3: Vec<f64>,
    nitrogen: Vec<NitrogenStore>,
    turnovers: Vec<Turnover>,
    /// Rate modifiers of the pass.
    factors: Vec<f64>,
    /// Share of the heat of decay that evaporates water in a pass.
    latent_shares: Vec<f64>,
    /// Rate of change of the heat of decay in the previous pass; kJ/d2. Kept between steps.
    trends: Vec<f64>,
    /// Sensible heat in each slice; kJ/d.
    kept: Vec<f64>,
    start_c: Vec<f64>,
    coarse_c: Vec<f64>,
    half_c: Vec<f64>,
    fine_c: Vec<f64>,
    /// Exposures already applied to the pools of the state.
    decayed_days: Vec<f64>,
}

/// A pass of weather over a bed.
pub(crate) struct WeatherStep<'a> {
    pub(crate) stack: &'a Stack,
    pub(crate) measures: &'a [SliceMeasure],
    pub(crate) workspace: &'a mut Workspace,
    /// Whether this is the first pass of a step.
    pub(crate) is_first: bool,
    /// See [`StepSchedule::meets_middle`](crate::schedule::StepSchedule::meets_middle).
    pub(crate) meets_middle: bool,
}

impl WeatherStep<'_> {
    /// Advances water and heat by `dt` from `from`, under the mean weather of that time, and adds
    /// to the exposures.
    ///
    /// Pools in `state` decay with the exposures, since their heat does.
    pub(crate) fn pass(
        &mut self,
        state: &mut State,
        from: f64,
        dt: f64,
        exposures: &mut [f64],
        wetting_exposures: &mut [f64],
        month_log: &mut [SliceMonthLog],
    ) {
        let stack = self.stack;
        // A little less, as a pass that ends at midnight has nothing of the next day.
        let day = stack.weather.mean_over(from + 1e-9, from + dt - 1e-9);
        stack.stores(self.measures, &day, &mut self.workspace.stores);
        // The modifiers at the end of the last pass serve as those at the start of this one, up
        // to higher order; a step recomputes them after decay and fines migration.
        if self.is_first {
            stack.rate_modifiers(state, self.measures, &day, &mut self.workspace.before);
            self.is_first = false;
        } else {
            core::mem::swap(
                &mut self.workspace.before,
                &mut self.workspace.rate_modifiers,
            );
        }
        self.begin_water();
        if self.meets_middle {
            self.water(state, 0.5 * dt, wetting_exposures);
            self.store_midpoint_water(state);
        } else {
            self.water_by_spells(state, from, dt, wetting_exposures);
        }
        // At the water content of the midpoint, in realisations of the end.
        stack.heat_ways(state, self.measures, &mut self.workspace.ways);
        let workspace = &mut *self.workspace;
        let (stores, nitrogen) = (&workspace.stores, &mut workspace.nitrogen);
        stack.nitrogen_stores(state, self.measures, stores, &day, nitrogen);
        if self.meets_middle {
            self.water(state, 0.5 * dt, wetting_exposures);
        }
        self.heat(state, from, dt, &day, exposures);
        let workspace = &mut *self.workspace;
        let ends = workspace
            .before
            .factors
            .iter()
            .zip(&workspace.rate_modifiers.factors);
        workspace.factors.clear();
        if self.meets_middle {
            let factors = ends.zip(&workspace.middle.factors);
            workspace
                .factors
                .extend(factors.map(|((before, after), middle)| simpson(*before, *middle, *after)));
        } else {
            workspace
                .factors
                .extend(ends.map(|(before, after)| 0.5 * (before + after)));
        }
        for (exposure, factor) in exposures.iter_mut().zip(&workspace.factors) {
            *exposure += factor * dt;
        }
        self.nitrogen(state, dt, month_log);
        let slices = stack
            .slices
            .iter()
            .zip(&self.workspace.rate_modifiers.slices);
        for ((slice, rate_modifiers), month_log) in slices.zip(month_log) {
            let temperature_c = state.rows[slice.slots.temperature];
            month_log.note(temperature_c, rate_modifiers.oxygen_percent, dt);
        }
    }

    /// Starts a step: resets the exposures already applied.
    pub(crate) fn begin(&mut self, ingredients: usize) {
        self.workspace.decayed_days.clear();
        self.workspace.decayed_days.resize(ingredients, 0.0);
        self.workspace.trends.resize(self.stack.slices.len(), 0.0);
    }

    /// Decay of the pools of a state up to the given exposures and a further `dt` at the rate
    /// modifiers of the start of the pass. Heat of the humus formed within a step is negligible
    /// and left out.
    fn decay_pools(&mut self, state: &mut State, exposures: &[f64], dt: f64) {
        let stack = self.stack;
        let Workspace {
            decayed_days,
            before,
            ..
        } = &mut *self.workspace;
        let mut at = 0;
        let mut decay_pools = |pools: &[Pool], first: usize| {
            // No modifiers before the first pass.
            let pace = before.factors.get(at).copied().unwrap_or_default();
            let days = exposures[at] + pace * dt - decayed_days[at];
            decayed_days[at] += days;
            at += 1;
            let mut came_kg = 0.0;
            for (row, pool) in (first..).zip(pools) {
                let carbon_kg = &mut state.rows[row];
                let before_kg = *carbon_kg;
                if before_kg != 0.0 {
                    *carbon_kg *= exp(-pool.rate_per_day * days);
                }
                // Half of a pass's colonised wood has not decayed yet: of second order.
                *carbon_kg += came_kg * (1.0 - 0.5 * pool.rate_per_day * days);
                came_kg = match pool.fate {
                    Fate::Colonised => before_kg - *carbon_kg,
                    Fate::Decayed => 0.0,
                };
            }
        };
        for slice in &stack.slices {
            for piece in &slice.pieces {
                decay_pools(&piece.pools, piece.first_pool);
            }
            for (fine, slots) in stack.fines_in(slice) {
                decay_pools(&fine.pools, slots.first_pool);
            }
            decay_pools(&[], 0);
        }
    }

    /// Notes the heat of decay at the start of a pass, and adds the water it evaporates to the
    /// demand on each store.
    fn begin_water(&mut self) {
        let workspace = &mut *self.workspace;
        let slices = workspace.before.slices.iter();
        workspace.made.clear();
        workspace
            .made
            .extend(slices.map(SliceRateModifiers::heat_kj_per_day));
        workspace.given_days.clear();
        workspace.given_days.resize(workspace.made.len(), 0.0);
        workspace.leached.clear();
        workspace.leached.resize(workspace.made.len(), 0.0);
        self.add_latent_demand();
    }

    /// Adds the water evaporated by the heat of decay to the demand on each store.
    fn add_latent_demand(&mut self) {
        let share = self.stack.parameters.latent_share;
        let workspace = &mut *self.workspace;
        for (store, made) in workspace.stores.iter_mut().zip(&workspace.made) {
            store.demand_kg_per_day += made * share / LATENT_KJ_PER_KG;
        }
    }

    /// Water over a pass of several days, in equal spells, each under its own weather.
    fn water_by_spells(
        &mut self,
        state: &mut State,
        from: f64,
        dt: f64,
        wetting_exposures: &mut [f64],
    ) {
        let stack = self.stack;
        let spells = libm::ceil(dt / StepSchedule::WATER_DAYS - 1e-9);
        if spells <= 1.0 {
            return self.water(state, dt, wetting_exposures);
        }
        let spell = dt / spells;
        // The stores of the pass serve again after it.
        let mut stores = core::mem::take(&mut self.workspace.spell_stores);
        core::mem::swap(&mut stores, &mut self.workspace.stores);
        let mut begins = from;
        while begins + 0.5 * spell < from + dt {
            let day = stack
                .weather
                .mean_over(begins + 1e-9, begins + spell - 1e-9);
            stack.stores(self.measures, &day, &mut self.workspace.stores);
            self.add_latent_demand();
            self.water(state, spell, wetting_exposures);
            begins += spell;
        }
        core::mem::swap(&mut stores, &mut self.workspace.stores);
        self.workspace.spell_stores = stores;
    }

    /// Water, from the top down: each slice by an implicit two-stage method, with the drainage of
    /// the slice above stage by stage.
    fn water(&mut self, state: &mut State, dt: f64, wetting_exposures: &mut [f64]) {
        let stack = self.stack;
        let mut above = [0.0; 2];
        for (index, store) in self.workspace.stores.iter().enumerate().rev() {
            let (water, wood) = stack.held_kg(state, index);
            let inflow = above.map(|drained| store.rain_kg_per_day + drained);
            let (mut first, first_kg) = solve_store(store, water, wood, inflow[0], STAGE * dt);
            let net = |inflow: f64, flux: &Flux| inflow - flux.drained - flux.taken - flux.drunk;
            let half = water + (1.0 - STAGE) * dt * net(inflow[0], &first);
            let wood_half = wood + (1.0 - STAGE) * dt * first.drunk;
            let (mut second, second_kg) =
                solve_store(store, half, wood_half, inflow[1], STAGE * dt);
            let mean = |one: f64, other: f64| ((1.0 - STAGE) * one + STAGE * other) * dt;
            let slots = &stack.slices[index].slots;
            let rows = &mut state.rows;
            let inflow_kg = mean(inflow[0], inflow[1]);
            let mut drained = mean(first.drained, second.drained);
            // The mean of two stages may slightly exceed the water available; the slice below
            // must not receive the excess either.
            if drained > water + inflow_kg {
                let there = (water + inflow_kg) / drained;
                first.drained *= there;
                second.drained *= there;
                drained = water + inflow_kg;
            }
            let left = water + inflow_kg - drained;
            let drunk = mean(first.drunk, second.drunk).min(left);
            let there = left - drunk;
            let asked = mean(first.taken, second.taken);
            let taken = asked.min(there);
            // Water that is missing carries no latent heat either.
            let given = taken / asked.max(f64::MIN_POSITIVE);
            rows[slots.water] = there - taken;
            rows[slots.wood_water] = wood + drunk;
            rows[WATERED] += store.rain_kg_per_day * dt;
            rows[EVAPORATED] += taken;
            self.workspace.given_days[index] += given * mean(first.given, second.given);
            let leached = |drained: f64, water_kg: f64| {
                drained * stack.leached_per_kg(water_kg, store.field_kg)
            };
            self.workspace.leached[index] += mean(
                leached(first.drained, first_kg),
                leached(second.drained, second_kg),
            );
            if index == 0 {
                rows[DRAINED] += drained;
            }
            wetting_exposures[index] +=
                stack.wetting_per_day(index, &self.measures[index], inflow_kg / dt) * dt;
            above = [first.drained, second.drained];
        }
    }

    /// Stores the water at the midpoint of a pass for the rate modifiers there.
    fn store_midpoint_water(&mut self, state: &State) {
        let midpoint = self.stack.slices.iter().map(|slice| {
            let slots = &slice.slots;
            [state.rows[slots.water], state.rows[slots.wood_water], 0.0]
        });
        self.workspace.midpoint.clear();
        self.workspace.midpoint.extend(midpoint);
    }

    /// Rate modifiers at the midpoint of a pass; swaps the midpoint values into a state at its
    /// end and back.
    fn midpoint_modifiers(&mut self, state: &mut State, day: &Day) {
        let stack = self.stack;
        let workspace = &mut *self.workspace;
        for (midpoint, half_c) in workspace.midpoint.iter_mut().zip(&workspace.half_c) {
            midpoint[2] = *half_c;
        }
        let mut swap_rows = |state: &mut State| {
            for (slice, midpoint) in stack.slices.iter().zip(&mut workspace.midpoint) {
                let slots = &slice.slots;
                let rows = [slots.water, slots.wood_water, slots.temperature];
                for (row, midpoint) in rows.into_iter().zip(midpoint) {
                    core::mem::swap(&mut state.rows[row], midpoint);
                }
            }
        };
        swap_rows(state);
        stack.rate_modifiers(state, self.measures, day, &mut workspace.middle);
        swap_rows(state);
    }

    /// Nitrogen: leaching from the top down for half the pass, diffusion for half, turnover,
    /// diffusion, leaching from the bottom up; symmetric.
    fn nitrogen(&mut self, state: &mut State, dt: f64, month_log: &mut [SliceMonthLog]) {
        let workspace = &mut *self.workspace;
        // To the share that leaves in half of the pass.
        for leached in &mut workspace.leached {
            *leached = 1.0 - exp(-0.5 * *leached);
        }
        let pairs = workspace.nitrogen.windows(2).map(|pair| {
            let [lower, upper] = [pair[0].volume_m3, pair[1].volume_m3];
            let shared_m3 = lower * upper / (lower + upper);
            shared_m3 * (1.0 - exp(-0.5 * pair[0].up_m3_per_day * dt / shared_m3))
        });
        workspace.exchanged_m3.clear();
        workspace.exchanged_m3.extend(pairs);
        let slices = self.stack.slices.len();
        for index in (0..slices).rev() {
            self.leach(state, index);
        }
        self.spread_nitrogen(state);
        self.nitrogen_turnover(state, dt, month_log);
        self.spread_nitrogen(state);
        for index in 0..slices {
            self.leach(state, index);
        }
    }

    /// Half of the leaching of a slice in a pass.
    fn leach(&self, state: &mut State, index: usize) {
        let stack = self.stack;
        let row_of = |index: usize| stack.slices[index].slots.mineral_nitrogen;
        let to = index.checked_sub(1).map_or(LEACHED, row_of);
        let leached_kg = state.rows[row_of(index)] * self.workspace.leached[index];
        state.rows[row_of(index)] -= leached_kg;
        state.rows[to] += leached_kg;
    }

    /// Mineralisation, immobilisation and crop uptake.
    fn nitrogen_turnover(&mut self, state: &mut State, dt: f64, month_log: &mut [SliceMonthLog]) {
        let stack = self.stack;
        let workspace = &mut *self.workspace;
        let mut end = workspace.factors.len();
        for (index, slice) in stack.slices.iter().enumerate().rev() {
            let start = end - stack.factors_of(slice);
            let factors = &workspace.factors[start..end];
            end = start;
            stack.turnovers(slice, state, factors, &mut workspace.turnovers);
            let store = &workspace.nitrogen[index];
            let rows = &mut state.rows;
            let mut mineralised_kg = 0.0;
            let mut demand = 0.0;
            for turnover in &mut workspace.turnovers {
                let mineralised =
                    rows[turnover.row] * (1.0 - exp(-turnover.mineralised_per_day * dt));
                let own = immobilised_at_once(mineralised, turnover.demand_kg_per_day * dt);
                rows[turnover.row] -= mineralised;
                rows[turnover.into] += own;
                mineralised_kg += mineralised - own;
                // Demand not met by own mineralisation.
                turnover.demand_kg_per_day -= own / dt;
                demand += turnover.demand_kg_per_day;
            }
            let fed_kg = store.came_kg_per_day * dt;
            rows[FED] += fed_kg;
            let row = slice.slots.mineral_nitrogen;
            let held_kg = rows[row];
            let inflow_kg_per_day = store.came_kg_per_day + mineralised_kg / dt;
            let [immobilised_kg, crop_kg] =
                uptake_kg(held_kg, inflow_kg_per_day, demand, store, dt);
            let share = immobilised_kg / demand.max(f64::MIN_POSITIVE);
            for turnover in &workspace.turnovers {
                rows[turnover.into] += share * turnover.demand_kg_per_day;
            }
            // As the remainder, so that rounding loses nothing.
            rows[row] = (held_kg + fed_kg + mineralised_kg - immobilised_kg - crop_kg).max(0.0);
            rows[CROPPED] += crop_kg;
            let crop_demand_kg = store.crop_kg_per_day * dt;
            month_log[index].note_nitrogen(
                mineralised_kg - immobilised_kg,
                crop_demand_kg,
                crop_kg,
            );
        }
    }

    /// Diffusion of dissolved nitrogen over half a pass: each pair relaxes to a common
    /// concentration.
    fn spread_nitrogen(&self, state: &mut State) {
        let stack = self.stack;
        let workspace = &self.workspace;
        let pairs = workspace.nitrogen.windows(2).zip(stack.slices.windows(2));
        for ((pair, slices), moved_m3) in pairs.zip(&workspace.exchanged_m3) {
            let [below, above] = [0, 1].map(|i| slices[i].slots.mineral_nitrogen);
            let up = moved_m3
                * (state.rows[below] / pair[0].volume_m3 - state.rows[above] / pair[1].volume_m3);
            state.rows[below] -= up;
            state.rows[above] += up;
        }
    }

    /// Heat: that of decay by Simpson's rule over the pass, or by the trapezoidal rule without a
    /// midpoint; conduction by two half steps of implicit Euler against one whole (Richardson
    /// extrapolation), which stays smooth between thin slices.
    fn heat(&mut self, state: &mut State, from: f64, dt: f64, day: &Day, exposures: &[f64]) {
        let stack = self.stack;
        let ground_c = [0.5 * dt, dt].map(|on| stack.ground_c(from + on));
        let share = stack.parameters.latent_share;
        let temperatures = stack.slices.iter().map(|slice| slice.slots.temperature);
        let workspace = &mut *self.workspace;
        workspace.start_c.clear();
        workspace
            .start_c
            .extend(temperatures.map(|row| state.rows[row]));
        workspace.kept.clear();
        workspace.latent_shares.clear();
        let heats = workspace.made.iter().zip(&workspace.trends);
        for (given_days, (made, trend)) in workspace.given_days.iter().zip(heats) {
            let latent_share = share * given_days / dt;
            // Heat at the midpoint by the previous trend, limited to half its value. It may be
            // slightly negative by rounding where nothing decays.
            let reach = 0.5 * made.abs();
            let middle = made + (0.5 * dt * trend).clamp(-reach, reach);
            workspace.kept.push(middle * (1.0 - latent_share));
            workspace.latent_shares.push(latent_share);
        }
        self.conduct(state, dt, day, ground_c);
        if self.meets_middle {
            self.decay_pools(state, exposures, 0.5 * dt);
            self.midpoint_modifiers(state, day);
        }
        self.decay_pools(state, exposures, dt);
        stack.rate_modifiers(
            state,
            self.measures,
            day,
            &mut self.workspace.rate_modifiers,
        );
        let workspace = &mut *self.workspace;
        for (index, slice) in stack.slices.iter().enumerate() {
            let made = workspace.made[index];
            let end = workspace.rate_modifiers.slices[index].heat_kj_per_day();
            workspace.trends[index] = (end - made) / dt;
            let mean = if self.meets_middle {
                simpson(made, workspace.middle.slices[index].heat_kj_per_day(), end)
            } else {
                0.5 * (made + end)
            };
            let latent_share = workspace.latent_shares[index];
            workspace.kept[index] = mean * (1.0 - latent_share);
            // The water step has already taken the heat at the start.
            let rows = &mut state.rows;
            let more_kg = ((mean - made) * latent_share * dt / LATENT_KJ_PER_KG)
                .min(0.5 * rows[slice.slots.water]);
            rows[slice.slots.water] -= more_kg;
            rows[EVAPORATED] += more_kg;
        }
        self.conduct(state, dt, day, ground_c);
    }

    /// Conduction from the initial temperatures with the sensible heat, into a state.
    fn conduct(&mut self, state: &mut State, dt: f64, day: &Day, ground_c: [f64; 2]) {
        let stack = self.stack;
        let workspace = &mut *self.workspace;
        // Ground temperature at the midpoint and the end.
        let [half_c, end_c] = ground_c;
        let mut implicit = |start: &[f64], ground_c: f64, dt: f64, into: &mut Vec<f64>| {
            let around_c = [day.mean_c, ground_c];
            let (ways, system) = (&workspace.ways, &mut workspace.system);
            conduct_implicitly(ways, system, start, &workspace.kept, around_c, dt, into);
        };
        implicit(&workspace.start_c, end_c, dt, &mut workspace.coarse_c);
        implicit(&workspace.start_c, half_c, 0.5 * dt, &mut workspace.half_c);
        implicit(&workspace.half_c, end_c, 0.5 * dt, &mut workspace.fine_c);
        let ends = workspace.fine_c.iter().zip(&workspace.coarse_c);
        for (slice, (fine, coarse)) in stack.slices.iter().zip(ends) {
            state.rows[slice.slots.temperature] = 2.0 * fine - coarse;
        }
    }
}

/// Simpson's rule, as a mean.
fn simpson(start: f64, middle: f64, end: f64) -> f64 {
    (start + 4.0 * middle + end) / 6.0
}

/// One implicit Euler step of conduction with a constant heat source, at given air and ground
/// temperatures.
fn conduct_implicitly(
    ways: &[HeatWays],
    system: &mut Tridiagonal,
    start: &[f64],
    gain: &[f64],
    [air_c, ground_c]: [f64; 2],
    dt: f64,
    into: &mut Vec<f64>,
) {
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
            stores + below + way.up_kj_per_day_k + way.side_kj_per_day_k + way.ground_kj_per_day_k,
            if i == last { 0.0 } else { -way.up_kj_per_day_k },
            stores * start[i] + gain[i] + to_air * air_c + way.ground_kj_per_day_k * ground_c,
        );
    }
    into.clear();
    into.extend_from_slice(system.solve());
}

/// Outflows and storage at the end of an implicit stage of `dt` from `water`: the root of `w =
/// water + dt (inflow - drained - taken - drunk)`, by Newton's method; the right side decreases
/// with w, so the root is unique. Storage in kg.
fn solve_store(store: &Store, water: f64, wood: f64, inflow: f64, dt: f64) -> (Flux, f64) {
    const MAX_ITERATIONS: u32 = 50;
    /// Convergence is quadratic: a last change of this share of field capacity leaves an error of
    /// 3e-9, also in the tangent. Outflows are booked as computed, so that no water is lost.
    const NEWTON_TOLERANCE: f64 = 1e-5;
    let scale = store.field_kg.max(1e-6);
    let mut w = water.max(0.0);
    let mut end = Flux::default();
    for _ in 0..MAX_ITERATIONS {
        let (flux, slope) = store.flux_and_slope(w, wood);
        let excess = w - water - dt * (inflow - flux.drained - flux.taken - flux.drunk);
        let steepness = (1.0 + dt * (slope.drained + slope.taken + slope.drunk)).max(1.0);
        let next = (w - excess / steepness).max(0.0);
        let moved = next - w;
        w = next;
        end = flux;
        if moved.abs() < NEWTON_TOLERANCE * scale {
            end.drained = (end.drained + slope.drained * moved).max(0.0);
            end.taken = (end.taken + slope.taken * moved).max(0.0);
            end.drunk += slope.drunk * moved;
            end.given += slope.given * moved;
            break;
        }
    }
    (end, w)
}
