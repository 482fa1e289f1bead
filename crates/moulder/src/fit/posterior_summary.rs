//! What readings taught, by direction.
//!
//! A tape fixes a few combinations of all that is unknown, and no more. Which, is asked of
//! the readings: the directions in which what the laws say of them varies most beside what
//! tape and laws are off by. In each the share of the variance that the readings take away
//! is counted from the weighted draws, and each is traced back to the unknowns that it
//! varies with.

use libm::sqrt;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::fit::agreement::mean_and_covariance;
use crate::fit::ensemble::{Ensemble, Realisation};
use crate::fit::posterior::{Posterior, Problem, dot};
use crate::numeric::cholesky::Cholesky;
use crate::numeric::eigen::directions;
use crate::numeric::weights::Weights;
use crate::uncertainty::group::{ParameterGroup, Theme, groups_of};

/// A direction is told when readings take away this share of its variance.
const LEAST_CONTRACTION: f64 = 0.2;
/// So many directions are told at most.
const MOST_DIRECTIONS: usize = 2;
/// A correlation below so many standard errors is taken for chance.
const CHANCE_ERRORS: f64 = 4.0;
/// A group is told as part of a direction when it makes this share of its variance.
const LEAST_PART: f64 = 0.1;
/// A group is told to have moved by this many standard deviations of what was believed.
const LEAST_SHIFT: f64 = 0.3;
/// And by so many standard errors of the weighted draws.
const SHIFT_ERRORS: f64 = 3.0;
/// Wood is spoken of from this share of the sink on.
pub const LEAST_WOOD_SHARE: f64 = 0.2;

/// What readings taught.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct PosteriorSummary {
    /// The directions that the readings fix, the best fixed first.
    pub directions: Vec<Direction>,
    /// Groups of unknowns that moved, those that moved farthest first.
    pub moved: Vec<Moved>,
    /// What share of the sink by the last reading is wood rotting; none without wood.
    pub wood_share: Option<f64>,
    /// Whether that is so little that nothing is told of the wood.
    pub too_early_for_wood: bool,
}

/// A combination of unknowns that readings fix: the surface on their days, in one way of
/// adding these up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct Direction {
    /// Its number: 1 for the one that the readings fix best, about how high the surface
    /// stands; 2 for the next, about how it goes from one reading to the next.
    pub number: u32,
    /// By how many standard deviations of what was believed its mean moved; above zero where
    /// the surface stands higher.
    pub shift: f64,
    /// The share of its variance that the readings took away.
    pub contraction: f64,
    /// What it varies with: groups of unknowns with their share of its variance. What is
    /// missing to one is chance, the weather and what is too little to tell.
    pub made_of: Vec<Part>,
}

/// A group of unknowns in a direction.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct Part {
    /// The group.
    pub group: Theme,
    /// Its share of the direction's variance.
    pub share: f64,
}

/// A group of unknowns that moved, as far as it raises or lowers the surface.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct Moved {
    /// The group.
    pub group: Theme,
    /// By how many standard deviations of what was believed; above zero where it now lets
    /// the surface stand higher.
    pub shift: f64,
    /// The share of its variance that the readings took away.
    pub contraction: f64,
}

/// What the readings of a problem taught.
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

/// A sink that a tape does not show; m.
const LEAST_SINK_M: f64 = 0.005;

/// The share of the sink by the last look that is wood rotting.
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
    // Of next to no sink nothing can be said.
    if settlement_m < LEAST_SINK_M {
        return 0.0;
    }
    wood_m / settlement_m
}

/// What each draw makes of each direction, the one that readings fix best first.
fn features(problem: &Problem, posterior: &Posterior) -> Vec<Vec<f64>> {
    let rows = problem.seen_m.len();
    let Some(about) = Cholesky::of(posterior.about_m2(), rows) else {
        return Vec::new();
    };
    let (mean_m, _) = mean_and_covariance(problem);
    let white: Vec<Vec<f64>> = problem
        .realisations
        .iter()
        .map(|(heights_m, ..)| {
            let apart = heights_m.iter().zip(&mean_m);
            let apart: Vec<f64> = apart.map(|(height_m, mean_m)| height_m - mean_m).collect();
            about.whitened(&apart)
        })
        .collect();
    let mean: f64 = mean_m.iter().sum();
    let higher_m: Vec<f64> = problem
        .realisations
        .iter()
        .map(|(heights_m, ..)| heights_m.iter().sum::<f64>() - mean)
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
            // Which way a direction points says nothing: up is where heights are greater.
            let up = dot(&figures, &higher_m).signum();
            figures.into_iter().map(|figure| up * figure).collect()
        })
        .collect()
}

/// By how many standard deviations of its draws the mean of a figure moves under weights,
/// and the share of its variance that goes.
fn change(figures: &[f64], weights: &Weights) -> (f64, f64) {
    let (before, spread) = Weights::equal(figures.len()).mean_and_variance(figures);
    let (after, left) = weights.mean_and_variance(figures);
    if spread <= 0.0 {
        return (0.0, 0.0);
    }
    ((after - before) / sqrt(spread), 1.0 - left / spread)
}

/// The correlation of each unknown with a figure; 0 where it may be chance.
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

/// How far a group moved: its unknowns added up as they move the surface. None where that
/// is too little to tell.
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
