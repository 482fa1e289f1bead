//! Student's t with four degrees of freedom, whose quantiles have a closed form.

use moulder_core::math::elementary::sqrt;

/// Its 90 % quantile (1.533 in any table; from memory).
pub const TENTH_T: f64 = 1.533_206_274_058_6;

/// The value below which that share of the distribution lies; infinite at 0 and 1, NaN outside.
///
/// Shaw 2006, Journal of Computational Finance 9(4):37-73 (from memory); its definition is
/// tested.
#[must_use]
pub fn quantile(share: f64) -> f64 {
    let alpha = sqrt((4.0 * share * (1.0 - share)).max(0.0));
    let q = libm::cos(libm::acos(alpha.min(1.0)) / 3.0) / alpha;
    let size = 2.0 * sqrt((q - 1.0).max(0.0));
    if share < 0.5 { -size } else { size }
}

#[cfg(test)]
mod tests {
    use super::{TENTH_T, quantile};

    /// The distribution function in closed form (any book of formulas; from memory).
    fn below(t: f64) -> f64 {
        let s = t / (t * t + 4.0).sqrt();
        0.5 + 0.75 * (s - s * s * s / 3.0)
    }

    #[test]
    fn quantiles_invert_the_distribution() {
        for share in [0.001, 0.02, 0.1, 0.25, 0.4999, 0.5, 0.7, 0.9, 0.999] {
            let found = below(quantile(share));
            assert!((found - share).abs() < 1e-9, "{share}: {found}");
        }
        assert!((quantile(0.9) - TENTH_T).abs() < 1e-9, "{}", quantile(0.9));
        assert!(quantile(0.0) < -1e6 && quantile(1.0) > 1e6);
    }
}
