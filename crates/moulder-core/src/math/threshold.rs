//! Thresholds that do not depend on how an amount was rounded.

/// Relative margin by which an amount must exceed a limit (our own closure). Limits and amounts
/// are round figures: 5 cm given as 1.97 in must still count as 5 cm, and no round amount lies
/// near a small multiple of a limit with this margin.
pub const MARGIN: f64 = 0.0041;

/// Whether an amount exceeds a limit by more than rounding.
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

    /// Up to 1 m, no whole number of millimetres lies within 0.01 mm of the thickness at which a
    /// further slice is added.
    #[test]
    fn given_amounts_stay_clear_of_thresholds() {
        for slice_m in [0.03, 0.05, 0.15] {
            for count in 1..=20 {
                let limit_m = slice_m * f64::from(count);
                for given_mm in 1..=1000 {
                    let given_m = f64::from(given_mm) * 1e-3;
                    let of = |m: f64| exceeds(m, limit_m);
                    assert_eq!(
                        of(given_m - 1e-5),
                        of(given_m + 1e-5),
                        "{given_m} {limit_m}"
                    );
                }
            }
        }
    }

    #[test]
    fn nan_exceeds_nothing() {
        assert!(!exceeds(f64::NAN, 1.0) && !exceeds(1.0, f64::NAN));
        assert!(exceeds(f64::INFINITY, 1.0) && !exceeds(0.0, 0.0));
    }
}
