//! The interval that four in five draws lie in.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::numeric::quantile::of_sorted_and_weighted;

/// Where four in five draws lie, and their middle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Interval {
    /// One draw in ten lies below this.
    pub lower: f64,
    /// Half of the draws lie below this.
    pub median: f64,
    /// One draw in ten lies above this.
    pub upper: f64,
}

impl Interval {
    /// That of draws of which some count more: each figure with its share of one.
    pub(crate) fn of_weighted(figures: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let mut sorted: Vec<(f64, f64)> = figures.into_iter().collect();
        sorted.sort_by(|one, other| one.0.total_cmp(&other.0));
        Self {
            lower: of_sorted_and_weighted(&sorted, 0.1),
            median: of_sorted_and_weighted(&sorted, 0.5),
            upper: of_sorted_and_weighted(&sorted, 0.9),
        }
    }

    /// The same seen from above: a height as how far below that of the rim.
    pub(crate) fn below(self, rim_m: f64) -> Self {
        Self {
            lower: rim_m - self.upper,
            median: rim_m - self.median,
            upper: rim_m - self.lower,
        }
    }
}
