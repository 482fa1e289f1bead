//! Quantiles of realisations.

/// Quantile of sorted values by definition 7 of Hyndman & Fan 1996 (The American Statistician
/// 50:361-365): linear interpolation, the first value for 0 and the last for 1. NaN when empty.
#[must_use]
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "places in a list, far below 2^52"
)]
pub fn of_sorted(figures: &[f64], share: f64) -> f64 {
    let Some(last) = figures.len().checked_sub(1) else {
        return f64::NAN;
    };
    let at = share.clamp(0.0, 1.0) * last as f64;
    let low = (at as usize).min(last);
    let high = (low + 1).min(last);
    figures[low] + (figures[high] - figures[low]) * (at - low as f64)
}

/// Quantile of weighted values; the weights sum to one.
///
/// The weighted form of definition 7 (Akinshin 2023, "Weighted quantile estimators", arXiv
/// 2304.07265; from memory): the mean of the sorted values over a window of one over the
/// effective sample size. With equal weights it equals [`of_sorted`]; a negligible weight has a
/// negligible effect wherever its value lies.
#[must_use]
pub fn of_weighted(figures: &[(f64, f64)], share: f64) -> f64 {
    let mut sorted = figures.to_vec();
    sorted.sort_by(|one, other| one.0.total_cmp(&other.0));
    of_sorted_and_weighted(&sorted, share)
}

/// [`of_weighted`] of values already sorted.
pub(crate) fn of_sorted_and_weighted(sorted: &[(f64, f64)], share: f64) -> f64 {
    let squares: f64 = sorted.iter().map(|(_, weight)| weight * weight).sum();
    if squares <= 0.0 {
        return f64::NAN;
    }
    // The window: 1/n wide, from (n - 1) share/n on.
    let from = share.clamp(0.0, 1.0) * (1.0 - squares);
    let part = |at: f64| ((at - from) / squares).clamp(0.0, 1.0);
    let (mut below, mut mean, mut parts) = (0.0, 0.0, 0.0);
    for (figure, weight) in sorted {
        let counts = part(below + weight) - part(below);
        mean += counts * figure;
        parts += counts;
        below += weight;
    }
    // The remainder of the window after rounding.
    mean / parts
}

#[cfg(test)]
mod tests {
    use super::{of_sorted, of_weighted};

    /// The examples of the manuals of Excel (PERCENTILE.INC) and numpy (percentile), which follow
    /// the same definition (from memory).
    #[test]
    fn the_examples_of_two_manuals() {
        let check = |figures: &[f64], share: f64, want: f64| {
            let got = of_sorted(figures, share);
            assert!((got - want).abs() < 1e-12, "{got}");
        };
        check(&[1.0, 2.0, 3.0, 4.0], 0.3, 1.9);
        check(&[1.0, 2.0, 3.0, 4.0, 7.0, 10.0], 0.5, 3.5);
        check(&[3.0, 10.0], 0.5, 6.5);
        check(&[4.0, 7.0, 10.0], 0.5, 7.0);
        check(&[1.0, 2.0, 3.0], 0.5, 2.0);
        check(&[5.0], 0.1, 5.0);
        check(&[1.0, 2.0, 3.0], 0.0, 1.0);
        check(&[1.0, 2.0, 3.0], 1.0, 3.0);
        assert!(of_sorted(&[], 0.5).is_nan());
    }

    /// With equal weights both forms agree.
    #[test]
    fn equal_weights_change_nothing() {
        let figures = [0.3, -1.0, 2.5, 2.5, 0.1, 7.0, -0.4];
        let mut sorted = figures;
        sorted.sort_by(f64::total_cmp);
        let weighted = figures.map(|figure| (figure, 1.0 / 7.0));
        for percent in 0..=100 {
            let share = f64::from(percent) / 100.0;
            let (plain, weighted) = (of_sorted(&sorted, share), of_weighted(&weighted, share));
            assert!(
                (plain - weighted).abs() < 1e-12,
                "{share}: {plain} {weighted}"
            );
        }
    }

    /// By hand: with weights 1/4, 1/4 and 1/2 the sum of squares is 3/8. The window of the median
    /// runs from 5/16 to 11/16: half over the 2 and half over the 3. That of 10 % runs from 1/16
    /// to 7/16: half over the 1 and half over the 2.
    #[test]
    fn weighted_quantiles_by_hand() {
        let figures = [(3.0, 0.5), (1.0, 0.25), (2.0, 0.25)];
        assert!((of_weighted(&figures, 0.5) - 2.5).abs() < 1e-12);
        assert!((of_weighted(&figures, 0.1) - 1.5).abs() < 1e-12);
        assert!((of_weighted(&figures, 1.0) - 3.0).abs() < 1e-12);
        // Values of zero weight have no effect.
        let more = [
            (3.0, 0.5),
            (1.0, 0.25),
            (2.0, 0.25),
            (-99.0, 0.0),
            (99.0, 0.0),
        ];
        assert!((of_weighted(&more, 0.5) - 2.5).abs() < 1e-12);
        assert!(of_weighted(&[], 0.5).is_nan() && of_weighted(&[(1.0, 0.0)], 0.5).is_nan());
    }
}
