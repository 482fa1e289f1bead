//! The mean of a figure and its central 80 % interval.

use libm::sqrt;
use serde::{Deserialize, Serialize};

use crate::numeric::quantile::of_sorted_and_weighted;

/// The mean of a figure over the realisations, their median and their central 80 % interval.
///
/// Means add up: those of parts to that of their sum, those of two beds to that of both. Quantiles
/// do not.
///
/// ```
/// let forecast = moulder::Bed::example().forecast().months(2).ensemble_size(10).run()?;
/// let height_m = forecast.intervals[2].height_m;
/// assert!(height_m.lower <= height_m.median && height_m.median <= height_m.upper);
/// assert!((height_m.mean - forecast.months[2].height_m).abs() < 1e-12);
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Interval {
    /// Mean of the realisations: the figure to expect.
    pub mean: f64,
    /// Standard error of the mean, as of independent realisations: an upper bound, since points
    /// of a Sobol sequence cover the parameters more evenly.
    pub standard_error: f64,
    /// 10 % of the realisations lie below this.
    pub lower: f64,
    /// Half of the realisations lie below this.
    pub median: f64,
    /// 10 % of the realisations lie above this.
    pub upper: f64,
}

impl Interval {
    /// The interval of a rising linear function of the figure, such as its value in another unit.
    #[must_use]
    pub fn map(self, rising: impl Fn(f64) -> f64) -> Self {
        Self {
            mean: rising(self.mean),
            standard_error: rising(self.mean + self.standard_error) - rising(self.mean),
            lower: rising(self.lower),
            median: rising(self.median),
            upper: rising(self.upper),
        }
    }

    /// Between this interval and another, by that share of the way.
    #[must_use]
    pub(crate) fn towards(self, other: Self, share: f64) -> Self {
        let between = |from: f64, to: f64| from + (to - from) * share;
        Self {
            mean: between(self.mean, other.mean),
            standard_error: between(self.standard_error, other.standard_error),
            lower: between(self.lower, other.lower),
            median: between(self.median, other.median),
            upper: between(self.upper, other.upper),
        }
    }

    /// Its two ends, the lower first.
    #[must_use]
    pub const fn ends(self) -> [f64; 2] {
        [self.lower, self.upper]
    }

    /// The interval of a figure that is known.
    #[must_use]
    pub const fn known(figure: f64) -> Self {
        Self {
            mean: figure,
            standard_error: 0.0,
            lower: figure,
            median: figure,
            upper: figure,
        }
    }

    /// Interval of weighted values; the weights sum to one. Its standard error is that of so many
    /// independent values.
    pub(crate) fn of_weighted(
        figures: impl IntoIterator<Item = (f64, f64)>,
        effective: f64,
    ) -> Self {
        let mut sorted: Vec<(f64, f64)> = figures.into_iter().collect();
        sorted.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mean: f64 = sorted.iter().map(|(figure, weight)| figure * weight).sum();
        let squares = sorted.iter().map(|(figure, weight)| {
            let apart = figure - mean;
            weight * apart * apart
        });
        Self {
            mean,
            standard_error: sqrt(squares.sum::<f64>() / effective.max(1.0)),
            lower: of_sorted_and_weighted(&sorted, 0.1),
            median: of_sorted_and_weighted(&sorted, 0.5),
            upper: of_sorted_and_weighted(&sorted, 0.9),
        }
    }

    /// A height above the ground as a depth below a rim at `rim_m`.
    pub(crate) fn below(self, rim_m: f64) -> Self {
        Self {
            mean: rim_m - self.mean,
            standard_error: self.standard_error,
            lower: rim_m - self.upper,
            median: rim_m - self.median,
            upper: rim_m - self.lower,
        }
    }
}
