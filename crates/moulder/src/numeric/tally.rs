//! Collects one variable over many realisations for its quantiles.

use std::collections::BTreeMap;

use crate::numeric::interval::Interval;
use crate::numeric::quantile::of_sorted;

/// Up to this many values every one is kept; above it, counts in bins.
pub(crate) const EXACT_VALUES: u32 = 2000;

/// Values of one variable; the order in which realisations arrive does not matter.
#[derive(Debug, Clone)]
pub(crate) enum Tally {
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
        if values <= EXACT_VALUES {
            Self::Exact(Vec::new())
        } else {
            Self::Bins {
                width,
                counts: BTreeMap::new(),
            }
        }
    }

    pub(crate) fn add(&mut self, figure: f64) {
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

    /// The 10, 50 and 90 % points; with bins within half a bin width of the exact ones.
    pub(crate) fn band(&self) -> Interval {
        let sorted = match self {
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
        };
        Interval {
            lower: of_sorted(&sorted, 0.1),
            median: of_sorted(&sorted, 0.5),
            upper: of_sorted(&sorted, 0.9),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{EXACT_VALUES, Tally};
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
        assert!(matches!(bins, Tally::Bins { .. }));
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
            match tally {
                Tally::Exact(figures) => figures.len(),
                Tally::Bins { counts, .. } => counts.len(),
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
            assert_eq!(there.band(), back.band());
        }
    }
}
