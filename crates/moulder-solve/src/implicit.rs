//! A second judge: the same rates by an implicit method that shares nothing with the
//! first but the laws.
//!
//! The method is the singly diagonally implicit one of five stages and order 4 of
//! Hairer & Wanner (Solving Ordinary Differential Equations II, 2nd ed. 1996, sec.
//! IV.6, Table 6.5; from memory, its order conditions are tested below), L-stable, with
//! their embedded method of order 3 to measure each step. The stages are found by
//! Newton's method with a Jacobian from differences, kept as long as it serves. Every
//! midnight it begins anew.
//!
//! It does not creep where a process is fast, but works out a whole matrix: it is for
//! beds or spans on which the reference path is to be checked itself.
//!
//! ```
#![doc = include_str!("doc/soil_bed.md")]
//! use moulder_solve::implicit::integrate;
//! use moulder_solve::reference::Tolerance;
//!
//! let reference = integrate(&stack, &state, &[10.0], Tolerance::new(1e-6))?;
//! assert!((stack.carbon_kg(&reference.states[0], 0) - 4.0).abs() < 1e-6);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use moulder_core::bed::stack::Stack;
use moulder_core::bed::state::State;
use nalgebra::{DMatrix, DVector, Dyn, LU};

use crate::reference::{
    Effort, MOST_STEPS, Reference, ReferenceError, Scaled, Tolerance, check, scales, unscale,
};

const STAGES: usize = 5;
/// Weight of a stage in itself.
const DIAGONAL: f64 = 0.25;
/// Weights of the stages before each stage; the last row makes the step.
const BEFORE: [[f64; STAGES - 1]; STAGES] = [
    [0.0, 0.0, 0.0, 0.0],
    [0.5, 0.0, 0.0, 0.0],
    [17.0 / 50.0, -1.0 / 25.0, 0.0, 0.0],
    [371.0 / 1360.0, -137.0 / 2720.0, 15.0 / 544.0, 0.0],
    [25.0 / 24.0, -49.0 / 48.0, 125.0 / 16.0, -85.0 / 12.0],
];
/// When each stage is, as a share of the step.
const AT: [f64; STAGES] = [0.25, 0.75, 11.0 / 20.0, 0.5, 1.0];
/// Weights of the embedded method of order 3.
const EMBEDDED: [f64; STAGES] = [59.0 / 48.0, -17.0 / 96.0, 225.0 / 32.0, -85.0 / 12.0, 0.0];

/// First step of a day, as a share of it.
const FIRST_STEP: f64 = 1.0 / 16.0;
/// Rounds of Newton's method after which a step is trial anew.
const MOST_ROUNDS: u32 = 8;
/// How close to a stage Newton's method has to come, in tolerances of a step.
const CLOSE: f64 = 1e-2;
/// A Jacobian that shrinks the distance less than this in a round is worked out anew.
const SLOW: f64 = 0.3;
/// Share of a quantity by which it is moved to find the slopes.
const NUDGE: f64 = 1e-7;
/// Least quantity that a nudge is a share of, in scales of its kind.
const LEAST_NUDGED: f64 = 1e-3;

/// Integrates a bed from its filling to each of `month_days`, as
/// [`reference::integrate`](crate::reference::integrate) does.
///
/// # Errors
///
/// As there, apart from [`ReferenceError::Stiff`].
pub fn integrate(
    stack: &Stack<1>,
    start: &State<1>,
    month_days: &[f64],
    tolerance: Tolerance,
) -> Result<Reference, ReferenceError> {
    check(stack, start, 0.0, month_days, tolerance)?;
    let scales = scales(stack, start);
    let rows = start.rows.iter().zip(&scales);
    let mut at = DVector::from_iterator(scales.len(), rows.map(|(row, scale)| row[0] / scale));
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
    /// Whether it still serves, but slowly.
    is_stale: bool,
    /// The matrix of Newton's method, with the step that it is for.
    factored: Option<(f64, LU<f64, Dyn, Dyn>)>,
    effort: Effort,
}

/// A step as trial.
struct TrialStep {
    end: DVector<f64>,
    /// How far it is off, in tolerances.
    off: f64,
}

impl Implicit<'_> {
    /// Goes from `from` to `until`, within one day.
    fn advance(
        &mut self,
        mut at: DVector<f64>,
        from: f64,
        until: f64,
    ) -> Result<DVector<f64>, ReferenceError> {
        const SAFETY: f64 = 0.9;
        const LEAST_GROWTH: f64 = 0.2;
        const MOST_GROWTH: f64 = 4.0;
        /// A step that could grow by less keeps its length, and with it its matrix.
        const WORTH_GROWING: f64 = 1.5;
        let mut day = from;
        let mut step = FIRST_STEP * (until - from);
        for _ in 0..MOST_STEPS {
            let rest = until - day;
            // What is left is halved rather than left as a crumb.
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
            let growth = SAFETY * libm::pow(trial.off.max(1e-10), -0.25);
            let growth = growth.clamp(LEAST_GROWTH, MOST_GROWTH);
            if trial.off <= 1.0 {
                self.effort.steps += 1;
                at = trial.end;
                if is_last {
                    return Ok(at);
                }
                day += own;
                step = if growth >= WORTH_GROWING {
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

    /// Tries a step; none when Newton's method does not find a stage.
    fn try_step(&mut self, at: &DVector<f64>, day: f64, step: f64) -> Option<TrialStep> {
        if core::mem::take(&mut self.is_stale) {
            self.jacobian = None;
        }
        let mut slopes: Vec<DVector<f64>> = Vec::with_capacity(STAGES);
        let mut end = at.clone();
        for (weights, share) in BEFORE.iter().zip(AT) {
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
            let weight = BEFORE[STAGES - 1].get(stage).unwrap_or(&DIAGONAL);
            difference.axpy(step * (weight - EMBEDDED[stage]), slope, 1.0);
        }
        // Through the matrix, so that what is fast and settled counts for nothing.
        let (_, matrix) = self.factored.as_ref()?;
        let off = self.measured(&matrix.solve(&difference)?, at);
        off.is_finite().then_some(TrialStep { end, off })
    }

    /// The value at a stage, which is at a share of the step: `base + step/4 f(value)`.
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
            for _ in 0..MOST_ROUNDS {
                let rates = self.rates_at(days, &value);
                let rest = base - &value + rates * reach;
                let (_, matrix) = self.factored.as_ref()?;
                let change = matrix.solve(&rest)?;
                value += &change;
                let moved = self.measured(&change, at);
                // Unknown after the first round, which may be luck.
                let shrinks = before.map_or(1.0, |before| moved / before);
                if moved < 1e-3 * CLOSE || moved * shrinks < CLOSE {
                    found = true;
                    is_slow = before.is_some() && shrinks > SLOW;
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
                // A shorter step needs another matrix, but the slopes hold.
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

    /// Slopes of all rates by all quantities, from differences.
    fn differentiate(&mut self, at: &DVector<f64>, day: f64) {
        let still = self.rates_at(day, at);
        let mut jacobian = DMatrix::zeros(at.len(), at.len());
        let mut moved = at.clone();
        for column in 0..at.len() {
            let nudge = NUDGE * at[column].abs().max(LEAST_NUDGED);
            moved[column] = at[column] + nudge;
            let slope = (self.rates_at(day, &moved) - &still) / (moved[column] - at[column]);
            jacobian.set_column(column, &slope);
            moved[column] = at[column];
        }
        self.jacobian = Some(jacobian);
        self.factored = None;
    }

    /// Makes the matrix of Newton's method for a step, unless it is at hand.
    #[allow(clippy::float_cmp, reason = "the very same step or another")]
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

    /// The largest entry of a difference, in tolerances.
    fn measured(&self, difference: &DVector<f64>, at: &DVector<f64>) -> f64 {
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

    /// The eight conditions of order 4 and the four of order 3, from the tables alone.
    #[test]
    fn the_tables_have_their_orders() {
        let full: Vec<[f64; STAGES]> = (0..STAGES)
            .map(|stage| {
                core::array::from_fn(|j| match j.cmp(&stage) {
                    core::cmp::Ordering::Less => BEFORE[stage][j],
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
        assert!((0..STAGES).all(|i| (c[i] - AT[i]).abs() < 1e-13));
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

    /// Two methods, one system: a thousandth of what the fast path may be off by.
    #[test]
    fn a_sinking_bed_is_as_the_reference_has_it() {
        let (stack, start) = settling_bed();
        let months = month_ends(9);
        let implicit = integrate(&stack, &start, &months, Tolerance::new(1e-7)).unwrap();
        let reference =
            reference::integrate(&stack, &start, &months, Tolerance::new(1e-9)).unwrap();
        let scales = scales(&stack, &start);
        for (one, other) in implicit.states.iter().zip(&reference.states) {
            for (row, scale) in scales.iter().enumerate() {
                let off = (one.rows[row][0] - other.rows[row][0]).abs() / scale;
                assert!(off < 1e-6, "row {row}: {off:e}");
            }
        }
        assert!(implicit.effort.steps < reference.effort.steps);
    }

    /// What the reference path refuses as too fast, this one goes through.
    #[test]
    fn a_fast_process_is_no_hindrance() {
        let (mut stack, start) = settling_bed();
        stack.slices[1].pieces[0].pools[0].rate_per_day = [1e5];
        let implicit = integrate(&stack, &start, &[3.0], Tolerance::new(1e-6)).unwrap();
        let carbon = stack.carbon_kg(&implicit.states[0], 0) / stack.carbon_kg(&start, 0);
        assert!((carbon - 1.0).abs() < 1e-9, "{carbon}");
    }
}
