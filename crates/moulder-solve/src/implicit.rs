//! Implicit reference solver, to check the explicit one: the same rates, a different method.
//!
//! The singly diagonally implicit Runge-Kutta method of five stages and order 4 of Hairer &
//! Wanner (Solving Ordinary Differential Equations II, 2nd ed. 1996, sec. IV.6, Table 6.5; from
//! memory, its order conditions are tested below), L-stable, with their embedded method of order
//! 3 for error control. Stages are solved by Newton's method with a finite-difference Jacobian,
//! kept while it converges. Restarts every midnight.
//!
//! Handles stiff processes at the cost of a full matrix: for beds or periods on which the
//! explicit reference solver is checked.
//!
//! ```
#![doc = include_str!("doc/soil_bed.md")]
//! use moulder_solve::implicit::integrate;
//! use moulder_solve::reference::Tolerance;
//!
//! let reference = integrate(&stack, &state, &[10.0], Tolerance::new(1e-6))?;
//! assert!((stack.carbon_kg(&reference.states[0]) - 4.0).abs() < 1e-6);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use moulder_core::bed::stack::Stack;
use moulder_core::bed::state::State;
use nalgebra::{DMatrix, DVector, Dyn, LU};

use crate::reference::{
    Effort, MAX_STEPS, Reference, ReferenceError, Scaled, Tolerance, check, scales, unscale,
};

const STAGES: usize = 5;
/// Diagonal coefficient.
const DIAGONAL: f64 = 0.25;
/// Coefficients below the diagonal; the last row gives the step.
const COEFFICIENTS: [[f64; STAGES - 1]; STAGES] = [
    [0.0, 0.0, 0.0, 0.0],
    [0.5, 0.0, 0.0, 0.0],
    [17.0 / 50.0, -1.0 / 25.0, 0.0, 0.0],
    [371.0 / 1360.0, -137.0 / 2720.0, 15.0 / 544.0, 0.0],
    [25.0 / 24.0, -49.0 / 48.0, 125.0 / 16.0, -85.0 / 12.0],
];
/// Stage times, as shares of the step.
const NODES: [f64; STAGES] = [0.25, 0.75, 11.0 / 20.0, 0.5, 1.0];
/// Weights of the embedded method of order 3.
const EMBEDDED: [f64; STAGES] = [59.0 / 48.0, -17.0 / 96.0, 225.0 / 32.0, -85.0 / 12.0, 0.0];

/// First step of a day, as a share of the day.
const FIRST_STEP: f64 = 1.0 / 16.0;
/// Newton iterations before a step is retried.
const MAX_ITERATIONS: u32 = 8;
/// Newton tolerance, relative to that of a step.
const NEWTON_TOLERANCE: f64 = 1e-2;
/// Contraction rate above which the Jacobian is recomputed.
const MAX_CONTRACTION: f64 = 0.3;
/// Relative increment of the finite differences.
const INCREMENT: f64 = 1e-7;
/// Minimum magnitude for increments, in scaled units.
const MIN_INCREMENTED: f64 = 1e-3;

/// Integrates a bed from filling to each of `month_days`, as
/// [`reference::integrate`](crate::reference::integrate).
///
/// # Errors
///
/// As there, apart from [`ReferenceError::Stiff`].
pub fn integrate(
    stack: &Stack,
    start: &State,
    month_days: &[f64],
    tolerance: Tolerance,
) -> Result<Reference, ReferenceError> {
    check(stack, start, 0.0, month_days, tolerance)?;
    let scales = scales(stack, start);
    let rows = start.rows.iter().zip(&scales);
    let mut at = DVector::from_iterator(scales.len(), rows.map(|(row, scale)| row / scale));
    let mut implicit = Implicit {
        rates: Scaled::new(stack, &scales, 0.0),
        tolerance,
        jacobian: None,
        is_stale: false,
        factored: None,
        effort: Effort::default(),
    };
    let mut states = Vec::with_capacity(month_days.len());
    let mut from = 0.0;
    for &end in month_days {
        while from < end {
            let until = (libm::floor(from) + 1.0).min(end);
            implicit.rates.begin_day(from);
            at = implicit.advance(at, from, until)?;
            from = until;
        }
        let mut state = State::zeros(scales.len());
        unscale(&at, &scales, &mut state);
        states.push(state);
    }
    Ok(Reference {
        states,
        effort: implicit.effort,
    })
}

struct Implicit<'a> {
    rates: Scaled<'a>,
    tolerance: Tolerance,
    jacobian: Option<DMatrix<f64>>,
    /// Whether the Jacobian converged slowly.
    is_stale: bool,
    /// Factorised Newton matrix, with its step.
    factored: Option<(f64, LU<f64, Dyn, Dyn>)>,
    effort: Effort,
}

/// Result of a trial step.
struct TrialStep {
    end: DVector<f64>,
    /// Error norm, in tolerances.
    error: f64,
}

impl Implicit<'_> {
    /// Advances from `from` to `until`, within one day.
    fn advance(
        &mut self,
        mut at: DVector<f64>,
        from: f64,
        until: f64,
    ) -> Result<DVector<f64>, ReferenceError> {
        const SAFETY: f64 = 0.9;
        const MIN_GROWTH: f64 = 0.2;
        const MAX_GROWTH: f64 = 4.0;
        /// Smaller growth keeps the step, and with it the matrix.
        const MIN_USEFUL_GROWTH: f64 = 1.5;
        let mut day = from;
        let mut step = FIRST_STEP * (until - from);
        for _ in 0..MAX_STEPS {
            let rest = until - day;
            // Halving the rest avoids a tiny last step.
            let is_last = step >= rest * (1.0 - 1e-12);
            let own = if is_last {
                rest
            } else if 2.0 * step > rest {
                0.5 * rest
            } else {
                step
            };
            let Some(trial) = self.try_step(&at, day, own) else {
                self.effort.rejected += 1;
                step = 0.25 * own;
                if day + step <= day {
                    return Err(ReferenceError::StepVanished { day });
                }
                continue;
            };
            let growth = SAFETY * libm::pow(trial.error.max(1e-10), -0.25);
            let growth = growth.clamp(MIN_GROWTH, MAX_GROWTH);
            if trial.error <= 1.0 {
                self.effort.steps += 1;
                at = trial.end;
                if is_last {
                    return Ok(at);
                }
                day += own;
                step = if growth >= MIN_USEFUL_GROWTH {
                    own * growth
                } else {
                    own * growth.min(1.0)
                };
            } else {
                self.effort.rejected += 1;
                step = own * growth.min(0.9);
                if day + step <= day {
                    return Err(ReferenceError::StepVanished { day });
                }
            }
        }
        Err(ReferenceError::TooManySteps { day })
    }

    /// A trial step; `None` if Newton's method fails.
    fn try_step(&mut self, at: &DVector<f64>, day: f64, step: f64) -> Option<TrialStep> {
        if core::mem::take(&mut self.is_stale) {
            self.jacobian = None;
        }
        let mut slopes: Vec<DVector<f64>> = Vec::with_capacity(STAGES);
        let mut end = at.clone();
        for (weights, share) in COEFFICIENTS.iter().zip(NODES) {
            let mut base = at.clone();
            for (slope, weight) in slopes.iter().zip(weights) {
                base.axpy(step * weight, slope, 1.0);
            }
            let mut guess = base.clone();
            if let Some(slope) = slopes.last() {
                guess.axpy(step * DIAGONAL, slope, 1.0);
            }
            end = self.stage(at, day, share, step, &base, &guess)?;
            slopes.push((&end - &base) / (step * DIAGONAL));
        }
        let mut difference = DVector::zeros(at.len());
        for (stage, slope) in slopes.iter().enumerate() {
            let weight = COEFFICIENTS[STAGES - 1].get(stage).unwrap_or(&DIAGONAL);
            difference.axpy(step * (weight - EMBEDDED[stage]), slope, 1.0);
        }
        // Filtered by the matrix, so that fast, settled components do not count.
        let (_, matrix) = self.factored.as_ref()?;
        let error = self.error_norm(&matrix.solve(&difference)?, at);
        error.is_finite().then_some(TrialStep { end, error })
    }

    /// Solves a stage at a share of the step: `base + step/4 f(value)`.
    fn stage(
        &mut self,
        at: &DVector<f64>,
        day: f64,
        share: f64,
        step: f64,
        base: &DVector<f64>,
        guess: &DVector<f64>,
    ) -> Option<DVector<f64>> {
        let days = day + share * step;
        let reach = step * DIAGONAL;
        let mut is_fresh = false;
        loop {
            if self.jacobian.is_none() {
                self.differentiate(at, day);
                is_fresh = true;
            }
            self.factor(step);
            let mut value = guess.clone();
            let mut before = None;
            let (mut found, mut is_slow) = (false, false);
            for _ in 0..MAX_ITERATIONS {
                let rates = self.rates_at(days, &value);
                let rest = base - &value + rates * reach;
                let (_, matrix) = self.factored.as_ref()?;
                let change = matrix.solve(&rest)?;
                value += &change;
                let moved = self.error_norm(&change, at);
                // Unknown in the first iteration.
                let shrinks = before.map_or(1.0, |before| moved / before);
                if moved < 1e-3 * NEWTON_TOLERANCE || moved * shrinks < NEWTON_TOLERANCE {
                    found = true;
                    is_slow = before.is_some() && shrinks > MAX_CONTRACTION;
                    break;
                }
                if !moved.is_finite() || (before.is_some() && shrinks >= 1.0) {
                    break;
                }
                before = Some(moved);
            }
            if found {
                self.is_stale |= is_slow;
                return Some(value);
            }
            if is_fresh {
                // A shorter step needs a new matrix, not a new Jacobian.
                return None;
            }
            self.jacobian = None;
            self.factored = None;
        }
    }

    fn rates_at(&mut self, days: f64, value: &DVector<f64>) -> DVector<f64> {
        self.effort.evaluations += 1;
        let mut rates = DVector::zeros(value.len());
        self.rates.rates(days, value, &mut rates);
        rates
    }

    /// Jacobian by finite differences.
    fn differentiate(&mut self, at: &DVector<f64>, day: f64) {
        let still = self.rates_at(day, at);
        let mut jacobian = DMatrix::zeros(at.len(), at.len());
        let mut moved = at.clone();
        for column in 0..at.len() {
            let increment = INCREMENT * at[column].abs().max(MIN_INCREMENTED);
            moved[column] = at[column] + increment;
            let slope = (self.rates_at(day, &moved) - &still) / (moved[column] - at[column]);
            jacobian.set_column(column, &slope);
            moved[column] = at[column];
        }
        self.jacobian = Some(jacobian);
        self.factored = None;
    }

    /// Factorises the Newton matrix for a step, if not cached.
    #[allow(clippy::float_cmp, reason = "cache key")]
    fn factor(&mut self, step: f64) {
        let Some(jacobian) = &self.jacobian else {
            return;
        };
        if !matches!(&self.factored, Some((own, _)) if *own == step) {
            let mut matrix = jacobian * (-step * DIAGONAL);
            for row in 0..matrix.nrows() {
                matrix[(row, row)] += 1.0;
            }
            self.factored = Some((step, matrix.lu()));
        }
    }

    /// Maximum norm of a difference, in tolerances.
    fn error_norm(&self, difference: &DVector<f64>, at: &DVector<f64>) -> f64 {
        let Tolerance { relative, absolute } = self.tolerance;
        let each = difference.iter().zip(at.iter());
        each.map(|(off, at)| off.abs() / (absolute + relative * at.abs()))
            .fold(0.0, |most, off| {
                if off > most || off.is_nan() {
                    off
                } else {
                    most
                }
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reference;
    use crate::test_bed::{DecayingBed, month_ends, settling_bed};

    /// The eight conditions of order 4 and the four of order 3.
    #[test]
    fn order_conditions_hold() {
        let full: Vec<[f64; STAGES]> = (0..STAGES)
            .map(|stage| {
                core::array::from_fn(|j| match j.cmp(&stage) {
                    core::cmp::Ordering::Less => COEFFICIENTS[stage][j],
                    core::cmp::Ordering::Equal => DIAGONAL,
                    core::cmp::Ordering::Greater => 0.0,
                })
            })
            .collect();
        let times = |v: &[f64; STAGES]| -> [f64; STAGES] {
            core::array::from_fn(|i| full[i].iter().zip(v).map(|(a, v)| a * v).sum())
        };
        let by = |v: &[f64; STAGES], w: &[f64; STAGES]| -> [f64; STAGES] {
            core::array::from_fn(|i| v[i] * w[i])
        };
        let one = [1.0; STAGES];
        let c = times(&one);
        let c2 = by(&c, &c);
        let trees = [
            (one, 1.0),
            (c, 0.5),
            (c2, 1.0 / 3.0),
            (times(&c), 1.0 / 6.0),
            (by(&c2, &c), 0.25),
            (by(&c, &times(&c)), 0.125),
            (times(&c2), 1.0 / 12.0),
            (times(&times(&c)), 1.0 / 24.0),
        ];
        for (i, (tree, want)) in trees.iter().enumerate() {
            let sum = |b: &[f64; STAGES]| b.iter().zip(tree).map(|(b, t)| b * t).sum::<f64>();
            assert!((sum(&full[STAGES - 1]) - want).abs() < 1e-13, "tree {i}");
            assert!(i >= 4 || (sum(&EMBEDDED) - want).abs() < 1e-13, "tree {i}");
        }
        assert!((0..STAGES).all(|i| (c[i] - NODES[i]).abs() < 1e-13));
    }

    #[test]
    fn random_beds_follow_the_matrix_exponential() {
        let months = month_ends(6);
        for seed in 0..10 {
            let bed = DecayingBed::random(seed);
            let implicit =
                integrate(&bed.stack, &bed.start, &months, Tolerance::new(1e-8)).unwrap();
            for (state, &day) in implicit.states.iter().zip(&months) {
                let off = bed.carbon_error(state, day);
                assert!(off < 1e-7, "seed {seed}, day {day}: {off:e}");
            }
        }
    }

    /// Both reference solvers agree to a thousandth of the fast solver's tolerance.
    #[test]
    fn settling_bed_matches_the_explicit_reference() {
        let (stack, start) = settling_bed();
        let months = month_ends(9);
        let implicit = integrate(&stack, &start, &months, Tolerance::new(1e-7)).unwrap();
        let reference =
            reference::integrate(&stack, &start, &months, Tolerance::new(1e-9)).unwrap();
        let scales = scales(&stack, &start);
        for (one, other) in implicit.states.iter().zip(&reference.states) {
            for (row, scale) in scales.iter().enumerate() {
                let off = (one.rows[row] - other.rows[row]).abs() / scale;
                assert!(off < 1e-6, "row {row}: {off:e}");
            }
        }
        assert!(implicit.effort.steps < reference.effort.steps);
    }

    /// A process too stiff for the explicit reference solver.
    #[test]
    fn stiff_process_is_integrated() {
        let (mut stack, start) = settling_bed();
        stack.slices[1].pieces[0].pools[0].rate_per_day = 1e5;
        let implicit = integrate(&stack, &start, &[3.0], Tolerance::new(1e-6)).unwrap();
        let carbon = stack.carbon_kg(&implicit.states[0]) / stack.carbon_kg(&start);
        assert!((carbon - 1.0).abs() < 1e-9, "{carbon}");
    }
}
