//! The fast solver.
//!
//! A step starts with water and heat, in passes of a day or less at the extrapolated volumes of
//! its midpoint; the exposure of each ingredient is integrated by Simpson's rule over each pass
//! (realisations: longer passes, by the trapezoidal rule). The rest is symmetric (Strang 1968): decay for a half
//! step, settlement for a half, fines migration, the most costly, for the whole, settlement,
//! decay. Decay is exact for its exposure and settlement for the effective stress; fines
//! migration is an exponential midpoint step that cannot overdraw.
//!
//! ```
#![doc = include_str!("doc/soil_bed.md")]
//! use moulder_solve::{simulation::Simulation, schedule::StepSchedule};
//!
//! let mut simulation = Simulation::new(&stack, state, StepSchedule::default());
//! let start_m = simulation.height_m();
//! simulation.advance_to(30.0);
//! assert_eq!(simulation.days(), 30.0);
//! assert!(simulation.height_m() < start_m);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use moulder_core::bed::measure::{
    SliceMeasure, fine_carbon_kg, height_m, piece_envelope_m3, piece_left,
};
use moulder_core::bed::stack::{
    CROPPED, DRAINED, EVAPORATED, FED, LEACHED, Piece, RELEASED, Rot, Slice, Stack, WATERED,
};
use moulder_core::bed::state::State;
use moulder_core::law::decay::HumusStep;
use moulder_core::law::envelope::MINERAL_DENSITY_KG_M3;
use moulder_core::law::settlement::{
    left_after_creep, left_after_load, left_after_rot, left_after_wetting, stress_after,
};
use moulder_core::math::elementary::exp;
use moulder_core::rate::flow::{Flow, loose_m3};

use crate::month_log::{LayerMonthLog, SliceMonthLog};
use crate::schedule::StepSchedule;
use crate::snapshot::Snapshot;
use crate::split::{Process, Split};
use crate::weather_step::{WeatherStep, Workspace};

/// A simulation run of a bed.
#[derive(Debug, Clone)]
pub struct Simulation<'stack> {
    stack: &'stack Stack,
    schedule: StepSchedule,
    state: State,
    days: f64,
    /// Day of filling or of the last addition.
    last_fill_days: f64,
    split: Split,
    height_m: f64,
    /// Derived quantities at the last height: at the end of each process they are those of the
    /// current state, so the next one need not recompute them.
    measures: Vec<SliceMeasure>,
    /// Derived quantities at the midpoint of a process.
    middle: Vec<SliceMeasure>,
    flows: Vec<Flow>,
    fines_shares: FinesShares,
    midpoint: State,
    next: State,
    /// The previous state and step length; 0 before the first step.
    previous: State,
    previous_step_days: f64,
    /// Exposure of each ingredient in a half step; days at full rate.
    exposures: Vec<f64>,
    /// Envelopes of a slice's pieces before decay.
    envelopes: Vec<f64>,
    /// End of each slice in `exposures`.
    ends: Vec<usize>,
    /// Exposure of each slice to first wetting in a step.
    wetting_exposures: Vec<f64>,
    month_log: Vec<SliceMonthLog>,
    workspace: Workspace,
}

/// A suspended run, without its stack.
#[derive(Debug, Clone)]
pub struct Checkpoint {
    schedule: StepSchedule,
    /// The state, to be replaced by that of the stack with additions.
    pub state: State,
    /// Days since filling.
    pub days: f64,
    split: Split,
    month_log: Vec<SliceMonthLog>,
}

impl<'stack> Simulation<'stack> {
    /// A run from the day of filling.
    #[must_use]
    pub fn new(stack: &'stack Stack, state: State, schedule: StepSchedule) -> Self {
        let mut simulation = Self {
            stack,
            schedule,
            midpoint: state.clone(),
            next: state.clone(),
            previous: state.clone(),
            previous_step_days: 0.0,
            state,
            days: 0.0,
            last_fill_days: 0.0,
            split: Split::default(),
            height_m: 0.0,
            measures: Vec::new(),
            middle: Vec::new(),
            fines_shares: FinesShares::default(),
            flows: Vec::new(),
            exposures: alloc::vec![
                0.0;
                stack.slices.iter().map(|slice| stack.factors_of(slice)).sum()
            ],
            envelopes: Vec::new(),
            ends: stack
                .slices
                .iter()
                .scan(0, |end, slice| {
                    *end += stack.factors_of(slice);
                    Some(*end)
                })
                .collect(),
            wetting_exposures: alloc::vec![0.0; stack.slices.len()],
            month_log: alloc::vec![SliceMonthLog::default(); stack.slices.len()],
            workspace: Workspace::default(),
        };
        simulation.height_m = simulation.measure_m();
        simulation
    }

    /// Suspends the run, to add slices to the bed ([`Stack::with_laid_on`]).
    #[must_use]
    pub fn checkpoint(self) -> Checkpoint {
        Checkpoint {
            schedule: self.schedule,
            state: self.state,
            days: self.days,
            split: self.split,
            month_log: self.month_log,
        }
    }

    /// Resumes on the stack with additions, from a checkpoint with its state. Steps are short
    /// again; the rise of the surface counts to no process.
    #[must_use]
    pub fn resume(stack: &'stack Stack, checkpoint: Checkpoint) -> Self {
        let mut simulation = Simulation::new(stack, checkpoint.state, checkpoint.schedule);
        simulation.days = checkpoint.days;
        simulation.last_fill_days = checkpoint.days;
        simulation.split = checkpoint.split;
        for (new, old) in simulation.month_log.iter_mut().zip(checkpoint.month_log) {
            *new = old;
        }
        simulation.height_m = simulation.measure_m();
        simulation
    }

    /// Height of the fill above the base; m.
    #[must_use]
    pub fn height_m(&self) -> f64 {
        self.height_m
    }

    /// Days since filling.
    #[must_use]
    pub fn days(&self) -> f64 {
        self.days
    }

    /// Current state.
    #[must_use]
    pub fn state(&self) -> &State {
        &self.state
    }

    /// Snapshot of the bed.
    #[must_use]
    pub fn snapshot(&self) -> Snapshot {
        Snapshot::take(self.stack, &self.state, &self.split, self.days)
    }

    /// Log of each layer since the last [`begin_month_log`](Self::begin_month_log).
    #[must_use]
    pub fn month_log(&self) -> Vec<LayerMonthLog> {
        let count = self.stack.slices.iter().map(|slice| slice.layer + 1).max();
        let mut layers = alloc::vec![LayerMonthLog::default(); count.unwrap_or(0)];
        let mut slices = alloc::vec![0.0; layers.len()];
        for (slice, month_log) in self.stack.slices.iter().zip(&self.month_log) {
            let now_c = self.state.rows[slice.slots.temperature];
            let days = month_log.days;
            let layer = &mut layers[slice.layer];
            layer.mean_c += if days > 0.0 {
                month_log.degree_days / days
            } else {
                now_c
            };
            layer.airless_days = layer.airless_days.max(month_log.airless_days);
            layer.warm_days += month_log.warm_days;
            layer.net_mineralised_kg += month_log.net_mineralised_kg;
            layer.crop_demand_kg += month_log.crop_demand_kg;
            layer.crop_uptake_kg += month_log.crop_uptake_kg;
            slices[slice.layer] += 1.0;
        }
        for (layer, count) in layers.iter_mut().zip(slices) {
            layer.mean_c /= count;
            layer.warm_days /= count;
        }
        layers
    }

    /// Starts a new log.
    pub fn begin_month_log(&mut self) {
        self.month_log.fill(SliceMonthLog::default());
    }

    /// Advances to `days` after filling; no effect if already past.
    pub fn advance_to(&mut self, days: f64) {
        while self.days < days {
            // Full steps first, so that steps stay aligned with days.
            let rest = days - self.days;
            self.step(rest.min(self.schedule.step_days(self.days - self.last_fill_days)));
            if days - self.days < 1e-9 {
                self.days = days;
            }
        }
    }

    fn step(&mut self, dt: f64) {
        let half = 0.5 * dt;
        self.water_and_heat(dt);
        // Shrinkage or swelling of wood.
        self.book(Process::Mechanical);
        self.decay();
        self.settle(half);
        self.slump(half);
        self.fines_migration(dt);
        self.slump(half);
        self.settle(half);
        self.decay();
    }

    /// Advances water and heat by `dt`, pass by pass, at the volumes of the midpoint, and
    /// integrates the exposures of decay and wetting.
    fn water_and_heat(&mut self, dt: f64) {
        let stack = self.stack;
        self.exposures.fill(0.0);
        self.wetting_exposures.fill(0.0);
        self.extrapolate(0.5 * dt);
        stack.measure(&self.next, self.days + 0.5 * dt, &mut self.middle);
        let mut weather_step = WeatherStep {
            stack,
            measures: &self.middle,
            workspace: &mut self.workspace,
            is_first: true,
            meets_middle: self.schedule.meets_middle(),
        };
        self.midpoint.rows.clone_from(&self.state.rows);
        weather_step.begin(self.exposures.len());
        let (mut from, to) = (self.days, self.days + dt);
        while from < to {
            let rain_mm = stack.weather.day(from + 1e-9).rain_mm;
            let since = from - self.last_fill_days;
            let until = self.schedule.pass_end(from, since, rain_mm).min(to);
            weather_step.pass(
                &mut self.midpoint,
                from,
                until - from,
                &mut self.exposures,
                &mut self.wetting_exposures,
                &mut self.month_log,
            );
            from = until;
        }
        let accounts = [WATERED, DRAINED, EVAPORATED, FED, LEACHED, CROPPED].into_iter();
        let slices = stack.slices.iter().flat_map(|slice| {
            let slots = &slice.slots;
            let pieces = slice.pieces.iter().map(|piece| piece.nitrogen);
            let fines = slots.fines.iter().map(|slots| slots.nitrogen);
            pieces.chain(fines).chain([
                slots.water,
                slots.wood_water,
                slots.temperature,
                slots.humus_nitrogen,
                slots.mineral_nitrogen,
            ])
        });
        for row in accounts.chain(slices) {
            self.state.rows[row] = self.midpoint.rows[row];
        }
        // Both decay half steps use the mean exposure.
        for exposure in &mut self.exposures {
            *exposure *= 0.5;
        }
    }

    /// Extrapolates the state by `dt` into `next`, for the volumes at the midpoint of the step.
    /// Every quantity that affects volumes is positive.
    fn extrapolate(&mut self, dt: f64) {
        self.next.rows.clone_from(&self.state.rows);
        if self.previous_step_days > 0.0 {
            let share = dt / self.previous_step_days;
            for (ahead, previous) in self.next.rows.iter_mut().zip(&self.previous.rows) {
                // Limited to halving, however fast the decrease.
                *ahead = (*ahead + share * (*ahead - previous)).max(0.5 * *ahead);
            }
        }
        self.previous.rows.clone_from(&self.state.rows);
        self.previous_step_days = 2.0 * dt;
    }

    /// Updates the derived quantities and returns the height.
    fn measure_m(&mut self) -> f64 {
        self.stack
            .measure(&self.state, self.days, &mut self.measures);
        height_m(&self.measures)
    }

    /// Counts the fall of the surface since the last call to a process.
    fn book(&mut self, process: Process) {
        let height_m = self.measure_m();
        self.split.book(process, self.height_m - height_m);
        self.height_m = height_m;
    }

    /// Decay of every pool for a half step.
    ///
    /// Non-woody material first, then wood, so that each can be accounted for; humus is exact for
    /// both together.
    fn decay(&mut self) {
        let stack = self.stack;
        let exposures = core::mem::take(&mut self.exposures);
        let mut humus: Vec<(HumusStep, f64)> = Vec::with_capacity(stack.slices.len());
        let mut rest = exposures.as_slice();
        for slice in &stack.slices {
            let (own, others) = rest.split_at(stack.factors_of(slice));
            rest = others;
            let mut step =
                HumusStep::begin(stack.parameters.humus_rate_per_day, own[own.len() - 1]);
            let before = self.state.rows[slice.slots.humus];
            self.decay_pieces(slice, Rot::Soft, own, &mut step);
            self.decay_fines(slice, &own[slice.pieces.len()..], &mut step);
            self.state.rows[slice.slots.humus] = step.humus_kg(before);
            humus.push((step, before));
        }
        self.book(Process::NonwoodyDecay);
        let mut rest = exposures.as_slice();
        for (slice, (mut step, mut humus_kg)) in stack.slices.iter().zip(humus) {
            let (own, others) = rest.split_at(stack.factors_of(slice));
            rest = others;
            self.decay_pieces(slice, Rot::Wood, own, &mut step);
            step.finish(&mut humus_kg, &mut self.state.rows[RELEASED]);
            self.state.rows[slice.slots.humus] = humus_kg;
        }
        self.book(Process::WoodDecay);
        self.exposures = exposures;
    }

    fn decay_pieces(&mut self, slice: &Slice, rot: Rot, exposures: &[f64], humus: &mut HumusStep) {
        if slice.pieces.iter().all(|piece| piece.rot != rot) {
            return;
        }
        let envelope =
            |piece: &Piece, state: &State| piece_envelope_m3(piece, piece_left(piece, state));
        self.envelopes.clear();
        let mut before = 0.0;
        for piece in &slice.pieces {
            let own = envelope(piece, &self.state);
            self.envelopes.push(own);
            before += own;
        }
        let mut after = before;
        let mut weighted = 0.0;
        let pieces = slice.pieces.iter().zip(exposures).zip(&self.envelopes);
        for ((piece, &days), own) in pieces.filter(|((piece, _), _)| piece.rot == rot) {
            let rows = piece.first_pool..piece.first_pool + piece.pools.len();
            humus.feed_all(&mut self.state.rows[rows], &piece.pools, days);
            let change = envelope(piece, &self.state) - own;
            after += change;
            weighted += piece.void_closure * change;
        }
        self.state.rows[slice.slots.gap] *= left_after_rot(before, after, weighted);
    }

    fn decay_fines(&mut self, slice: &Slice, exposures: &[f64], humus: &mut HumusStep) {
        let mut before = 0.0;
        let mut change = 0.0;
        let mut weighted = 0.0;
        for ((fine, slots), &days) in self.stack.fines_in(slice).zip(exposures) {
            let pools = fine.pools.len();
            let grains = |state: &State| {
                fine_carbon_kg(slots, pools, state) * fine.organic_per_carbon
                    / fine.organic_density_kg_m3
            };
            let own = grains(&self.state);
            let rows = slots.first_pool..slots.first_pool + pools;
            humus.feed_all(&mut self.state.rows[rows], &fine.pools, days);
            before += own + self.state.rows[slots.mineral] / MINERAL_DENSITY_KG_M3;
            let lost = grains(&self.state) - own;
            change += lost;
            weighted += fine.void_closure * lost;
        }
        self.state.rows[slice.slots.fine_gap] *= left_after_rot(before, before + change, weighted);
    }

    /// Settlement of every gap over a half step `dt`; advances time by it.
    fn settle(&mut self, dt: f64) {
        let stack = self.stack;
        let parameters = &stack.parameters;
        let creep_start = parameters.creep_start_days;
        for (index, slice) in stack.slices.iter().enumerate() {
            let slots = &slice.slots;
            let mixed = stack.mixed_gap(&self.state, index);
            let rows = &mut self.state.rows;
            let stress_before = rows[slots.stress];
            let load = self.measures[index].vertical_stress_kpa;
            let stress_after_step = stress_after(load, stress_before, parameters.stress_days, dt);
            let wetted = rows[slots.wetted];
            let wetted_after = 1.0 - (1.0 - wetted) * exp(-0.5 * self.wetting_exposures[index]);
            let since = self.days - slice.laid_days;
            let left = |load_exponent, reference_kpa, collapse, creep_exponent| {
                left_after_load(
                    load_exponent,
                    reference_kpa,
                    stress_before,
                    stress_after_step,
                ) * left_after_wetting(collapse, wetted, wetted_after)
                    * left_after_creep(creep_exponent, creep_start, since, since + dt)
            };
            let gap = &slice.gap;
            rows[slots.gap] *= left(
                gap.load_exponent,
                gap.reference_kpa,
                gap.collapse,
                gap.creep_exponent,
            );
            rows[slots.fine_gap] *= left(
                mixed.load_exponent,
                mixed.reference_kpa,
                mixed.collapse,
                mixed.creep_exponent,
            );
            rows[slots.stress] = stress_after_step;
            rows[slots.wetted] = wetted_after;
        }
        // Includes bulging.
        self.days += dt;
        self.book(Process::Mechanical);
    }

    /// Slumping of a mound over a half step `dt`, at constant volumes.
    fn slump(&mut self, dt: f64) {
        let stack = self.stack;
        let Some(slopes) = &stack.slopes else {
            return;
        };
        if let Some(mound) = stack.mound(&self.state, &self.measures) {
            let run_m = &mut self.state.rows[slopes.run];
            *run_m = mound.run_after_m(*run_m, dt);
        }
        self.book(Process::Mechanical);
    }

    /// Fines migration over `dt`: rates at the start lead to the midpoint, rates at the midpoint
    /// over the whole step.
    fn fines_migration(&mut self, dt: f64) {
        let stack = self.stack;
        self.midpoint.rows.clone_from(&self.state.rows);
        self.next.rows.clone_from(&self.state.rows);
        stack.flows(&self.state, &self.measures, &mut self.flows);
        self.move_fines(0.5 * dt, Target::Midpoint);
        stack.measure(&self.midpoint, self.days, &mut self.middle);
        stack.flows(&self.midpoint, &self.middle, &mut self.flows);
        self.move_fines(dt, Target::Next);
        // Bioturbation, accounted for with fines migration.
        let (exposures, ends) = (&self.exposures, &self.ends);
        // Exposures are those of a half step.
        let full_days = |slice: usize| 2.0 * exposures[ends[slice] - 1];
        stack.mix(&mut self.next, &self.middle, full_days, self.days);
        core::mem::swap(&mut self.state, &mut self.next);
        self.book(Process::FinesMigration);
    }

    /// Applies the flows over `dt` from the current state to a target initialised as its copy.
    /// Sources decrease exponentially, so none is overdrawn.
    fn move_fines(&mut self, dt: f64, target: Target) {
        let stack = self.stack;
        let measures = match target {
            Target::Midpoint => &self.measures,
            Target::Next => &self.middle,
        };
        let FinesShares { kept, moved } = &mut self.fines_shares;
        // By source, each with its flows in order of target.
        self.flows.sort_by_key(|flow| flow.from);
        for leaving in self.flows.chunk_by(|one, other| one.from == other.from) {
            let from = leaving[0].from;
            let source = &measures[from];
            let total: f64 = leaving.iter().map(|flow| flow.m3_per_day).sum();
            if total <= 0.0 {
                continue;
            }
            let rate = total / loose_m3(source);
            // Mobilities at the same time as the measures; otherwise the step is of first order.
            let measured = match target {
                Target::Midpoint => &self.state,
                Target::Next => &self.midpoint,
            };
            stack.mobilities(measured, from, source, kept);
            moved.clear();
            for mobility in kept.iter_mut() {
                *mobility = exp(-rate * *mobility * dt);
                moved.push(1.0 - *mobility);
            }
            let out = match target {
                Target::Midpoint => &mut self.midpoint,
                Target::Next => &mut self.next,
            };
            for flow in leaving {
                let part = flow.m3_per_day / total;
                stack.add_fines(&self.state, from, flow.to, out, part, moved);
            }
            stack.keep_fines(&self.state, from, out, kept);
        }
    }
}

/// Shares of a slice's fines kept and moved, by kind, and last those of their gap.
#[derive(Debug, Clone, Default)]
struct FinesShares {
    kept: Vec<f64>,
    moved: Vec<f64>,
}

/// State that receives the fines.
#[derive(Clone, Copy)]
enum Target {
    Midpoint,
    Next,
}

#[cfg(test)]
mod tests {
    use super::Simulation;
    use crate::schedule::StepSchedule;
    use crate::test_bed::{DecayingBed, month_ends, settling_bed};

    /// Pools and humus at constant temperature are a linear system: the fast solver must give its
    /// matrix exponential at any step length.
    #[test]
    fn random_beds_follow_the_matrix_exponential() {
        for seed in 0..50 {
            let bed = DecayingBed::random(seed);
            let mut simulation =
                Simulation::new(&bed.stack, bed.start.clone(), StepSchedule::default());
            for day in month_ends(24) {
                simulation.advance_to(day);
                let off = bed.carbon_error(simulation.state(), day);
                assert!(off < 1e-9, "seed {seed}, day {day}: {off:e}");
            }
        }
    }

    /// Halving the step quarters the error of fines migration.
    #[test]
    fn fines_migration_is_of_second_order() {
        let (stack, state) = settling_bed();
        let heights_m = [8_u32, 16, 32].map(|steps| {
            let mut simulation = Simulation::new(&stack, state.clone(), StepSchedule::default());
            for _ in 0..steps {
                simulation.fines_migration(16.0 / f64::from(steps));
            }
            simulation.height_m()
        });
        let [whole_m, half_m, quarter_m] = heights_m;
        let ratio = (whole_m - half_m) / (half_m - quarter_m);
        assert!((3.0..6.0).contains(&ratio), "{ratio}: {heights_m:?}");
    }
}
