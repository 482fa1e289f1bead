//! Posterior of a bed's surface given tape measure readings.
//!
//! Given a realisation, the readings are normal about its surface, with the covariance of model
//! discrepancy and reading error. Both are marginalised in closed form for the weights. The
//! discrepancy is then conditioned on the readings by Matheron's rule: add the gain times the
//! difference between the real reading and the one that the realisation would give.

use rand_pcg::Pcg64;

use crate::fit::reading_error::ReadingError;
use crate::fit::surface::Surface;
use crate::numeric::cholesky::Cholesky;
use crate::numeric::uniform::part;
use crate::numeric::weights::Weights;
use crate::uncertainty::discrepancy::{Discrepancy, DiscrepancyTracker, covariances};
use crate::uncertainty::ensemble::in_order;

/// Least effective sample size; below it likelihoods are tempered.
const LEAST_EFFECTIVE: f64 = 30.0;

/// Stream of the random number generator for reading errors.
const STREAM: u128 = 0x1f72_c4d8_0ab5_396e_e5a1_7d03_948b_62fd;

/// Of each realisation: heights on the days of the readings, settlement by month for each
/// reading, and model discrepancy.
pub(crate) struct Problem {
    pub(crate) readings_m: Vec<f64>,
    pub(crate) realisations: Vec<(Vec<f64>, Vec<Vec<f64>>, Discrepancy)>,
}

/// A realisation given the readings.
struct Weighted {
    log_likelihood: f64,
    /// Discrepancy, given the readings.
    discrepancy: Discrepancy,
    /// The readings that this realisation would have given; m.
    replicate_m: Vec<f64>,
    /// Covariance of the discrepancy on the days of the readings; m2.
    discrepancy_m2: Vec<f64>,
    /// Additional settlement on these days, given the readings; m.
    extra_m: Vec<f64>,
}

/// Distribution of a bed's surface given readings, or without any (the prior).
#[derive(Debug, Clone)]
pub struct Posterior {
    weights: Weights,
    /// Model discrepancy of each realisation.
    discrepancies: Vec<Discrepancy>,
    /// Of each realisation by month: height, settlement, rise by additions; m.
    months: Vec<Vec<[f64; 3]>>,
    /// Height of each realisation at each reading; m.
    at_readings_m: Vec<Vec<f64>>,
    /// The readings that each realisation would have given; m.
    replicates_m: Vec<Vec<f64>>,
    /// Mean covariance of the readings about the simulated surface; m2.
    about_m2: Vec<f64>,
}

impl Posterior {
    /// Weights of the realisations.
    #[must_use]
    pub const fn weights(&self) -> &Weights {
        &self.weights
    }

    /// Model discrepancy of each realisation, given the readings.
    pub(crate) fn discrepancies(&self) -> &[Discrepancy] {
        &self.discrepancies
    }

    /// Height of the surface above the ground at the end of a month, with the weight of each
    /// realisation; m. Empty for a month beyond the last.
    #[must_use]
    pub fn heights_m(&self, month: usize) -> Vec<(f64, f64)> {
        self.of_month(month, |[height_m, ..]| height_m)
    }

    /// Settlement by then, with weights; m.
    #[must_use]
    pub fn settlement_m(&self, month: usize) -> Vec<(f64, f64)> {
        self.of_month(month, |[_, settlement_m, _]| settlement_m)
    }

    /// Fall of the surface below its height when filled, with weights; m.
    #[must_use]
    pub fn lowered_m(&self, month: usize) -> Vec<(f64, f64)> {
        self.of_month(month, |[_, settlement_m, added_m]| settlement_m - added_m)
    }

    fn of_month(&self, month: usize, figure: fn([f64; 3]) -> f64) -> Vec<(f64, f64)> {
        let realisations = self.months.iter().zip(&self.weights.shares);
        realisations
            .filter_map(|(months, share)| Some((figure(*months.get(month)?), *share)))
            .collect()
    }

    /// Height of the surface at a reading, with weights; m.
    pub(crate) fn at_reading_m(&self, reading: usize) -> Vec<(f64, f64)> {
        let realisations = self.at_readings_m.iter().zip(&self.weights.shares);
        realisations
            .filter_map(|(heights_m, share)| Some((*heights_m.get(reading)?, *share)))
            .collect()
    }

    pub(crate) fn replicates_m(&self) -> &[Vec<f64>] {
        &self.replicates_m
    }

    pub(crate) fn about_m2(&self) -> &[f64] {
        &self.about_m2
    }
}

/// The prior on the days of the readings.
pub(crate) fn prior(problem: &Problem, months: &[&[Surface]]) -> Posterior {
    let realisations = problem.realisations.iter();
    let at_readings_m = realisations
        .clone()
        .map(|(heights_m, steps_m, discrepancy)| {
            let each = heights_m.iter().zip(steps_m);
            each.map(|(height_m, steps_m)| height_m - discrepancy.extra_m(steps_m))
                .collect()
        });
    Posterior {
        weights: Weights::equal(problem.realisations.len()),
        discrepancies: realisations
            .clone()
            .map(|(.., discrepancy)| discrepancy.clone())
            .collect(),
        at_readings_m: at_readings_m.collect(),
        months: realisations
            .zip(months)
            .map(|((.., discrepancy), months)| applied(discrepancy, months))
            .collect(),
        replicates_m: Vec::new(),
        about_m2: Vec::new(),
    }
}

/// The posterior; without readings, the prior.
pub(crate) fn posterior(
    problem: &Problem,
    error: &ReadingError,
    seed: u64,
    months: &[&[Surface]],
) -> Posterior {
    let count = u32::try_from(problem.realisations.len()).unwrap_or(u32::MAX);
    let error_m2 = error.covariance();
    let weighted = in_order(0..count, &|number| {
        weighted_by_readings(problem, error, &error_m2, seed, number)
    });
    let logs: Vec<f64> = weighted
        .iter()
        .map(|realisation| realisation.log_likelihood)
        .collect();
    let weights = Weights::tempered(&logs, LEAST_EFFECTIVE);
    let mut about_m2 = error_m2;
    for realisation in &weighted {
        for (about_m2, discrepancy_m2) in about_m2.iter_mut().zip(&realisation.discrepancy_m2) {
            *about_m2 += discrepancy_m2 / f64::from(count);
        }
    }
    let at_readings_m =
        weighted
            .iter()
            .zip(&problem.realisations)
            .map(|(realisation, (by_laws_m, ..))| {
                let heights_m = by_laws_m.iter().zip(&realisation.extra_m);
                heights_m
                    .map(|(height_m, extra_m)| height_m - extra_m)
                    .collect()
            });
    Posterior {
        weights,
        months: weighted
            .iter()
            .zip(months)
            .map(|(realisation, months)| applied(&realisation.discrepancy, months))
            .collect(),
        at_readings_m: at_readings_m.collect(),
        about_m2,
        discrepancies: weighted
            .iter()
            .map(|realisation| realisation.discrepancy.clone())
            .collect(),
        replicates_m: weighted
            .into_iter()
            .map(|realisation| realisation.replicate_m)
            .collect(),
    }
}

/// The surface with model discrepancy: as [`Discrepancy::apply`].
fn applied(discrepancy: &Discrepancy, months: &[Surface]) -> Vec<[f64; 3]> {
    let mut tracker = DiscrepancyTracker::new(discrepancy);
    let months = months.iter().map(|row| {
        let extra_m = tracker.month_end(row.settlement_m);
        [
            row.height_m - extra_m,
            row.settlement_m + extra_m,
            row.added_m,
        ]
    });
    months.collect()
}

/// Weights one realisation.
fn weighted_by_readings(
    problem: &Problem,
    error: &ReadingError,
    error_m2: &[f64],
    seed: u64,
    number: u32,
) -> Weighted {
    let (heights_m, steps_m, discrepancy) = &problem.realisations[number as usize];
    let rows = heights_m.len();
    let with: Vec<Vec<f64>> = steps_m.iter().map(|steps_m| covariances(steps_m)).collect();
    let discrepancy_m2: Vec<f64> = steps_m
        .iter()
        .flat_map(|steps_m| with.iter().map(|with| dot(steps_m, with)))
        .collect();
    let both = discrepancy_m2.iter().zip(error_m2);
    let both: Vec<f64> = both
        .map(|(discrepancy_m2, error_m2)| discrepancy_m2 + error_m2)
        .collect();
    let mut numbers = Pcg64::new((u128::from(seed) << 32) | u128::from(number), STREAM);
    let errors_m = error.errors_m(|| part(&mut numbers));
    let replicate_m: Vec<f64> = (0..rows)
        .map(|at| heights_m[at] - discrepancy.extra_m(&steps_m[at]) + errors_m[at])
        .collect();
    let mut discrepancy = discrepancy.clone();
    // The reading error is never zero, so the factor exists.
    let log_likelihood = Cholesky::of(&both, rows).map_or(f64::NEG_INFINITY, |factor| {
        let readings_m = problem.readings_m.iter();
        let apart = |from: &[f64]| -> Vec<f64> {
            let pairs = readings_m.clone().zip(from);
            pairs
                .map(|(readings_m, from_m)| readings_m - from_m)
                .collect()
        };
        let solved = factor.solve(&apart(&replicate_m));
        for (with, solved) in with.iter().zip(&solved) {
            // A reading above the realisation's own means less settlement.
            let less: Vec<f64> = with.iter().map(|with| with * solved).collect();
            discrepancy.subtract(&less);
        }
        let white = factor.whitened(&apart(heights_m));
        -0.5 * (dot(&white, &white) + factor.ln_determinant())
    });
    Weighted {
        log_likelihood,
        extra_m: steps_m
            .iter()
            .map(|steps| discrepancy.extra_m(steps))
            .collect(),
        discrepancy,
        replicate_m,
        discrepancy_m2,
    }
}

pub(crate) fn dot(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}

#[cfg(test)]
mod tests {
    use super::{Problem, dot, posterior};
    use crate::bed::Reading;
    use crate::fit::reading_error::ReadingError;
    use crate::fit::surface::Surface;
    use crate::numeric::normal::quantile;
    use crate::numeric::uniform::part;
    use crate::quantity::units::Units;
    use crate::uncertainty::discrepancy::{Discrepancy, covariances};
    use jiff::civil::date;
    use rand_pcg::Pcg64;

    /// Settlement by the two readings and by the end, month by month; m.
    const STEPS_M: [[f64; 3]; 3] = [[0.2, 0.0, 0.0], [0.2, 0.1, 0.0], [0.2, 0.1, 0.05]];
    const REALISATIONS: u32 = 20_000;

    /// One normal parameter that acts linearly on the surface, and the same settlement in all
    /// realisations: everything is jointly normal, and the posterior two months after the last
    /// reading has a closed form. The stronger the parameter, the fewer realisations are
    /// effective.
    #[test]
    fn a_linear_problem_has_its_closed_form() {
        let readings = [(1, 0.55), (30, 0.43)].map(|(days, height_m)| Reading {
            on: date(2026, 4, days),
            height_m,
            give_or_take_m: None,
            note: None,
        });
        let error = ReadingError::new(&readings, Units::Metric);
        let error_m2 = error.covariance();
        let with = STEPS_M.map(|steps_m| covariances(&steps_m));
        let discrepancy = |one: usize, other: usize| dot(&STEPS_M[one], &with[other]);
        let mut effective_sizes = Vec::new();
        for effect_m in [0.01, 0.05, 0.2] {
            // Effect of the parameter on the surface at the readings and at the end.
            let effects = [0.6 * effect_m, 0.9 * effect_m, effect_m];
            let mean = [0.5, 0.4, 0.35];
            let mut numbers = Pcg64::new(11, 12);
            let at: Vec<[f64; 3]> = (0..REALISATIONS)
                .map(|_| {
                    let z = quantile(part(&mut numbers));
                    core::array::from_fn(|place| mean[place] + effects[place] * z)
                })
                .collect();
            let realisations = (0..REALISATIONS).zip(&at).map(|(number, at)| {
                let steps = vec![STEPS_M[0].to_vec(), STEPS_M[1].to_vec()];
                (at[..2].to_vec(), steps, Discrepancy::new(4, number, 3))
            });
            let problem = Problem {
                readings_m: readings.iter().map(|reading| reading.height_m).collect(),
                realisations: realisations.collect(),
            };
            let months: Vec<Vec<Surface>> = at
                .iter()
                .map(|at| {
                    let month = |height_m, settlement_m| Surface {
                        height_m,
                        settlement_m,
                        added_m: 0.0,
                    };
                    let early = [month(0.6, 0.0), month(at[0], 0.2), month(at[1], 0.3)];
                    early.into_iter().chain([month(at[2], 0.35)]).collect()
                })
                .collect();
            let months: Vec<&[Surface]> = months.iter().map(Vec::as_slice).collect();
            let posterior = posterior(&problem, &error, 4, &months);
            let heights: Vec<f64> = posterior
                .heights_m(3)
                .iter()
                .map(|(height, _)| *height)
                .collect();
            let (got_mean, got_variance) = posterior.weights().mean_and_variance(&heights);

            let both =
                |one: usize, other: usize| effects[one] * effects[other] + discrepancy(one, other);
            let [a, b, d] = [
                both(0, 0) + error_m2[0],
                both(0, 1) + error_m2[1],
                both(1, 1) + error_m2[3],
            ];
            let (c, e) = (both(2, 0), both(2, 1));
            let whole = a * d - b * b;
            let gain = [(c * d - e * b) / whole, (e * a - c * b) / whole];
            let apart = [0.55 - mean[0], 0.43 - mean[1]];
            let want_mean = mean[2] + gain[0] * apart[0] + gain[1] * apart[1];
            let want_variance = both(2, 2) - gain[0] * c - gain[1] * e;

            let effective = posterior.weights().effective;
            effective_sizes.push(effective);
            let want_sd = want_variance.sqrt();
            let mean_error = want_sd / effective.sqrt();
            assert!(
                (got_mean - want_mean).abs() < 4.0 * mean_error,
                "{effect_m}: {got_mean} {want_mean} give or take {mean_error}"
            );
            let sd_error = want_sd / (2.0 * effective).sqrt();
            assert!(
                (got_variance.sqrt() - want_sd).abs() < 4.0 * sd_error,
                "{effect_m}: {} {want_sd} give or take {sd_error}",
                got_variance.sqrt()
            );
            // Standard deviations of 5 or 20 cm become two or three.
            assert!(want_variance < both(2, 2));
        }
        assert!(
            effective_sizes[0] > 2.0 * effective_sizes[2] && effective_sizes[2] > 1000.0,
            "{effective_sizes:?}"
        );
    }
}
