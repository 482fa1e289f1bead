//! The marks of one forecast of one reading.

use moulder::internals::numeric::quantile::of_weighted;

use crate::observed::Side;
use crate::proper::{ALPHA, crps, interval_score};
use crate::range::Range;
use crate::subject::{Scale, Subject};

/// The scores on a scale; less is better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scores {
    /// Interval score of the 80 % interval.
    pub(crate) interval: f64,
    /// Continuous ranked probability score.
    pub(crate) crps: f64,
}

/// The marks of a forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Marks {
    /// Whether the 80 % interval meets what was observed.
    pub(crate) overlaps: bool,
    /// Whether the middle of the observed range lies in the interval; none for a bound.
    pub(crate) is_inside: Option<bool>,
    /// In centimetres; none for dry mass.
    pub(crate) cm: Option<Scores>,
    pub(crate) eta: Scores,
}

/// Marks a forecast given as strains with weights that sum to one.
///
/// Of a bound alone, all that lies on its far side is known to be true: members there count as
/// on the bound. That is the threshold-weighted score of Gneiting & Ranjan 2011 (J. Bus. Econ.
/// Stat. 29:411-422, from memory) with the weight on the near side, and stays proper.
pub(crate) fn marks(subject: &Subject<'_>, members: &[(f64, f64)]) -> Marks {
    let truth = subject.truth();
    let band = band(members);
    let scores = |scale| {
        let known: Vec<(f64, f64)> = members
            .iter()
            .map(|(strain, weight)| {
                let strain = match subject.reading.side {
                    Side::Both => *strain,
                    Side::AtLeast => strain.min(truth),
                    Side::AtMost => strain.max(truth),
                };
                (subject.on(scale, strain), *weight)
            })
            .collect();
        let truth = subject.on(scale, truth);
        Scores {
            interval: interval_score(self::band(&known), truth, ALPHA),
            crps: crps(&known, truth),
        }
    };
    Marks {
        overlaps: subject.observed().overlaps(band),
        is_inside: (subject.reading.side == Side::Both).then(|| band.holds(truth)),
        cm: subject.is_of_height().then(|| scores(Scale::Cm)),
        eta: scores(Scale::Eta),
    }
}

/// From the 10 % to the 90 % quantile.
fn band(members: &[(f64, f64)]) -> Range {
    Range {
        low: of_weighted(members, 0.5 * ALPHA),
        high: of_weighted(members, 1.0 - 0.5 * ALPHA),
    }
}

/// Width of the 80 % interval of strains with weights; eta.
pub(crate) fn width_eta(subject: &Subject<'_>, members: &[(f64, f64)]) -> f64 {
    let band = band(members);
    subject.on(Scale::Eta, band.high) - subject.on(Scale::Eta, band.low)
}
