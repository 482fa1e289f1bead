//! A low and a high end.

use core::fmt;

/// From `low` to `high`; both the same for a single figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Range {
    pub(crate) low: f64,
    pub(crate) high: f64,
}

impl Range {
    pub(crate) fn middle(self) -> f64 {
        0.5 * (self.low + self.high)
    }

    /// The point at a fraction of the range.
    pub(crate) fn at(self, share: f64) -> f64 {
        self.low + share * (self.high - self.low)
    }

    /// Whether it is a single figure, which no forecast meets except by chance.
    pub(crate) fn is_one_figure(self) -> bool {
        self.low >= self.high
    }

    pub(crate) fn holds(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    pub(crate) fn overlaps(self, other: Self) -> bool {
        self.low <= other.high && other.low <= self.high
    }
}

impl fmt::Display for Range {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_one_figure() {
            f.pad(&self.low.to_string())
        } else {
            f.pad(&format!("{}-{}", self.low, self.high))
        }
    }
}
