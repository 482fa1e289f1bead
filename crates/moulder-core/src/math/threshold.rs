//! Thresholds that do not hang on how an amount was rounded.

/// How far beyond a limit, as a share of it, an amount counts as more (our own closure).
/// Limits are round figures, and so are amounts: 5 cm told as 1.97 in must still be 5 cm,
/// and no round amount lies near a few times a limit so moved.
pub const MARGIN: f64 = 0.0041;

/// Whether an amount is more than a limit, and not by rounding alone.
///
/// ```
/// use moulder_core::math::threshold::exceeds;
///
/// let inches_m = 1.97 * 0.0254;
/// assert!(inches_m > 0.05 && !exceeds(inches_m, 0.05));
/// assert!(exceeds(0.051, 0.05));
/// ```
#[inline]
#[must_use]
pub fn exceeds(amount: f64, limit: f64) -> bool {
    amount > limit * (1.0 + MARGIN)
}

#[cfg(test)]
mod tests {
    use super::exceeds;

    /// Up to a metre no whole number of millimetres comes nearer than a hundredth of one to
    /// the thickness at which there is one slice more.
    #[test]
    fn amounts_as_told_keep_clear_of_thresholds() {
        for slice_m in [0.03, 0.05, 0.15] {
            for count in 1..=20 {
                let limit_m = slice_m * f64::from(count);
                for told_mm in 1..=1000 {
                    let told_m = f64::from(told_mm) * 1e-3;
                    let of = |m: f64| exceeds(m, limit_m);
                    assert_eq!(of(told_m - 1e-5), of(told_m + 1e-5), "{told_m} {limit_m}");
                }
            }
        }
    }

    #[test]
    fn what_is_no_number_exceeds_nothing() {
        assert!(!exceeds(f64::NAN, 1.0) && !exceeds(1.0, f64::NAN));
        assert!(exceeds(f64::INFINITY, 1.0) && !exceeds(0.0, 0.0));
    }
}
