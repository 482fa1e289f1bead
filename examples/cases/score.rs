//! Scores of a forecast.

use crate::forecasts::Told;
use crate::observed::Reading;
use crate::proper::{ALPHA, interval_score};

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
    let (band, told) = (told.pool.band(), told.pool.median());
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
