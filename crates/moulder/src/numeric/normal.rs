//! The standard normal distribution.

use libm::{erfc, sqrt};
use moulder_core::math::elementary::exp;

/// Quantile of the standard normal distribution.
///
/// Newton's method on `erfc` of `libm`, from the median outwards: the distribution function is
/// convex on the lower half, so each step approaches from the same side. `share` is clamped to
/// 1e-15 from 0 and 1.
#[must_use]
pub fn quantile(share: f64) -> f64 {
    let share = share.clamp(1e-15, 1.0 - 1e-15);
    let tail = share.min(1.0 - share);
    let mut z = 0.0;
    // About five steps near the median, sixty at the farthest tail.
    for _ in 0..100 {
        let next = z - (below(z) - tail) / density(z);
        if next >= z {
            break;
        }
        z = next;
    }
    if share < 0.5 { z } else { -z }
}

/// Distribution function of the standard normal at `z`.
#[must_use]
pub fn below(z: f64) -> f64 {
    0.5 * erfc(-z * core::f64::consts::FRAC_1_SQRT_2)
}

/// Density of the standard normal at `z`.
fn density(z: f64) -> f64 {
    exp(-0.5 * z * z) / sqrt(2.0 * core::f64::consts::PI)
}

#[cfg(test)]
mod tests {
    use super::{below, quantile};

    /// Percentage points as printed in any table (from memory; each follows from erfc as well).
    #[test]
    fn printed_percentage_points() {
        for (share, z) in [
            (0.5, 0.0),
            (0.75, 0.674_489_750_196_081_7),
            (0.9, 1.281_551_565_544_600_4),
            (0.95, 1.644_853_626_951_472_2),
            (0.975, 1.959_963_984_540_054),
            (0.995, 2.575_829_303_548_901),
        ] {
            assert!((quantile(share) - z).abs() < 1e-12, "{share}");
            assert!((quantile(1.0 - share) + z).abs() < 1e-12, "{share}");
        }
    }

    #[test]
    fn quantile_inverts_the_distribution_function() {
        let mut share = 1e-12;
        while share < 0.5 {
            let back = below(quantile(share));
            assert!((back / share - 1.0).abs() < 1e-12, "{share}: {back}");
            share *= 1.37;
        }
        assert!(quantile(0.0) < -7.9 && quantile(1.0) > 7.9);
    }
}
