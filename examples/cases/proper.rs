//! Proper scores of a forecast (Gneiting & Raftery 2007, J. Am. Stat. Assoc. 102:359-378); less
//! is better.

use crate::range::Range;

/// An 80 % interval.
pub(crate) const ALPHA: f64 = 0.2;

/// Interval score: the width, and `2/alpha` for each unit by which the observation lies outside
/// (eq. 43).
pub(crate) fn interval_score(told: Range, truth: f64, alpha: f64) -> f64 {
    let outside = (told.low - truth).max(0.0) + (truth - told.high).max(0.0);
    told.high - told.low + 2.0 / alpha * outside
}

/// Continuous ranked probability score of weighted members, `E|X - y| - E|X - X'|/2` (eq. 21),
/// in the unit of the members; the weights sum to one.
pub(crate) fn crps(members: &[(f64, f64)], truth: f64) -> f64 {
    let mut sorted = members.to_vec();
    sorted.sort_by(|one, other| one.0.total_cmp(&other.0));
    let (mut off, mut half_spread, mut below) = (0.0, 0.0, 0.0);
    for (member, weight) in sorted {
        let above = 1.0 - below - weight;
        off += weight * (member - truth).abs();
        half_spread += weight * member * (below - above);
        below += weight;
    }
    // Rounding alone goes below zero.
    (off - half_spread).max(0.0)
}
