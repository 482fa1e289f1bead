//! The reference solver: all rates as one system, by an adaptive method of high order.
//!
//! No splitting and no frozen coefficients, so that the error is set by the tolerance; the faster
//! solver is verified against it. The pair of Dormand & Prince 1980 (J. Comput. Appl. Math.
//! 6:19-26) from the library `ode_solvers`, restarted every midnight.
//!
//! Step control uses platform powers: unlike the laws, results agree between machines to
//! tolerance, not bit for bit.

use alloc::vec::Vec;
use core::cell::RefCell;
use core::fmt;

use moulder_core::bed::stack::{CROPPED, DRAINED, EVAPORATED, FED, LEACHED, Stack, WATERED};
use moulder_core::bed::state::State;
use moulder_core::rate::rates::Scratch;
use nalgebra::DVector;
use ode_solvers::dop_shared::{IntegrationError, OutputType, Stats};
use ode_solvers::{Dopri5, System};

/// Minimum scale of a kind of quantity, in its own unit.
const MIN_SCALE: f64 = 1e-15;
/// Limit of steps per call of the integrator.
pub(crate) const MAX_STEPS: u32 = 100_000;

/// Error tolerance of each step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Relative to each quantity.
    pub relative: f64,
    /// Relative to the largest initial quantity of the same kind (carbon, minerals, gaps,
    /// stress), so that vanishing quantities do not set the step.
    pub absolute: f64,
}

impl Tolerance {
    /// `relative`, and an absolute tolerance of a hundredth of it.
    ///
    /// ```
    /// use moulder_solve::reference::Tolerance;
    /// assert!((Tolerance::new(1e-6).absolute - 1e-8).abs() < 1e-20);
    /// ```
    #[must_use]
    pub const fn new(relative: f64) -> Self {
        Self {
            relative,
            absolute: 0.01 * relative,
        }
    }
}

impl Default for Tolerance {
    /// 1e-9: two years of decay within 1e-9 of all carbon (tested).
    fn default() -> Self {
        Self::new(1e-9)
    }
}

/// States at the month ends, with the work done.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// One state per month end.
    pub states: Vec<State>,
    /// Total work.
    pub effort: Effort,
}

/// Work of an integration.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Effort {
    /// Accepted steps.
    pub steps: u64,
    /// Rejected steps.
    pub rejected: u64,
    /// Evaluations of the rates.
    pub evaluations: u64,
}

impl Effort {
    fn add(&mut self, stats: Stats) {
        self.steps += u64::from(stats.accepted_steps);
        self.rejected += u64::from(stats.rejected_steps);
        self.evaluations += u64::from(stats.num_eval);
    }
}

/// Why a bed could not be integrated.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum ReferenceError {
    /// A month end is not finite or precedes the one before.
    Calendar {
        /// The month end; days after filling.
        day: f64,
    },
    /// The initial state has the wrong number of quantities.
    Layout {
        /// Quantities of the bed.
        expected: usize,
        /// Quantities of the state.
        found: usize,
    },
    /// An initial quantity is not finite.
    Start {
        /// Its row.
        row: usize,
    },
    /// A tolerance is not a positive number.
    Tolerance {
        /// The tolerance as given.
        tolerance: Tolerance,
    },
    /// Too many steps.
    TooManySteps {
        /// Time reached; days after filling.
        day: f64,
    },
    /// The step size underflowed: the rates are discontinuous or not finite.
    StepVanished {
        /// Time reached; days after filling.
        day: f64,
    },
    /// The system is too stiff for this method.
    Stiff {
        /// Time reached; days after filling.
        day: f64,
    },
}

impl fmt::Display for ReferenceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Calendar { day } => {
                write!(
                    f,
                    "the month end at day {day} does not follow the one before it"
                )
            }
            Self::Layout { expected, found } => write!(
                f,
                "the bed has {expected} quantities, but the state to start from has {found}"
            ),
            Self::Start { row } => write!(
                f,
                "quantity {row} of the state to start from is not a finite number"
            ),
            Self::Tolerance { tolerance } => write!(
                f,
                "tolerances must be above zero, not {} and {}",
                tolerance.relative, tolerance.absolute
            ),
            Self::TooManySteps { day } => write!(
                f,
                "more than {MAX_STEPS} steps in one month, at day {day}; try a looser tolerance"
            ),
            Self::StepVanished { day } => write!(
                f,
                "steps became too small at day {day}: a rate there jumps or is not a number"
            ),
            Self::Stiff { day } => write!(
                f,
                "a process at day {day} is too fast for the reference path; the judge can follow it"
            ),
        }
    }
}

impl core::error::Error for ReferenceError {}

/// No `From`, which would expose the library's error type.
fn reference_error(error: &IntegrationError) -> ReferenceError {
    match error {
        IntegrationError::MaxNumStepReached { x, .. } => ReferenceError::TooManySteps { day: *x },
        IntegrationError::StepSizeUnderflow { x } => ReferenceError::StepVanished { day: *x },
        IntegrationError::StiffnessDetected { x } => ReferenceError::Stiff { day: *x },
    }
}

/// Integrates a bed from filling to each of `month_days`, days after filling.
///
/// # Errors
///
/// If month ends are not finite or do not ascend from 0, the state does not fit the bed or is not
/// finite, a tolerance is not a positive number, or the integration fails.
pub fn integrate(
    stack: &Stack,
    start: &State,
    month_days: &[f64],
    tolerance: Tolerance,
) -> Result<Reference, ReferenceError> {
    integrate_from(stack, start, 0.0, month_days, tolerance)
}

/// [`integrate`], from a state at `begin` days after filling.
///
/// # Errors
///
/// As [`integrate`]; month ends must ascend from `begin`.
pub fn integrate_from(
    stack: &Stack,
    start: &State,
    begin: f64,
    month_days: &[f64],
    tolerance: Tolerance,
) -> Result<Reference, ReferenceError> {
    check(stack, start, begin, month_days, tolerance)?;
    let scales = scales(stack, start);
    let mut at = DVector::from_iterator(
        scales.len(),
        start
            .rows
            .iter()
            .zip(&scales)
            .map(|(row, scale)| row / scale),
    );
    let mut states = Vec::with_capacity(month_days.len());
    let mut effort = Effort::default();
    let mut begin = begin;
    for &end in month_days {
        // Restart at midnight, where the weather jumps.
        let mut from = begin;
        while from < end {
            let until = (libm::floor(from) + 1.0).min(end);
            let rates = Scaled::new(stack, &scales, from);
            at = advance(rates, from, until, at, tolerance, &mut effort)?;
            from = until;
        }
        let mut state = State::zeros(scales.len());
        unscale(&at, &scales, &mut state);
        states.push(state);
        begin = end;
    }
    Ok(Reference { states, effort })
}

pub(crate) fn check(
    stack: &Stack,
    start: &State,
    begin: f64,
    month_days: &[f64],
    tolerance: Tolerance,
) -> Result<(), ReferenceError> {
    let is_fit = |share: f64| share.is_finite() && share > 0.0;
    if !is_fit(tolerance.relative) || !is_fit(tolerance.absolute) {
        return Err(ReferenceError::Tolerance { tolerance });
    }
    if start.rows.len() != stack.quantities {
        return Err(ReferenceError::Layout {
            expected: stack.quantities,
            found: start.rows.len(),
        });
    }
    if let Some(row) = start.rows.iter().position(|row| !row.is_finite()) {
        return Err(ReferenceError::Start { row });
    }
    let mut before = begin;
    for &day in month_days {
        if !day.is_finite() || day < before {
            return Err(ReferenceError::Calendar { day });
        }
        before = day;
    }
    Ok(())
}

/// At most one day by `ode_solvers`; confines its positional arguments.
fn advance(
    rates: Scaled<'_>,
    begin: f64,
    end: f64,
    at: DVector<f64>,
    tolerance: Tolerance,
    effort: &mut Effort,
) -> Result<DVector<f64>, ReferenceError> {
    const SAFETY: f64 = 0.9;
    const BETA: f64 = 0.04;
    const MIN_GROWTH: f64 = 0.2;
    const MAX_GROWTH: f64 = 10.0;
    const GUESS_FIRST_STEP: f64 = 0.0;
    const STIFFNESS_TEST_EVERY: u32 = 1000;
    let span = end - begin;
    let mut stepper = Dopri5::from_param(
        rates,
        begin,
        end,
        span,
        at.clone(),
        tolerance.relative,
        tolerance.absolute,
        SAFETY,
        BETA,
        MIN_GROWTH,
        MAX_GROWTH,
        span,
        GUESS_FIRST_STEP,
        MAX_STEPS,
        STIFFNESS_TEST_EVERY,
        // Its dense output extrapolates the last point from an early step for few points; sparse
        // output gives the accepted steps.
        OutputType::Sparse,
    );
    effort.add(
        stepper
            .integrate()
            .map_err(|error| reference_error(&error))?,
    );
    Ok(stepper.y_out().last().cloned().unwrap_or(at))
}

/// Rates of scaled quantities, so that one absolute tolerance serves all.
pub(crate) struct Scaled<'a> {
    stack: &'a Stack,
    scales: &'a [f64],
    day_starts: f64,
    workspace: RefCell<Workspace>,
}

/// Workspace; interior, since the library borrows the system immutably.
struct Workspace {
    state: State,
    rates: State,
    scratch: Scratch,
}

impl<'a> Scaled<'a> {
    pub(crate) fn new(stack: &'a Stack, scales: &'a [f64], day_starts: f64) -> Self {
        Self {
            stack,
            scales,
            day_starts,
            workspace: RefCell::new(Workspace {
                state: State::zeros(scales.len()),
                rates: State::zeros(scales.len()),
                scratch: Scratch::default(),
            }),
        }
    }

    /// Selects the weather of another day.
    pub(crate) fn begin_day(&mut self, day_starts: f64) {
        self.day_starts = day_starts;
    }

    /// Scaled rates of scaled quantities, `days` after filling.
    pub(crate) fn rates(&self, days: f64, at: &DVector<f64>, out: &mut DVector<f64>) {
        let Workspace {
            state,
            rates,
            scratch,
        } = &mut *self.workspace.borrow_mut();
        unscale(at, self.scales, state);
        self.stack
            .rates(state, days, self.day_starts, rates, scratch);
        for ((out, rate), scale) in out.iter_mut().zip(&rates.rows).zip(self.scales) {
            *out = rate / scale;
        }
    }
}

impl System<f64, DVector<f64>> for Scaled<'_> {
    fn system(&self, days: f64, at: &DVector<f64>, out: &mut DVector<f64>) {
        self.rates(days, at, out);
    }
}

pub(crate) fn unscale(at: &DVector<f64>, scales: &[f64], state: &mut State) {
    for ((row, at), scale) in state.rows.iter_mut().zip(at.iter()).zip(scales) {
        *row = at * scale;
    }
}

/// Scale of each row: the largest initial value of its kind; for stress also the vertical stress;
/// at least 1 for shares.
pub(crate) fn scales(stack: &Stack, start: &State) -> Vec<f64> {
    let mut measures = Vec::new();
    stack.measure(start, 0.0, &mut measures);
    let vertical_stress_kpa = measures
        .iter()
        .map(|m| m.vertical_stress_kpa)
        .fold(0.0, f64::max);
    let held_kg: f64 = measures.iter().map(|m| m.field_kg + m.wood_kg).sum();
    let runs = stack.slopes.iter().map(|slopes| slopes.run).collect();
    let mut kinds: [(Vec<usize>, f64); 8] = [
        (Vec::new(), 0.0),
        (Vec::new(), 0.0),
        (Vec::new(), vertical_stress_kpa),
        (Vec::new(), 1.0),
        (alloc::vec![WATERED, DRAINED, EVAPORATED], held_kg),
        (Vec::new(), 10.0),
        (alloc::vec![FED, LEACHED, CROPPED], 0.0),
        (runs, 0.0),
    ];
    for slice in &stack.slices {
        let slots = &slice.slots;
        let [
            minerals,
            gaps,
            stresses,
            shares,
            waters,
            temperatures,
            nitrogen,
            _,
        ] = &mut kinds;
        minerals
            .0
            .extend(slots.fines.iter().map(|slots| slots.mineral));
        gaps.0.extend([slots.gap, slots.fine_gap]);
        stresses.0.push(slots.stress);
        shares.0.push(slots.wetted);
        waters.0.extend([slots.water, slots.wood_water]);
        temperatures.0.push(slots.temperature);
        nitrogen
            .0
            .extend(slice.pieces.iter().map(|piece| piece.nitrogen));
        nitrogen
            .0
            .extend(slots.fines.iter().map(|slots| slots.nitrogen));
        nitrogen
            .0
            .extend([slots.humus_nitrogen, slots.mineral_nitrogen]);
    }
    let largest = |rows: &mut dyn Iterator<Item = usize>| {
        rows.map(|row| start.rows[row].abs())
            .fold(MIN_SCALE, f64::max)
    };
    let carbon_kg = largest(
        &mut (0..stack.quantities).filter(|row| !kinds.iter().any(|(rows, _)| rows.contains(row))),
    );
    let mut scales = alloc::vec![carbon_kg; stack.quantities];
    for (rows, least) in &kinds {
        let scale = largest(&mut rows.iter().copied()).max(*least);
        for &row in rows {
            scales[row] = scale;
        }
    }
    scales
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_bed::{DecayingBed, month_ends, settling_bed};
    use moulder_core::bed::stack::RELEASED;

    fn largest_difference(a: &State, b: &State, scales: &[f64]) -> f64 {
        let difference = |row: usize| (a.rows[row] - b.rows[row]).abs() / scales[row];
        (0..scales.len()).map(difference).fold(0.0, f64::max)
    }

    #[test]
    fn random_beds_follow_the_matrix_exponential() {
        let months = month_ends(24);
        for seed in 0..50 {
            let bed = DecayingBed::random(seed);
            let reference =
                integrate(&bed.stack, &bed.start, &months, Tolerance::default()).unwrap();
            for (state, &day) in reference.states.iter().zip(&months) {
                let off = bed.carbon_error(state, day);
                assert!(off < 1e-9, "seed {seed}, day {day}: {off:e}");
            }
        }
    }

    #[test]
    fn settling_bed_converges_and_conserves_carbon() {
        let (stack, start) = settling_bed();
        let months = month_ends(18);
        let scales = scales(&stack, &start);
        let run = |tolerance| {
            let reference = integrate(&stack, &start, &months, tolerance).unwrap();
            let end = reference.states[months.len() - 1].clone();
            (end, reference.effort)
        };
        let (best, _) = run(Tolerance::new(1e-12));
        let mut before = f64::INFINITY;
        let mut steps_before = 0;
        for (relative, bound) in [(1e-5, 1e-4), (1e-7, 1e-6), (1e-9, 1e-8)] {
            let (end, effort) = run(Tolerance::new(relative));
            let off = largest_difference(&end, &best, &scales);
            assert!(off < bound && off < 0.1 * before, "{relative:e}: {off:e}");
            assert!(effort.steps > steps_before && effort.evaluations >= 6 * effort.steps);
            (before, steps_before) = (off, effort.steps);
            let carbon = stack.carbon_kg(&end) / stack.carbon_kg(&start);
            assert!((carbon - 1.0).abs() < 1e-12, "{carbon}");
        }
        assert!(best.rows[RELEASED] > 1.0, "the bed has rotted");
    }

    #[test]
    fn month_ends_do_not_affect_the_result() {
        let (stack, start) = settling_bed();
        let whole = integrate(&stack, &start, &[200.0], Tolerance::default()).unwrap();
        let cut = integrate(
            &stack,
            &start,
            &[0.0, 17.0, 17.0, 200.0],
            Tolerance::default(),
        )
        .unwrap();
        let scales = scales(&stack, &start);
        let off = largest_difference(&whole.states[0], &cut.states[3], &scales);
        assert!(off < 1e-8, "{off:e}");
        assert!(largest_difference(&cut.states[0], &start, &scales) < 1e-15);
        assert_eq!(cut.states[1], cut.states[2]);
    }

    #[test]
    fn invalid_inputs_are_refused() {
        let (stack, start) = settling_bed();
        let refusal = |start: &State, months: &[f64], tolerance| {
            integrate(&stack, start, months, tolerance).unwrap_err()
        };
        let tight = Tolerance::default();
        assert_eq!(
            refusal(&start, &[30.0, 20.0], tight),
            ReferenceError::Calendar { day: 20.0 }
        );
        assert!(matches!(
            refusal(&start, &[f64::NAN], tight),
            ReferenceError::Calendar { .. }
        ));
        assert!(matches!(
            refusal(&start, &[30.0], Tolerance::new(0.0)),
            ReferenceError::Tolerance { .. }
        ));
        assert_eq!(
            refusal(&State::zeros(3), &[30.0], tight),
            ReferenceError::Layout {
                expected: stack.quantities,
                found: 3
            }
        );
        let mut broken = start.clone();
        broken.rows[2] = f64::INFINITY;
        assert_eq!(
            refusal(&broken, &[30.0], tight),
            ReferenceError::Start { row: 2 }
        );
    }

    #[test]
    fn stiff_process_is_an_error_with_its_day() {
        let (mut stack, start) = settling_bed();
        stack.slices[1].pieces[0].pools[0].rate_per_day = 1e5;
        let error = integrate(&stack, &start, &[40.0], Tolerance::default()).unwrap_err();
        let day = match error {
            ReferenceError::Stiff { day } | ReferenceError::TooManySteps { day } => day,
            other => panic!("{other}"),
        };
        assert!((0.0..40.0).contains(&day));
    }
}
