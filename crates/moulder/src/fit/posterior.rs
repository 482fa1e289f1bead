//! Posterior of a bed's surface given tape measure readings.
//!
//! Given a realisation and the scale of its model discrepancy, the readings are normal about its
//! surface, with the covariance of discrepancy and reading error. For the weights both are
//! marginalised in closed form, and the scale by a sum. For each discrepancy of the realisation a
//! scale is then drawn given the readings, and the discrepancy at that scale is conditioned on them
//! by Matheron's rule: add the gain times the difference between the real reading and the one that
//! the realisation would give. The datum of the tape is conditioned with it: heights are those that
//! the same tape reads.

use moulder_core::math::elementary::{exp, ln};
use rand_pcg::Pcg64;

use crate::fit::reading_error::ReadingError;
use crate::fit::surface::Surface;
use crate::numeric::cholesky::Cholesky;
use crate::numeric::interval::Interval;
use crate::numeric::scale_mixture::{ScaleMixture, scale};
use crate::numeric::uniform::part;
use crate::numeric::weights::Weights;
use crate::uncertainty::discrepancy::{Discrepancy, DiscrepancyTracker, covariances};
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::ensemble::in_order;

/// Least effective sample size; below it likelihoods are tempered.
const LEAST_EFFECTIVE: f64 = 30.0;

/// Stream of the random number generator for reading errors and the scale given the readings.
const STREAM: u128 = 0x1f72_c4d8_0ab5_396e_e5a1_7d03_948b_62fd;

/// The readings, and what each realisation predicts of them.
pub(crate) struct Problem {
    pub(crate) readings_m: Vec<f64>,
    pub(crate) realisations: Vec<Predicted>,
    pub(crate) prior: DiscrepancyPrior,
}

/// A realisation on the days of the readings.
pub(crate) struct Predicted {
    /// Height by the laws at each reading; m.
    pub(crate) heights_m: Vec<f64>,
    /// For each reading, the effect of each month's discrepancy; m.
    pub(crate) effects_m: Vec<Vec<f64>>,
    /// Model discrepancies.
    pub(crate) discrepancies: Vec<Discrepancy>,
}

/// A realisation given the readings.
struct Weighted {
    log_likelihood: f64,
    /// Discrepancies, given the readings.
    discrepancies: Vec<Discrepancy>,
    /// The readings that this realisation would have given with its first discrepancy; m.
    replicate_m: Vec<f64>,
    /// Covariance of the discrepancy on the days of the readings, at the scale 1; m2.
    discrepancy_m2: Vec<f64>,
}

/// Distribution of a bed's surface given readings, or without any (the prior): each realisation
/// with each of its discrepancies, which have equal shares of its weight.
#[derive(Debug, Clone)]
pub struct Posterior {
    weights: Weights,
    /// Of each realisation with each discrepancy.
    surfaces: Vec<Vec<SurfaceGivenReadings>>,
    /// The readings that each realisation would have given; m.
    replicates_m: Vec<Vec<f64>>,
    /// Covariance of the reading error, and mean covariance of the discrepancy at the scale 1 on
    /// the days of the readings; m2.
    error_m2: Vec<f64>,
    discrepancy_m2: Vec<f64>,
    /// Scales of the discrepancy.
    scales: ScaleMixture,
}

/// A realisation's surface with one of its discrepancies.
#[derive(Debug, Clone)]
struct SurfaceGivenReadings {
    /// The discrepancy, given the readings.
    discrepancy: Discrepancy,
    /// By month: height, settlement, rise by additions; m.
    months: Vec<[f64; 3]>,
    /// Height at each reading; m.
    at_readings_m: Vec<f64>,
}

impl SurfaceGivenReadings {
    fn new(discrepancy: Discrepancy, predicted: &Predicted, months: &[Surface]) -> Self {
        let at_readings = predicted.heights_m.iter().zip(&predicted.effects_m);
        Self {
            months: applied(&discrepancy, months),
            at_readings_m: at_readings
                .map(|(height_m, effects_m)| {
                    height_m - discrepancy.extra_m(effects_m) + discrepancy.datum_m()
                })
                .collect(),
            discrepancy,
        }
    }
}

impl Posterior {
    /// Weights of the realisations.
    #[must_use]
    pub const fn weights(&self) -> &Weights {
        &self.weights
    }

    /// The discrepancies of a realisation, given the readings.
    pub(crate) fn discrepancies(&self, realisation: usize) -> Vec<Discrepancy> {
        let surfaces = self.surfaces.get(realisation).into_iter().flatten();
        surfaces
            .map(|surface| surface.discrepancy.clone())
            .collect()
    }

    /// Height of the surface above the ground at the end of a month, with weights; m. Empty for a
    /// month beyond the last.
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
        self.weighted(|surface| Some(figure(*surface.months.get(month)?)))
    }

    /// Height of the surface at a reading, with weights; m.
    pub(crate) fn at_reading_m(&self, reading: usize) -> Vec<(f64, f64)> {
        self.weighted(|surface| surface.at_readings_m.get(reading).copied())
    }

    /// A figure of every surface with its weight.
    fn weighted(&self, figure: impl Fn(&SurfaceGivenReadings) -> Option<f64>) -> Vec<(f64, f64)> {
        let realisations = self.surfaces.iter().zip(&self.weights.shares);
        realisations
            .flat_map(|(surfaces, share)| {
                let each = u32::try_from(surfaces.len()).unwrap_or(u32::MAX);
                let share = share / f64::from(each.max(1));
                surfaces.iter().map(move |surface| (surface, share))
            })
            .filter_map(|(surface, share)| Some((figure(surface)?, share)))
            .collect()
    }

    /// The interval of a figure of every surface with its weight.
    pub(crate) fn interval(&self, weighted: impl IntoIterator<Item = (f64, f64)>) -> Interval {
        Interval::of_weighted(weighted, self.weights.effective)
    }

    pub(crate) fn replicates_m(&self) -> &[Vec<f64>] {
        &self.replicates_m
    }

    /// Mean covariance of the readings about the simulated surface; m2.
    pub(crate) fn about_m2(&self) -> Vec<f64> {
        self.about_at_m2(self.scales.mean_square())
    }

    /// The same at each scale of the discrepancy, with its chance.
    pub(crate) fn about_by_scale_m2(&self) -> Vec<(f64, Vec<f64>)> {
        let nodes = self.scales.nodes();
        nodes
            .map(|(power, chance)| (chance, self.about_at_m2(scale(2 * power))))
            .collect()
    }

    fn about_at_m2(&self, square: f64) -> Vec<f64> {
        let both = self.discrepancy_m2.iter().zip(&self.error_m2);
        both.map(|(discrepancy_m2, error_m2)| square * discrepancy_m2 + error_m2)
            .collect()
    }
}

/// The prior on the days of the readings.
pub(crate) fn prior(problem: &Problem, months: &[&[Surface]]) -> Posterior {
    let realisations = problem.realisations.iter().zip(months);
    Posterior {
        weights: Weights::equal(problem.realisations.len()),
        surfaces: realisations
            .map(|(predicted, months)| {
                let each = predicted.discrepancies.iter().cloned();
                each.map(|one| SurfaceGivenReadings::new(one, predicted, months))
                    .collect()
            })
            .collect(),
        replicates_m: Vec::new(),
        error_m2: Vec::new(),
        discrepancy_m2: Vec::new(),
        scales: problem.prior.scales,
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
    let mut discrepancy_m2 = vec![0.0; error_m2.len()];
    for realisation in &weighted {
        for (mean_m2, own_m2) in discrepancy_m2.iter_mut().zip(&realisation.discrepancy_m2) {
            *mean_m2 += own_m2 / f64::from(count);
        }
    }
    let mut surfaces = Vec::with_capacity(weighted.len());
    let mut replicates_m = Vec::with_capacity(weighted.len());
    let realisations = weighted.into_iter().zip(&problem.realisations).zip(months);
    for ((realisation, predicted), months) in realisations {
        let each = realisation.discrepancies.into_iter();
        surfaces.push(
            each.map(|one| SurfaceGivenReadings::new(one, predicted, months))
                .collect(),
        );
        replicates_m.push(realisation.replicate_m);
    }
    Posterior {
        weights,
        surfaces,
        replicates_m,
        error_m2,
        discrepancy_m2,
        scales: problem.prior.scales,
    }
}

/// The surface with model discrepancy: as [`Discrepancy::apply`].
fn applied(discrepancy: &Discrepancy, months: &[Surface]) -> Vec<[f64; 3]> {
    let mut tracker = DiscrepancyTracker::new(discrepancy);
    let months = months.iter().map(|row| {
        let extra_m = tracker.month_end(row.settlement_m, row.thickness_m);
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
    let prior = &problem.prior;
    let Predicted {
        heights_m,
        effects_m,
        discrepancies,
    } = &problem.realisations[number as usize];
    let with: Vec<Vec<f64>> = effects_m
        .iter()
        .map(|effects_m| covariances(prior, effects_m))
        .collect();
    let discrepancy_m2: Vec<f64> = effects_m
        .iter()
        .flat_map(|effects_m| with.iter().map(|with| dot(effects_m, with)))
        .collect();
    let mut numbers = Pcg64::new((u128::from(seed) << 32) | u128::from(number), STREAM);
    let scales = scales(
        prior.scales,
        [&discrepancy_m2, error_m2],
        &apart(&problem.readings_m, heights_m),
    );
    let log_likelihood = ln_sum(scales.iter().map(|scale| scale.log_likelihood));
    let mut replicate_m = None;
    let discrepancies = discrepancies.iter().map(|discrepancy| {
        let scale_share = part(&mut numbers);
        let (mut datum_m, errors_m) = error.errors_m(|| part(&mut numbers));
        let replicate = |discrepancy: &Discrepancy| -> Vec<f64> {
            let each = heights_m.iter().zip(effects_m).zip(&errors_m);
            each.map(|((height_m, effects_m), error_m)| {
                height_m - discrepancy.extra_m(effects_m) + error_m
            })
            .collect()
        };
        replicate_m.get_or_insert_with(|| replicate(discrepancy));
        let Some(drawn) = scale_at(&scales, log_likelihood, scale_share) else {
            return discrepancy.clone();
        };
        let mut discrepancy = discrepancy.at_scale(drawn.power);
        let solved = drawn
            .factor
            .solve(&apart(&problem.readings_m, &replicate(&discrepancy)));
        let square = scale(2 * drawn.power);
        for (with, solved) in with.iter().zip(&solved) {
            // A reading above the realisation's own means less settlement.
            let less: Vec<f64> = with.iter().map(|with| square * with * solved).collect();
            discrepancy.subtract(&less);
        }
        datum_m += ReadingError::datum_m2() * solved.iter().sum::<f64>();
        discrepancy.read_from(datum_m)
    });
    Weighted {
        log_likelihood,
        discrepancies: discrepancies.collect(),
        replicate_m: replicate_m.unwrap_or_default(),
        discrepancy_m2,
    }
}

/// The readings less others.
fn apart(readings_m: &[f64], others_m: &[f64]) -> Vec<f64> {
    let pairs = readings_m.iter().zip(others_m);
    pairs
        .map(|(readings_m, others_m)| readings_m - others_m)
        .collect()
}

/// A scale of the discrepancy, as in [`scale`], given the readings.
struct ScaleGivenReadings {
    power: i32,
    /// Log of its chance times the likelihood.
    log_likelihood: f64,
    /// Factor of the covariance of the readings.
    factor: Cholesky,
}

/// All scales, from the covariances of discrepancy and reading error at the scale 1. The reading
/// error is never zero, so each has its factor.
fn scales(
    scales: ScaleMixture,
    [discrepancy_m2, error_m2]: [&[f64]; 2],
    apart_m: &[f64],
) -> Vec<ScaleGivenReadings> {
    let each = scales.nodes().filter_map(|(power, chance)| {
        let square = scale(2 * power);
        let both = discrepancy_m2.iter().zip(error_m2);
        let both: Vec<f64> = both
            .map(|(discrepancy_m2, error_m2)| square * discrepancy_m2 + error_m2)
            .collect();
        let factor = Cholesky::of(&both, apart_m.len())?;
        let white = factor.whitened(apart_m);
        let twice = dot(&white, &white) + factor.ln_determinant();
        Some(ScaleGivenReadings {
            power,
            log_likelihood: ln(chance) - 0.5 * twice,
            factor,
        })
    });
    each.collect()
}

/// Log of the sum of figures given by their logs.
pub(crate) fn ln_sum(logs: impl Iterator<Item = f64> + Clone) -> f64 {
    let greatest = logs.clone().fold(f64::NEG_INFINITY, f64::max);
    if greatest.is_infinite() {
        return greatest;
    }
    greatest + ln(logs.map(|log| exp(log - greatest)).sum())
}

/// The scale below which that share of the likelihoods lies.
fn scale_at(scales: &[ScaleGivenReadings], ln_sum: f64, share: f64) -> Option<&ScaleGivenReadings> {
    let mut left = share;
    let found = scales.iter().find(|scale| {
        left -= exp(scale.log_likelihood - ln_sum);
        left < 0.0
    });
    found.or(scales.last())
}

pub(crate) fn dot(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}

#[cfg(test)]
mod tests {
    use super::{Predicted, Problem, dot, posterior};
    use crate::bed::Reading;
    use crate::fit::reading_error::ReadingError;
    use crate::fit::surface::Surface;
    use crate::numeric::normal::quantile;
    use crate::numeric::scale_mixture::{HEAVY, NORMAL};
    use crate::numeric::uniform::part;
    use crate::quantity::units::Units;
    use crate::uncertainty::discrepancy::{Discrepancy, covariances};
    use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
    use jiff::civil::date;
    use rand_pcg::Pcg64;

    /// Effects of the months on the two readings and at the end; m.
    const EFFECTS_M: [[f64; 3]; 3] = [[0.2, 0.0, 0.0], [0.2, 0.1, 0.0], [0.2, 0.1, 0.05]];
    const REALISATIONS: u32 = 20_000;
    const MEAN_M: [f64; 3] = [0.5, 0.4, 0.35];
    const READINGS_M: [f64; 2] = [0.55, 0.43];

    fn readings() -> [Reading; 2] {
        let dates = [1, 30].map(|days| date(2026, 4, days));
        core::array::from_fn(|at| Reading {
            on: dates[at],
            height_m: READINGS_M[at],
            give_or_take_m: None,
            note: None,
        })
    }

    fn error() -> ReadingError {
        ReadingError::new(&readings(), Units::Metric)
    }

    /// The problem of a parameter with those effects on the surface at the readings and at the
    /// end, and the surfaces by month.
    fn problem(prior: DiscrepancyPrior, effects: [f64; 3]) -> (Problem, Vec<Vec<Surface>>) {
        let mut numbers = Pcg64::new(11, 12);
        let at: Vec<[f64; 3]> = (0..REALISATIONS)
            .map(|_| {
                let z = quantile(part(&mut numbers));
                core::array::from_fn(|place| MEAN_M[place] + effects[place] * z)
            })
            .collect();
        let realisations = (0..REALISATIONS).zip(&at).map(|(number, at)| {
            let months = vec![EFFECTS_M[0].to_vec(), EFFECTS_M[1].to_vec()];
            Predicted {
                heights_m: at[..2].to_vec(),
                effects_m: months,
                discrepancies: vec![Discrepancy::new(&prior, 4, number, 3)],
            }
        });
        let problem = Problem {
            readings_m: READINGS_M.to_vec(),
            realisations: realisations.collect(),
            prior,
        };
        let month = |height_m, settlement_m| Surface {
            height_m,
            settlement_m,
            added_m: 0.0,
            // So thick that effects are the settlement.
            thickness_m: 1e6,
        };
        let months = at.iter().map(|at| {
            let early = [month(0.6, 0.0), month(at[0], 0.2), month(at[1], 0.3)];
            early.into_iter().chain([month(at[2], 0.35)]).collect()
        });
        (problem, months.collect())
    }

    /// One normal parameter that acts linearly on the surface, and the same settlement in all
    /// realisations: everything is jointly normal, and the posterior two months after the last
    /// reading has a closed form. The stronger the parameter, the fewer realisations are
    /// effective.
    #[test]
    fn a_linear_problem_has_its_closed_form() {
        let prior = DiscrepancyPrior {
            sd: 0.08,
            scales: NORMAL,
        };
        let error = error();
        let error_m2 = error.covariance();
        let with = EFFECTS_M.map(|effects_m| covariances(&prior, &effects_m));
        let discrepancy = |one: usize, other: usize| dot(&EFFECTS_M[one], &with[other]);
        let mut effective_sizes = Vec::new();
        for effect_m in [0.01, 0.05, 0.2] {
            let effects = [0.6 * effect_m, 0.9 * effect_m, effect_m];
            let (problem, months) = problem(prior, effects);
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
            // The surface as the same tape reads it.
            let datum_m2 = ReadingError::datum_m2();
            let (c, e) = (both(2, 0) + datum_m2, both(2, 1) + datum_m2);
            let whole = a * d - b * b;
            let gain = [(c * d - e * b) / whole, (e * a - c * b) / whole];
            let apart = [0, 1].map(|at| READINGS_M[at] - MEAN_M[at]);
            let want_mean = MEAN_M[2] + gain[0] * apart[0] + gain[1] * apart[1];
            let want_variance = both(2, 2) + datum_m2 - gain[0] * c - gain[1] * e;

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

    /// With an unknown scale, against brute force: surfaces and readings drawn from the prior,
    /// weighted by a narrow window about the real readings. The readings lie in the tail, where
    /// normal distributions would give another answer.
    #[test]
    fn unknown_scales_are_summed_over() {
        const WINDOW_M: f64 = 0.008;
        const BRUTE: u32 = 2_000_000;
        const FAR_M: [f64; 2] = [0.58, 0.47];
        let prior = DiscrepancyPrior {
            sd: 0.08,
            scales: HEAVY,
        };
        let effects = [0.006, 0.009, 0.01];
        let (mut summed, months) = problem(prior, effects);
        summed.readings_m = FAR_M.to_vec();
        let months: Vec<&[Surface]> = months.iter().map(Vec::as_slice).collect();
        let error = error();
        let mean_and_sd = |problem: &Problem| {
            let posterior = posterior(problem, &error, 4, &months);
            let heights = posterior.heights_m(3);
            let heights: Vec<f64> = heights.iter().map(|(height_m, _)| *height_m).collect();
            let (mean, variance) = posterior.weights().mean_and_variance(&heights);
            (mean, variance.sqrt())
        };
        let (mean, sd) = mean_and_sd(&summed);
        let mut numbers = Pcg64::new(21, 22);
        let (mut count, mut sum, mut squares) = (0.0, 0.0, 0.0);
        for number in 0..BRUTE {
            let discrepancy = Discrepancy::new(&prior, 9, number, 3);
            let z = quantile(part(&mut numbers));
            let (datum_m, errors_m) = error.errors_m(|| part(&mut numbers));
            let surface_m =
                |at: usize| MEAN_M[at] + effects[at] * z - discrepancy.extra_m(&EFFECTS_M[at]);
            let is_near =
                (0..2).all(|at| (surface_m(at) + errors_m[at] - FAR_M[at]).abs() < WINDOW_M);
            if is_near {
                let end_m = surface_m(2) + datum_m;
                count += 1.0;
                sum += end_m;
                squares += end_m * end_m;
            }
        }
        let brute_mean = sum / count;
        let brute_sd = (squares / count - brute_mean * brute_mean).sqrt();
        println!("{count} near: {brute_mean} {brute_sd}; summed {mean} {sd}");
        // Standard errors of 1 mm and 2 %.
        assert!(count > 2000.0, "{count}");
        assert!((mean - brute_mean).abs() < 0.002_5, "{mean} {brute_mean}");
        assert!((sd / brute_sd - 1.0).abs() < 0.06, "{sd} {brute_sd}");
        let normal = DiscrepancyPrior {
            scales: NORMAL,
            ..prior
        };
        let mut of_normal = problem(normal, effects).0;
        of_normal.readings_m = FAR_M.to_vec();
        let (normal_mean, normal_sd) = mean_and_sd(&of_normal);
        println!("normal {normal_mean} {normal_sd}");
        assert!((normal_sd / brute_sd - 1.0).abs() > 0.1, "{normal_sd}");
    }
}
