//! Scores of a forecast.

use crate::draws::Drawn;
use crate::forecasts::Told;
use crate::observed::Reading;
use crate::range::Range;

/// An 80 % interval (alpha 0.2).
pub(crate) const ALPHA: f64 = 0.2;

/// The scores of one reading and its forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Score {
    /// Whether the median lies in the observed range; none for a single figure.
    pub(crate) is_inside: Option<bool>,
    /// Whether the interval meets the observed range.
    pub(crate) overlaps: bool,
    /// Interval score against the midpoint of the observed range, in the reading's unit.
    pub(crate) interval: f64,
    /// The same as a share of the observed settlement.
    pub(crate) relative: f64,
    /// Width of the interval as a share of the median.
    pub(crate) width: f64,
    /// Median less the midpoint of the observed range, as a share of the latter.
    pub(crate) error: f64,
}

/// Scores a forecast.
pub(crate) fn score(reading: &Reading, told: &Told) -> Score {
    let observed = reading.sink;
    let middle = observed.middle();
    let Drawn { band, middle: told } = told.drawn;
    let interval = interval_score(band, middle, ALPHA);
    Score {
        is_inside: (!observed.is_one_figure()).then(|| observed.holds(told)),
        overlaps: observed.overlaps(band),
        interval,
        relative: interval / middle,
        width: (band.high - band.low) / told,
        error: told / middle - 1.0,
    }
}

/// Interval score: the width, and `2/alpha` for each unit by which the observation lies
/// outside; less is better (Gneiting & Raftery 2007, J. Am. Stat. Assoc. 102:359-378, eq. 43).
pub(crate) fn interval_score(told: Range, truth: f64, alpha: f64) -> f64 {
    let outside = (told.low - truth).max(0.0) + (truth - told.high).max(0.0);
    told.high - told.low + 2.0 / alpha * outside
}
