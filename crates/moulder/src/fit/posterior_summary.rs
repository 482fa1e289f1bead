//! Summary of the posterior, by direction.
//!
//! Readings constrain only a few combinations of the uncertain parameters: the directions in
//! which the simulated readings vary most relative to reading error and model discrepancy
//! (generalised eigenvectors). For each, the share of the variance that the readings remove is
//! computed from the weights, and the direction is traced to the parameters that correlate with
//! it.

use libm::sqrt;
use serde::{Deserialize, Serialize};

use crate::fit::agreement::mean_and_covariance;
use crate::fit::ensemble::{Ensemble, Realisation};
use crate::fit::posterior::{Posterior, Predicted, Problem, dot};
use crate::numeric::cholesky::Cholesky;
use crate::numeric::eigen::directions;
use crate::numeric::weights::Weights;
use crate::uncertainty::group::{ParameterGroup, Theme, groups_of};

/// A direction is reported when readings remove this share of its variance.
const LEAST_CONTRACTION: f64 = 0.2;
/// Most directions reported.
const MOST_DIRECTIONS: usize = 2;
/// Correlations below so many standard errors are set to 0.
const CHANCE_ERRORS: f64 = 4.0;
/// A group is reported as part of a direction from this share of its variance on.
const LEAST_PART: f64 = 0.1;
/// A group is reported to have moved from so many prior standard deviations on.
const LEAST_SHIFT: f64 = 0.3;
/// And from so many standard errors of the weighted mean on.
const SHIFT_ERRORS: f64 = 3.0;
/// Wood is reported from this share of the settlement on.
const LEAST_WOOD_SHARE: f64 = 0.2;

/// What readings say of the parameters.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PosteriorSummary {
    /// The directions that the readings constrain, the best constrained first.
    pub directions: Vec<Direction>,
    /// Groups of parameters that moved, the largest shift first.
    pub moved: Vec<Moved>,
    /// Share of the settlement by the last reading that is decay of wood; none without wood.
    pub wood_share: Option<f64>,
    /// Whether that share is too small to report anything on wood.
    pub too_early_for_wood: bool,
}

/// A linear combination of the heights on the days of the readings that the readings constrain.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Direction {
    /// Its number: 1 for the best constrained, mostly the level of the surface; 2 for the next,
    /// mostly the change between readings.
    pub number: u32,
    /// Shift of its mean in prior standard deviations; positive where the surface stands
    /// higher.
    pub shift: f64,
    /// Share of its variance that the readings removed.
    pub contraction: f64,
    /// Groups of parameters that it varies with, by their share of its variance. The remainder
    /// to 1 is chance, weather and what is too small to report.
    pub made_of: Vec<Part>,
}

/// A group of parameters in a direction.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Part {
    /// The group.
    pub group: Theme,
    /// Its share of the direction's variance.
    pub share: f64,
}

/// A group of parameters that moved, as far as it acts on the surface.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Moved {
    /// The group.
    pub group: Theme,
    /// Shift in prior standard deviations; positive where the surface stands higher.
    pub shift: f64,
    /// Share of its variance that the readings removed.
    pub contraction: f64,
}

/// Summary of the posterior of a problem.
pub(crate) fn posterior_summary(
    ensemble: &Ensemble,
    problem: &Problem,
    posterior: &Posterior,
) -> PosteriorSummary {
    let weights = posterior.weights();
    let groups: Vec<Theme> = groups_of(ensemble.bed(), ensemble.uncertain())
        .into_iter()
        .map(|group| group.map_or(Theme::Other, ParameterGroup::theme))
        .collect();
    let wood_share = ensemble
        .bed()
        .has_wood()
        .then(|| wood_share(ensemble.realisations(), weights));
    let too_early_for_wood = wood_share.is_some_and(|share| share < LEAST_WOOD_SHARE);
    let is_reported =
        |group: Theme| group != Theme::Other && !(too_early_for_wood && group == Theme::Wood);
    let mut summary = PosteriorSummary {
        directions: Vec::new(),
        moved: Vec::new(),
        wood_share,
        too_early_for_wood,
    };
    for (number, figures) in (1_u32..).zip(features(problem, posterior)) {
        let (shift, contraction) = change(&figures, weights);
        if contraction < LEAST_CONTRACTION {
            continue;
        }
        let with = correlations(ensemble.realisations(), &figures);
        let share = |group: Theme| -> f64 {
            let own = groups.iter().zip(&with).filter(|(of, _)| **of == group);
            own.map(|(_, with)| with * with).sum()
        };
        let parts = Theme::ALL.into_iter().filter(|group| is_reported(*group));
        let parts = parts.map(|group| Part {
            group,
            share: share(group),
        });
        let mut made_of: Vec<Part> = parts.filter(|part| part.share >= LEAST_PART).collect();
        made_of.sort_by(|one, other| other.share.total_cmp(&one.share));
        if number == 1 {
            let all = Theme::ALL.into_iter().filter(|group| is_reported(*group));
            let each = all.filter_map(|group| {
                let own = groups.iter().zip(&with);
                let own = own.map(|(of, with)| if *of == group { *with } else { 0.0 });
                let own: Vec<f64> = own.collect();
                moved(group, ensemble.realisations(), &own, weights)
            });
            summary.moved.extend(each);
        }
        summary.directions.push(Direction {
            number,
            shift,
            contraction,
            made_of,
        });
    }
    summary
        .moved
        .sort_by(|one, other| other.shift.abs().total_cmp(&one.shift.abs()));
    summary
}

/// Settlement below what a tape measure resolves; m.
const LEAST_SINK_M: f64 = 0.005;

/// Share of the settlement by the last observation that is decay of wood.
fn wood_share(realisations: &[Realisation], weights: &Weights) -> f64 {
    let mean = |figure: fn(&Realisation) -> f64| {
        let figures: Vec<f64> = realisations.iter().map(figure).collect();
        dot(&figures, &weights.shares)
    };
    let wood_m = mean(|realisation| {
        realisation
            .observations
            .last()
            .map_or(0.0, |observation| observation.wood_m)
    });
    let settlement_m = mean(|realisation| {
        realisation
            .observations
            .last()
            .map_or(0.0, |observation| observation.settlement_m)
    });
    // Undefined without settlement.
    if settlement_m < LEAST_SINK_M {
        return 0.0;
    }
    wood_m / settlement_m
}

/// Each direction in each realisation, the best constrained first.
fn features(problem: &Problem, posterior: &Posterior) -> Vec<Vec<f64>> {
    let rows = problem.readings_m.len();
    let Some(about) = Cholesky::of(&posterior.about_m2(), rows) else {
        return Vec::new();
    };
    let (mean_m, _) = mean_and_covariance(problem);
    let white: Vec<Vec<f64>> = problem
        .realisations
        .iter()
        .map(|Predicted { heights_m, .. }| {
            let apart = heights_m.iter().zip(&mean_m);
            let apart: Vec<f64> = apart.map(|(height_m, mean_m)| height_m - mean_m).collect();
            about.whitened(&apart)
        })
        .collect();
    let mean: f64 = mean_m.iter().sum();
    let higher_m: Vec<f64> = problem
        .realisations
        .iter()
        .map(|Predicted { heights_m, .. }| heights_m.iter().sum::<f64>() - mean)
        .collect();
    let mut covariance = vec![0.0; rows * rows];
    for white in &white {
        for row in 0..rows {
            for column in 0..rows {
                covariance[row * rows + column] += white[row] * white[column];
            }
        }
    }
    let summary = directions(&covariance, rows).into_iter();
    summary
        .take(MOST_DIRECTIONS)
        .map(|(_, along)| {
            let figures: Vec<f64> = white.iter().map(|white| dot(white, &along)).collect();
            // The sign of an eigenvector is arbitrary: positive is higher.
            let up = dot(&figures, &higher_m).signum();
            figures.into_iter().map(|figure| up * figure).collect()
        })
        .collect()
}

/// Shift of a figure's mean under weights in standard deviations of the ensemble, and the share
/// of the variance removed.
fn change(figures: &[f64], weights: &Weights) -> (f64, f64) {
    let (before, spread) = Weights::equal(figures.len()).mean_and_variance(figures);
    let (after, left) = weights.mean_and_variance(figures);
    if spread <= 0.0 {
        return (0.0, 0.0);
    }
    ((after - before) / sqrt(spread), 1.0 - left / spread)
}

/// Correlation of each parameter with a figure; 0 where not significant.
fn correlations(realisations: &[Realisation], figures: &[f64]) -> Vec<f64> {
    let equal = Weights::equal(realisations.len());
    let (mean, variance) = equal.mean_and_variance(figures);
    let count = realisations
        .first()
        .map_or(0, |realisation| realisation.z.len());
    let least = CHANCE_ERRORS / sqrt(equal.effective);
    (0..count)
        .map(|place| {
            let z: Vec<f64> = realisations
                .iter()
                .map(|realisation| realisation.z[place])
                .collect();
            let (z_mean, z_variance) = equal.mean_and_variance(&z);
            let pairs = z.iter().zip(figures).zip(&equal.shares);
            let both: f64 = pairs
                .map(|((z, figure), share)| share * (z - z_mean) * (figure - mean))
                .sum();
            let correlation = both / sqrt((variance * z_variance).max(f64::MIN_POSITIVE));
            if correlation.abs() < least {
                0.0
            } else {
                correlation
            }
        })
        .collect()
}

/// Shift of a group: its parameters summed by their effect on the surface. None where too small
/// to report.
fn moved(
    group: Theme,
    realisations: &[Realisation],
    own: &[f64],
    weights: &Weights,
) -> Option<Moved> {
    let figures: Vec<f64> = realisations
        .iter()
        .map(|realisation| dot(own, &realisation.z))
        .collect();
    let (shift, contraction) = change(&figures, weights);
    let least = LEAST_SHIFT.max(SHIFT_ERRORS / sqrt(weights.effective));
    (shift.abs() >= least).then_some(Moved {
        group,
        shift,
        contraction,
    })
}
