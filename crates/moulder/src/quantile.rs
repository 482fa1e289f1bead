//! Quantiles of draws.

/// The point below which `share` of the sorted figures lie: definition 7 of Hyndman & Fan
/// 1996 (The American Statistician 50:361-365), which goes in a straight line between the
/// figures and gives the first of them for 0 and the last for 1. Not a number where there
/// is no figure.
///
/// ```
/// use moulder::quantile::of_sorted;
///
/// assert!((of_sorted(&[1.0, 2.0, 3.0, 4.0], 0.3) - 1.9).abs() < 1e-12);
/// ```
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

#[cfg(test)]
mod tests {
    use super::of_sorted;

    /// Excel's PERCENTILE.INC and numpy's percentile follow the same definition; these
    /// are the examples of their manuals (from memory): 1.9 for 0.3 of 1, 2, 3, 4, and
    /// 3.5, 6.5 and 7, 2 for the halves of 10 7 4 / 3 2 1, whole, by column and by row.
    #[test]
    fn the_examples_of_two_manuals() {
        let near = |figures: &[f64], share: f64, want: f64| {
            let got = of_sorted(figures, share);
            assert!((got - want).abs() < 1e-12, "{got}");
        };
        near(&[1.0, 2.0, 3.0, 4.0], 0.3, 1.9);
        near(&[1.0, 2.0, 3.0, 4.0, 7.0, 10.0], 0.5, 3.5);
        near(&[3.0, 10.0], 0.5, 6.5);
        near(&[4.0, 7.0, 10.0], 0.5, 7.0);
        near(&[1.0, 2.0, 3.0], 0.5, 2.0);
        near(&[5.0], 0.1, 5.0);
        near(&[1.0, 2.0, 3.0], 0.0, 1.0);
        near(&[1.0, 2.0, 3.0], 1.0, 3.0);
        assert!(of_sorted(&[], 0.5).is_nan());
    }
}
