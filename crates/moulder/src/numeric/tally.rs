//! Collects one variable over many realisations for its mean and quantiles.

use std::collections::BTreeMap;

use libm::sqrt;

use crate::numeric::interval::Interval;
use crate::numeric::quantile::of_sorted;

/// Up to this many values every one is kept; above it, counts in bins.
pub(crate) const EXACT_VALUES: u32 = 2000;

/// Values of one variable. The order in which realisations arrive does not matter to the quantiles;
/// means are the same bytes in the same order.
#[derive(Debug, Clone)]
pub(crate) struct Tally {
    values: Values,
    sum: f64,
    squares: f64,
    count: u32,
}

/// Values, or their counts.
#[derive(Debug, Clone)]
enum Values {
    /// Every value.
    Exact(Vec<f64>),
    /// Counts by bin, numbered in bin widths.
    Bins {
        width: f64,
        counts: BTreeMap<i64, u32>,
    },
}

impl Tally {
    /// For so many values; above [`EXACT_VALUES`] in bins of that width.
    pub(crate) fn of(values: u32, width: f64) -> Self {
        Self {
            values: if values <= EXACT_VALUES {
                Values::Exact(Vec::new())
            } else {
                Values::Bins {
                    width,
                    counts: BTreeMap::new(),
                }
            },
            sum: 0.0,
            squares: 0.0,
            count: 0,
        }
    }

    pub(crate) fn add(&mut self, figure: f64) {
        self.add_all([figure]);
    }

    /// Adds one realisation with several values: those with each of its discrepancies. For the
    /// standard error of the mean they count as one.
    pub(crate) fn add_all(&mut self, values: impl IntoIterator<Item = f64>) {
        let (mut sum, mut count) = (0.0, 0.0);
        for value in values {
            self.values.add(value);
            sum += value;
            count += 1.0;
        }
        let mean = sum / f64::max(count, 1.0);
        self.sum += mean;
        self.squares += mean * mean;
        self.count += 1;
    }

    /// Mean of the realisations; NaN without any.
    pub(crate) fn mean(&self) -> f64 {
        self.sum / f64::from(self.count)
    }

    /// The mean, and the 10, 50 and 90 % points; with bins within half a bin width of the exact
    /// ones.
    pub(crate) fn band(&self) -> Interval {
        let sorted = self.values.sorted();
        let (mean, count) = (self.mean(), f64::from(self.count));
        let variance = (self.squares / count - mean * mean).max(0.0);
        Interval {
            mean,
            standard_error: sqrt(variance / count),
            lower: of_sorted(&sorted, 0.1),
            median: of_sorted(&sorted, 0.5),
            upper: of_sorted(&sorted, 0.9),
        }
    }
}

impl Values {
    fn add(&mut self, figure: f64) {
        match self {
            Self::Exact(figures) => figures.push(figure),
            Self::Bins { width, counts } => {
                #[allow(
                    clippy::cast_possible_truncation,
                    reason = "held to a range that an i64 can hold"
                )]
                let bin = (figure / *width).clamp(-1e15, 1e15).round() as i64;
                *counts.entry(bin).or_default() += 1;
            }
        }
    }

    fn sorted(&self) -> Vec<f64> {
        match self {
            Self::Exact(figures) => {
                let mut sorted = figures.clone();
                sorted.sort_by(f64::total_cmp);
                sorted
            }
            Self::Bins { width, counts } => {
                let each = counts.iter().flat_map(|(bin, count)| {
                    #[allow(clippy::cast_precision_loss, reason = "bins lie within 1e15")]
                    let middle = *bin as f64 * width;
                    std::iter::repeat_n(middle, usize::try_from(*count).unwrap_or(0))
                });
                each.collect()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{EXACT_VALUES, Interval, Tally, Values};
    use rand_pcg::Pcg64;
    use rand_pcg::rand_core::Rng as _;

    /// 5000 heights in bins of 0.1 mm, against the exact quantiles.
    #[test]
    fn bins_are_within_half_a_millimetre_of_the_exact_points() {
        let mut numbers = Pcg64::new(7, 1);
        let mut exact = Tally::of(EXACT_VALUES, 1e-4);
        let mut bins = Tally::of(EXACT_VALUES + 1, 1e-4);
        for _ in 0..5000 {
            let height_m = f64::from(numbers.next_u32()) / 4_294_967_296.0 * 0.3 - 0.05;
            exact.add(height_m);
            bins.add(height_m);
        }
        assert!(matches!(bins.values, Values::Bins { .. }));
        let (exact, bins) = (exact.band(), bins.band());
        for (exact_m, bins_m) in [
            (exact.lower, bins.lower),
            (exact.median, bins.median),
            (exact.upper, bins.upper),
        ] {
            assert!(
                (exact_m - bins_m).abs() < 0.5e-4 + 1e-12,
                "{exact_m} {bins_m}"
            );
        }
        assert!((exact.lower + 0.02).abs() < 0.01, "{exact:?}");
    }

    /// The number of bins depends on the range of values, not on how many there are.
    #[test]
    fn more_realisations_need_no_more_bins() {
        let count = |draws: u32| {
            let mut numbers = Pcg64::new(7, 1);
            let mut tally = Tally::of(draws, 1e-4);
            for _ in 0..draws {
                tally.add(f64::from(numbers.next_u32()) / 4_294_967_296.0 * 0.1);
            }
            match tally.values {
                Values::Exact(figures) => figures.len(),
                Values::Bins { counts, .. } => counts.len(),
            }
        };
        // 0.1 m in steps of 0.1 mm, both ends included.
        assert_eq!(count(20_000), 1001);
        assert_eq!(count(200_000), 1001);
    }

    #[test]
    fn the_order_of_realisations_does_not_matter() {
        for draws in [EXACT_VALUES, EXACT_VALUES + 1] {
            let (mut there, mut back) = (Tally::of(draws, 1e-4), Tally::of(draws, 1e-4));
            let figures = [0.3, -0.1, 0.25, 0.7, 0.31];
            for figure in figures {
                there.add(figure);
            }
            for figure in figures.into_iter().rev() {
                back.add(figure);
            }
            let (there, back) = (there.band(), back.band());
            let bits = |band: Interval| [band.lower, band.median, band.upper].map(f64::to_bits);
            assert_eq!(bits(there), bits(back));
            assert!((there.mean - back.mean).abs() < 1e-15);
        }
    }

    /// Five heights by hand, each with a pair of values about it.
    #[test]
    fn values_of_a_realisation_count_as_one() {
        let mut tally = Tally::of(10, 1e-4);
        for figure in [1.0, 2.0, 3.0, 4.0, 5.0] {
            tally.add_all([figure - 0.5, figure + 0.5]);
        }
        let band = tally.band();
        assert!((band.mean - 3.0).abs() < 1e-15);
        // The variance is 2.
        assert!((band.standard_error - (2.0_f64 / 5.0).sqrt()).abs() < 1e-12);
        assert!((band.median - 3.0).abs() < 1e-12, "{band:?}");
    }
}
