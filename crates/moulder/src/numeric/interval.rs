//! The central 80 % interval.

use serde::{Deserialize, Serialize};

use crate::numeric::quantile::of_sorted_and_weighted;

/// The central 80 % interval of the realisations, with their median.
///
/// ```
/// let forecast = moulder::Bed::example().forecast().months(2).ensemble_size(10).run()?;
/// let height_m = forecast.intervals[2].height_m;
/// assert!(height_m.lower <= height_m.median && height_m.median <= height_m.upper);
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Interval {
    /// 10 % of the realisations lie below this.
    pub lower: f64,
    /// Half of the realisations lie below this.
    pub median: f64,
    /// 10 % of the realisations lie above this.
    pub upper: f64,
}

impl Interval {
    /// The interval of a rising function of the figure, such as its value in another unit.
    #[must_use]
    pub fn map(self, rising: impl Fn(f64) -> f64) -> Self {
        Self {
            lower: rising(self.lower),
            median: rising(self.median),
            upper: rising(self.upper),
        }
    }

    /// Its two ends, the lower first.
    #[must_use]
    pub const fn ends(self) -> [f64; 2] {
        [self.lower, self.upper]
    }

    /// Interval of weighted values; the weights sum to one.
    pub(crate) fn of_weighted(figures: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let mut sorted: Vec<(f64, f64)> = figures.into_iter().collect();
        sorted.sort_by(|one, other| one.0.total_cmp(&other.0));
        Self {
            lower: of_sorted_and_weighted(&sorted, 0.1),
            median: of_sorted_and_weighted(&sorted, 0.5),
            upper: of_sorted_and_weighted(&sorted, 0.9),
        }
    }

    /// A height above the ground as a depth below a rim at `rim_m`.
    pub(crate) fn below(self, rim_m: f64) -> Self {
        Self {
            lower: rim_m - self.upper,
            median: rim_m - self.median,
            upper: rim_m - self.lower,
        }
    }
}
