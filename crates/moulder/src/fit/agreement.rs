//! Whether readings are a surprise to the prior.

use moulder_core::math::elementary::ln;
use serde::{Deserialize, Serialize};

use crate::fit::posterior::{Posterior, Predicted, Problem, dot, ln_sum};
use crate::numeric::cholesky::Cholesky;

/// Readings are a surprise when fewer than this share of the prior-predictive readings are as
/// far off (common practice, no source: one bed in a hundred that agrees with its document is
/// doubted).
pub const LEAST_SHARE: f64 = 0.01;
/// A reading is doubted as well when its deviation is at least this share of the largest.
const NEARLY: f64 = 0.9;

/// How well readings agree with the prior.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Agreement {
    /// Share of the realisations whose own readings on the same days would be as unlikely or
    /// more so, all readings together.
    pub share: f64,
    /// Whether that share is below one in a hundred.
    pub is_surprising: bool,
    /// Indices of the readings at fault, in order of date: readings without any one of which
    /// the rest would agree, or all where no single one explains it.
    pub at_fault: Vec<usize>,
    /// Readings at fault that would agree in another unit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub slips: Vec<Slip>,
}

/// A reading that would agree with the prior had it been written in another unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Slip {
    /// Index of the reading, in order of date.
    pub reading: usize,
    /// What was read, from the rim down or, for a mound, from the ground up, in the unit that it
    /// was written in if that was the other one.
    pub figure: f64,
    /// Whether it would agree in inches; else it would in centimetres.
    pub in_inches: bool,
}

/// Metres in an inch (exact: international inch, NIST Handbook 44, appendix C).
const INCH_M: f64 = 0.0254;
/// Metres in a centimetre.
const CENTIMETRE_M: f64 = 0.01;
/// A reading agrees within so many standard deviations of its mean.
const AGREES_SD: f64 = 2.0;

/// Compares readings with those that the realisations would have given.
///
/// What is compared is the density of normal distributions about the mean reading, summed over the
/// scales of the discrepancy; the covariance is that of realisations, model discrepancy and reading
/// error. Its rank among the realisations' own gives the share, so no distribution is assumed.
///
/// Heights are read from the rim at that height down; from the ground up where there is none.
pub(crate) fn agreement(problem: &Problem, posterior: &Posterior, rim_m: Option<f64>) -> Agreement {
    let all: Vec<usize> = (0..problem.readings_m.len()).collect();
    let predictive = PriorPredictive::new(problem, posterior);
    let share = predictive.share(&all);
    let mut at_fault = Vec::new();
    let is_surprising = share < LEAST_SHARE;
    if is_surprising {
        let standardised = predictive.standardised(&all);
        let farthest = standardised
            .iter()
            .fold(0.0_f64, |most, standardised| most.max(standardised.abs()));
        let doubted = all.iter().copied().filter(|reading| {
            let rest: Vec<usize> = all.iter().copied().filter(|one| one != reading).collect();
            standardised[*reading].abs() >= NEARLY * farthest
                && predictive.share(&rest) >= LEAST_SHARE
        });
        at_fault.extend(doubted);
        if at_fault.is_empty() {
            at_fault = all;
        }
    }
    let slips = at_fault.iter().filter_map(|at| predictive.slip(*at, rim_m));
    Agreement {
        share,
        is_surprising,
        slips: slips.collect(),
        at_fault,
    }
}

/// The prior predictive distribution of the readings.
struct PriorPredictive<'a> {
    readings_m: &'a [f64],
    mean_m: Vec<f64>,
    covariance_m2: Vec<f64>,
    /// The same at each scale of the discrepancy, with its chance.
    by_scale_m2: Vec<(f64, Vec<f64>)>,
    replicates_m: &'a [Vec<f64>],
}

impl<'a> PriorPredictive<'a> {
    fn new(problem: &'a Problem, posterior: &'a Posterior) -> Self {
        let (mean_m, of_surface_m2) = mean_and_covariance(problem);
        let with = |about_m2: &[f64]| -> Vec<f64> {
            let both = of_surface_m2.iter().zip(about_m2);
            both.map(|(surface_m2, about_m2)| surface_m2 + about_m2)
                .collect()
        };
        let by_scale_m2 = posterior.about_by_scale_m2().into_iter();
        Self {
            readings_m: &problem.readings_m,
            covariance_m2: with(&posterior.about_m2()),
            by_scale_m2: by_scale_m2
                .map(|(chance, about_m2)| (chance, with(&about_m2)))
                .collect(),
            mean_m,
            replicates_m: posterior.replicates_m(),
        }
    }

    /// Cholesky factor of the covariance of some readings.
    fn factor(&self, covariance_m2: &[f64], of: &[usize]) -> Option<Cholesky> {
        let rows = self.mean_m.len();
        let pairs = of
            .iter()
            .flat_map(|row| of.iter().map(move |column| row * rows + column));
        let matrix: Vec<f64> = pairs.map(|at| covariance_m2[at]).collect();
        Cholesky::of(&matrix, of.len())
    }

    fn apart(&self, readings_m: &[f64], of: &[usize]) -> Vec<f64> {
        let apart = of.iter().map(|at| readings_m[*at] - self.mean_m[*at]);
        apart.collect()
    }

    /// Share of the realisations whose readings would be as unlikely.
    fn share(&self, of: &[usize]) -> f64 {
        let scales: Vec<(f64, Cholesky)> = self
            .by_scale_m2
            .iter()
            .filter_map(|(chance, m2)| {
                let factor = self.factor(m2, of)?;
                Some((ln(*chance) - 0.5 * factor.ln_determinant(), factor))
            })
            .collect();
        let ln_density = |readings_m: &[f64]| {
            let apart_m = self.apart(readings_m, of);
            let logs = scales.iter().map(|(ln_chance, factor)| {
                let white = factor.whitened(&apart_m);
                ln_chance - 0.5 * dot(&white, &white)
            });
            let logs: Vec<f64> = logs.collect();
            ln_sum(logs.iter().copied())
        };
        let seen = ln_density(self.readings_m);
        let replicates = self.replicates_m.iter();
        let as_far = replicates.filter(|one| ln_density(one) <= seen);
        #[allow(
            clippy::cast_precision_loss,
            reason = "far fewer realisations than 2^52"
        )]
        let (as_far, all) = (as_far.count() as f64, self.replicates_m.len() as f64);
        (as_far + 1.0) / (all + 1.0)
    }

    /// The other unit in which a reading would agree with the prior; none where it would in neither.
    fn slip(&self, at: usize, rim_m: Option<f64>) -> Option<Slip> {
        let height_m = *self.readings_m.get(at)?;
        let read_m = rim_m.map_or(height_m, |rim_m| rim_m - height_m);
        let sd_m = libm::sqrt(self.covariance_m2[at * self.mean_m.len() + at]);
        let units = [(CENTIMETRE_M, INCH_M), (INCH_M, CENTIMETRE_M)];
        units.into_iter().find_map(|(written_m, other_m)| {
            let figure = read_m / written_m;
            let other_m = figure * other_m;
            let height_m = rim_m.map_or(other_m, |rim_m| rim_m - other_m);
            let is_near = (height_m - self.mean_m[at]).abs() < AGREES_SD * sd_m;
            is_near.then_some(Slip {
                reading: at,
                figure,
                in_inches: written_m < INCH_M,
            })
        })
    }

    /// Deviation of each reading given the others, in standard deviations.
    fn standardised(&self, of: &[usize]) -> Vec<f64> {
        let Some(factor) = self.factor(&self.covariance_m2, of) else {
            return vec![0.0; of.len()];
        };
        let solved = factor.solve(&self.apart(self.readings_m, of));
        let each = solved.iter().enumerate().map(|(at, solved)| {
            let mut unit = vec![0.0; of.len()];
            unit[at] = 1.0;
            solved / libm::sqrt(factor.solve(&unit)[at])
        });
        each.collect()
    }
}

/// Mean and covariance of the readings over the realisations, without model discrepancy.
pub(crate) fn mean_and_covariance(problem: &Problem) -> (Vec<f64>, Vec<f64>) {
    let rows = problem.readings_m.len();
    #[allow(
        clippy::cast_precision_loss,
        reason = "far fewer realisations than 2^52"
    )]
    let count = problem.realisations.len() as f64;
    let mut mean_m = vec![0.0; rows];
    for Predicted { heights_m, .. } in &problem.realisations {
        for (mean_m, height_m) in mean_m.iter_mut().zip(heights_m) {
            *mean_m += height_m / count;
        }
    }
    let mut covariance_m2 = vec![0.0; rows * rows];
    for Predicted { heights_m, .. } in &problem.realisations {
        for row in 0..rows {
            for column in 0..rows {
                let both = (heights_m[row] - mean_m[row]) * (heights_m[column] - mean_m[column]);
                covariance_m2[row * rows + column] += both / count;
            }
        }
    }
    (mean_m, covariance_m2)
}
