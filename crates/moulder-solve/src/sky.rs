//! Water and heat through a part of a day, with volumes standing still.

use alloc::vec::Vec;

use moulder_core::conditions::{Conditions, SliceConditions};
use moulder_core::decay::Pool;
use moulder_core::elementary::exp;
use moulder_core::heat::LATENT_KJ_PER_KG;
use moulder_core::measure::SliceMeasure;
use moulder_core::nitrogen::{
    NitrogenStore, Turnover, bound_at_once, leached_share, left_after_taking, supply,
};
use moulder_core::stack::{CROPPED, DRAINED, EVAPORATED, FED, LEACHED, Stack, WATERED};
use moulder_core::state::State;
use moulder_core::store::{Flux, Store};
use moulder_core::tridiagonal::Tridiagonal;
use moulder_core::warmth::HeatWays;
use moulder_core::weather::Day;

use crate::diary::SliceDiary;

/// The stage of an L-stable two-stage method of second order: `1 - 1/sqrt 2`.
const STAGE: f64 = 1.0 - core::f64::consts::FRAC_1_SQRT_2;

/// Room to work in, kept between passes.
#[derive(Debug, Clone, Default)]
pub(crate) struct Room<const L: usize> {
    conditions: Conditions,
    before: Conditions,
    stores: Vec<Store>,
    ways: Vec<HeatWays>,
    system: Tridiagonal,
    /// Heat of rot under the conditions at the start of a pass; kJ/d.
    made: Vec<f64>,
    /// Water that crop, air and rot took of each store in a pass; kg.
    taken_kg: Vec<f64>,
    /// Water that ran out of each slice in a pass; kg.
    drained_kg: Vec<f64>,
    nitrogen: Vec<NitrogenStore>,
    turnovers: Vec<Turnover>,
    /// The factors of the pass.
    factors: Vec<f64>,
    /// Share of the heat of rot that evaporated water in a pass.
    latent_shares: Vec<f64>,
    /// How the heat of rot changed in the pass before; kJ/d2. Kept between steps.
    trends: Vec<[f64; L]>,
    /// Heat that stays in each slice; kJ/d.
    kept: Vec<f64>,
    start_c: Vec<f64>,
    coarse_c: Vec<f64>,
    half_c: Vec<f64>,
    fine_c: Vec<f64>,
    /// The exposures that the pools of the state have been through already.
    faded: Vec<f64>,
}

/// One lane under the sky.
pub(crate) struct Sky<'a, const L: usize> {
    pub(crate) stack: &'a Stack<L>,
    pub(crate) measures: &'a [SliceMeasure],
    pub(crate) room: &'a mut Room<L>,
    pub(crate) lane: usize,
    /// Whether a pass is the first of its step.
    pub(crate) is_first: bool,
}

impl<const L: usize> Sky<'_, L> {
    /// Brings water and heat on from `from` by `dt` of one day, and adds to the exposures.
    ///
    /// Pools fade in `state` as the exposures grow, since their heat does.
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
        // What the last pass ended under this one begins with, but for a correction
        // of higher order; a step begins anew, for rot and sifting came between.
        if self.is_first {
            stack.conditions(state, self.measures, &day, lane, &mut self.room.before);
            self.is_first = false;
        } else {
            core::mem::swap(&mut self.room.before, &mut self.room.conditions);
        }
        self.ask_for_latent_heat();
        self.water(state, 0.5 * dt, soaking);
        // With the water of the middle.
        stack.heat_ways(state, self.measures, lane, &mut self.room.ways);
        let room = &mut *self.room;
        let (stores, nitrogen) = (&room.stores, &mut room.nitrogen);
        stack.nitrogen_stores(state, self.measures, stores, &day, lane, nitrogen);
        self.water(state, 0.5 * dt, soaking);
        self.heat(state, from, dt, &day, exposures);
        let room = &mut *self.room;
        let before = room.before.factors.iter();
        let factors = before.zip(&room.conditions.factors);
        room.factors.clear();
        room.factors
            .extend(factors.map(|(before, after)| 0.5 * (before + after)));
        for (exposure, factor) in exposures.iter_mut().zip(&room.factors) {
            exposure[lane] += factor * dt;
        }
        self.nitrogen(state, dt, diary);
        let slices = stack.slices.iter().zip(&self.room.conditions.slices);
        for ((slice, conditions), diary) in slices.zip(diary) {
            let temperature_c = state.rows[slice.slots.temperature][lane];
            diary.note(lane, temperature_c, conditions.oxygen_percent, dt);
        }
    }

    /// Forgets what pools have been through: a step begins.
    pub(crate) fn begin(&mut self, ingredients: usize) {
        self.room.faded.clear();
        self.room.faded.resize(ingredients, 0.0);
        self.room.trends.resize(self.stack.slices.len(), [0.0; L]);
    }

    /// Rots the pools of a state up to the exposures given and `dt` on, at the pace of
    /// the start of the pass. What of it turns to humus gives little heat in a step and
    /// is left out.
    fn fade(&mut self, state: &mut State<L>, exposures: &[[f64; L]], dt: f64) {
        let (stack, lane) = (self.stack, self.lane);
        let Room { faded, before, .. } = &mut *self.room;
        let mut at = 0;
        let mut fade = |pools: &[Pool<L>], first: usize| {
            // Before the first pass there is no pace.
            let pace = before.factors.get(at).copied().unwrap_or_default();
            let days = exposures[at][lane] + pace * dt - faded[at];
            faded[at] += days;
            at += 1;
            for (row, pool) in (first..).zip(pools) {
                let carbon_kg = &mut state.rows[row][lane];
                if *carbon_kg != 0.0 {
                    *carbon_kg *= exp(-pool.rate_per_day[lane] * days);
                }
            }
        };
        for slice in &stack.slices {
            for piece in &slice.pieces {
                fade(&piece.pools, piece.first_pool);
            }
            for (fine, slots) in stack.fines.iter().zip(&slice.slots.fines) {
                fade(&fine.pools, slots.first_pool);
            }
            fade(&[], 0);
        }
    }

    /// Lets each store be asked for the water that the heat of rot evaporates.
    fn ask_for_latent_heat(&mut self) {
        let share = self.stack.parameters.latent_share[self.lane];
        let room = &mut *self.room;
        let slices = room.before.slices.iter();
        room.made.clear();
        room.made
            .extend(slices.map(SliceConditions::heat_kj_per_day));
        room.taken_kg.clear();
        room.taken_kg.resize(room.made.len(), 0.0);
        room.drained_kg.clear();
        room.drained_kg.resize(room.made.len(), 0.0);
        for (store, made) in room.stores.iter_mut().zip(&room.made) {
            store.wanted_kg_per_day += made * share / LATENT_KJ_PER_KG;
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
            let mut first = settle_store(store, water, wood, come[0], STAGE * dt);
            let net = |come: f64, flux: &Flux| come - flux.drained - flux.taken - flux.drunk;
            let half = water + (1.0 - STAGE) * dt * net(come[0], &first);
            let wood_half = wood + (1.0 - STAGE) * dt * first.drunk;
            let mut second = settle_store(store, half, wood_half, come[1], STAGE * dt);
            let mean = |one: f64, other: f64| ((1.0 - STAGE) * one + STAGE * other) * dt;
            let slots = &stack.slices[index].slots;
            let rows = &mut state.rows;
            let came = mean(come[0], come[1]);
            let mut drained = mean(first.drained, second.drained);
            // The mean of two stages may take a little more than there is; the slice below
            // must not get it either.
            if drained > water + came {
                let there = (water + came) / drained;
                first.drained *= there;
                second.drained *= there;
                drained = water + came;
            }
            let left = water + came - drained;
            let drunk = mean(first.drunk, second.drunk).min(left);
            let there = left - drunk;
            let taken = mean(first.taken, second.taken).min(there);
            rows[slots.water][lane] = there - taken;
            rows[slots.wood_water][lane] = wood + drunk;
            rows[WATERED][lane] += store.rain_kg_per_day * dt;
            rows[EVAPORATED][lane] += taken;
            self.room.taken_kg[index] += taken;
            self.room.drained_kg[index] += drained;
            if index == 0 {
                rows[DRAINED][lane] += drained;
            }
            soaking[index][lane] +=
                stack.wetting_per_day(index, &self.measures[index], came / dt, lane) * dt;
            above = [first.drained, second.drained];
        }
    }

    /// Nitrogen: leaching from the top down for half the pass, what rot, decomposers and
    /// crop do, spreading, and leaching again in the other order, so that the whole is
    /// symmetric.
    fn nitrogen(&mut self, state: &mut State<L>, dt: f64, diary: &mut [SliceDiary<L>]) {
        let slices = self.stack.slices.len();
        for index in (0..slices).rev() {
            self.leach(state, index);
        }
        self.spread_nitrogen(state, 0.5 * dt);
        self.turn_nitrogen_over(state, dt, diary);
        self.spread_nitrogen(state, 0.5 * dt);
        for index in 0..slices {
            self.leach(state, index);
        }
    }

    /// Takes along what half the water that drains from a slice in a pass dissolves.
    fn leach(&mut self, state: &mut State<L>, index: usize) {
        let (stack, lane) = (self.stack, self.lane);
        let row_of = |index: usize| stack.slices[index].slots.mineral_nitrogen;
        let to = index.checked_sub(1).map_or(LEACHED, row_of);
        let drained_kg = 0.5 * self.room.drained_kg[index];
        let share = leached_share(&self.room.nitrogen[index], drained_kg);
        let gone_kg = state.rows[row_of(index)][lane] * share;
        state.rows[row_of(index)][lane] -= gone_kg;
        state.rows[to][lane] += gone_kg;
    }

    /// What rot frees comes to the store; decomposers and crop share what is there.
    fn turn_nitrogen_over(&mut self, state: &mut State<L>, dt: f64, diary: &mut [SliceDiary<L>]) {
        let (stack, lane) = (self.stack, self.lane);
        let room = &mut *self.room;
        let mut end = room.factors.len();
        for (index, slice) in stack.slices.iter().enumerate().rev() {
            let start = end - stack.factors_of(slice);
            let factors = &room.factors[start..end];
            end = start;
            stack.turnovers(slice, state, factors, lane, &mut room.turnovers);
            let store = &room.nitrogen[index];
            let rows = &mut state.rows;
            let mut freed_kg = 0.0;
            let mut wanted = 0.0;
            for turnover in &mut room.turnovers {
                let freed = rows[turnover.row][lane] * (1.0 - exp(-turnover.freed_per_day * dt));
                let own = bound_at_once(freed, turnover.wanted_kg_per_day * dt);
                rows[turnover.row][lane] -= freed;
                rows[turnover.into][lane] += own;
                freed_kg += freed - own;
                // What is still wanted from around.
                turnover.wanted_kg_per_day -= own / dt;
                wanted += turnover.wanted_kg_per_day;
            }
            let fed_kg = store.came_kg_per_day * dt;
            rows[FED][lane] += fed_kg;
            let row = slice.slots.mineral_nitrogen;
            let there_kg = rows[row][lane] + fed_kg + freed_kg;
            let left_kg = left_after_taking(there_kg, wanted, store, dt);
            let share = supply(left_kg, store.half_kg);
            for turnover in &room.turnovers {
                rows[turnover.into][lane] += share * turnover.wanted_kg_per_day * dt;
            }
            let bound_kg = share * wanted * dt;
            let crop_kg = store.crop_kg_per_day * dt;
            let taken_kg = crop_kg * supply(left_kg, store.crop_half_kg);
            // What nobody took, so that nothing is lost to rounding.
            rows[row][lane] = (there_kg - bound_kg - taken_kg).max(0.0);
            rows[CROPPED][lane] += taken_kg;
            diary[index].note_nitrogen(lane, freed_kg - bound_kg, crop_kg, taken_kg);
        }
    }

    /// Dissolved nitrogen between neighbours: each pair draws towards one density.
    fn spread_nitrogen(&mut self, state: &mut State<L>, dt: f64) {
        let (stack, lane) = (self.stack, self.lane);
        for (pair, slices) in self.room.nitrogen.windows(2).zip(stack.slices.windows(2)) {
            let [lower, upper] = [pair[0].volume_m3, pair[1].volume_m3];
            let [below, above] = [0, 1].map(|i| slices[i].slots.mineral_nitrogen);
            let shared_m3 = lower * upper / (lower + upper);
            let moved_m3 = shared_m3 * (1.0 - exp(-pair[0].up_m3_per_day * dt / shared_m3));
            let up = moved_m3 * (state.rows[below][lane] / lower - state.rows[above][lane] / upper);
            state.rows[below][lane] -= up;
            state.rows[above][lane] += up;
        }
    }

    /// Heat: that of rot by a trapezium over the pass, conduction by two half steps of
    /// the implicit Euler method against one whole (Richardson), which stays smooth
    /// between thin slices.
    fn heat(
        &mut self,
        state: &mut State<L>,
        from: f64,
        dt: f64,
        day: &Day,
        exposures: &[[f64; L]],
    ) {
        let (stack, lane) = (self.stack, self.lane);
        let ground_c = [0.5 * dt, dt].map(|on| stack.ground_c(from + on, lane));
        let share = stack.parameters.latent_share[lane];
        let temperatures = stack.slices.iter().map(|slice| slice.slots.temperature);
        let room = &mut *self.room;
        room.start_c.clear();
        room.start_c
            .extend(temperatures.map(|row| state.rows[row][lane]));
        room.kept.clear();
        room.latent_shares.clear();
        let stores = room.taken_kg.iter().zip(&room.stores);
        for ((taken_kg, store), (made, trend)) in stores.zip(room.made.iter().zip(&room.trends)) {
            let asked_kg = (store.wanted_kg_per_day * dt).max(f64::MIN_POSITIVE);
            let latent_share = share * taken_kg / asked_kg;
            // A guess at the middle: the trend goes on, within reason.
            // Where nothing rots, what is made may be a rounding below nothing.
            let reach = 0.5 * made.abs();
            let middle = made + (0.5 * dt * trend[lane]).clamp(-reach, reach);
            room.kept.push(middle * (1.0 - latent_share));
            room.latent_shares.push(latent_share);
        }
        self.conduct(state, dt, day, ground_c);
        self.fade(state, exposures, dt);
        stack.conditions(state, self.measures, day, lane, &mut self.room.conditions);
        let room = &mut *self.room;
        for (index, slice) in stack.slices.iter().enumerate() {
            let made = room.made[index];
            let change = 0.5 * (room.conditions.slices[index].heat_kj_per_day() - made);
            room.trends[index][lane] = 2.0 * change / dt;
            let latent_share = room.latent_shares[index];
            room.kept[index] = (made + change) * (1.0 - latent_share);
            // The heat at the start has been reckoned with in the water's own step.
            let rows = &mut state.rows;
            let more_kg = (change * latent_share * dt / LATENT_KJ_PER_KG)
                .min(0.5 * rows[slice.slots.water][lane]);
            rows[slice.slots.water][lane] -= more_kg;
            rows[EVAPORATED][lane] += more_kg;
        }
        self.conduct(state, dt, day, ground_c);
    }

    /// Conduction from the temperatures at the start, with the heat kept, into a state.
    fn conduct(&mut self, state: &mut State<L>, dt: f64, day: &Day, ground_c: [f64; 2]) {
        let (stack, lane) = (self.stack, self.lane);
        let room = &mut *self.room;
        // The ground in the middle and at the end.
        let [half_c, end_c] = ground_c;
        let mut implicit = |start: &[f64], ground_c: f64, dt: f64, into: &mut Vec<f64>| {
            let around_c = [day.mean_c, ground_c];
            let (ways, system) = (&room.ways, &mut room.system);
            conduct_implicitly(ways, system, start, &room.kept, around_c, dt, into);
        };
        implicit(&room.start_c, end_c, dt, &mut room.coarse_c);
        implicit(&room.start_c, half_c, 0.5 * dt, &mut room.half_c);
        implicit(&room.half_c, end_c, 0.5 * dt, &mut room.fine_c);
        let ends = room.fine_c.iter().zip(&room.coarse_c);
        for (slice, (fine, coarse)) in stack.slices.iter().zip(ends) {
            state.rows[slice.slots.temperature][lane] = 2.0 * fine - coarse;
        }
    }
}

/// One implicit Euler step of conduction with a steady gain, under the temperatures of
/// air and ground.
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

/// Where water goes at the end of an implicit stage of `dt` that starts from `water`:
/// the root of `w = water + dt (come - drained - taken - drunk)`, by Newton; the right
/// side falls with w, so there is one root.
fn settle_store(store: &Store, water: f64, wood: f64, come: f64, dt: f64) -> Flux {
    const MOST_ROUNDS: u32 = 50;
    /// Newton's method squares the distance: what moved by this over the rounding at field
    /// capacity is 3e-9 off, and as near is the tangent there. What goes where is booked
    /// as it is reckoned, so that no water is lost for it.
    const CLOSE: f64 = 1e-5;
    let scale = store.field_kg.max(1e-6);
    let mut w = water.max(0.0);
    let mut end = Flux::default();
    for _ in 0..MOST_ROUNDS {
        let (flux, slope) = store.flux_and_slope(w, wood);
        let excess = w - water - dt * (come - flux.drained - flux.taken - flux.drunk);
        let steepness = (1.0 + dt * (slope.drained + slope.taken + slope.drunk)).max(1.0);
        let next = (w - excess / steepness).max(0.0);
        let moved = next - w;
        w = next;
        end = flux;
        if moved.abs() < CLOSE * scale {
            end.drained = (end.drained + slope.drained * moved).max(0.0);
            end.taken = (end.taken + slope.taken * moved).max(0.0);
            end.drunk += slope.drunk * moved;
            break;
        }
    }
    end
}
