//! How good a forecast was.

use crate::draws::Drawn;
use crate::forecasts::Told;
use crate::observed::Reading;
use crate::range::Range;

/// An interval that is to hold four in five (alpha 0.2).
pub(crate) const ALPHA: f64 = 0.2;

/// One reading and its forecast, judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Score {
    /// Whether the middle of the draws lies in the observed range; nothing where that is
    /// one figure.
    pub(crate) is_inside: Option<bool>,
    /// Whether the band meets the observed range.
    pub(crate) overlaps: bool,
    /// Interval score against the middle of the observed range, in the reading's unit.
    pub(crate) interval: f64,
    /// The same as a share of the observed sink.
    pub(crate) relative: f64,
    /// Width of the band as a share of the middle of the draws.
    pub(crate) width: f64,
    /// Middle of the draws less that of the observed range, as a share of the latter.
    pub(crate) error: f64,
}

/// Judges a forecast.
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

/// Interval score: the width, and `2/alpha` for each unit by which the truth lies outside;
/// less is better (Gneiting & Raftery 2007, J. Am. Stat. Assoc. 102:359-378, eq. 43).
pub(crate) fn interval_score(told: Range, truth: f64, alpha: f64) -> f64 {
    let outside = (told.low - truth).max(0.0) + (truth - told.high).max(0.0);
    told.high - told.low + 2.0 / alpha * outside
}
