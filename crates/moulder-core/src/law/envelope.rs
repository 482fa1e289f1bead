//! Envelope volume of decaying pieces, internal pores included.

use crate::math::elementary::pow;

/// Density of mineral grains; kg/m3 (quartz and clay, Moene & van Dam 2014, Table 2.2).
pub const MINERAL_DENSITY_KG_M3: f64 = 2650.0;

/// Share of the initial volume left when the share `left` of the carbon is left: `1 - (1 -
/// left)^lag`.
///
/// At a lag of 1 volume is proportional to mass (non-woody material). At 3 a log keeps its volume
/// while its density falls, then collapses: Fraver et al. 2013, Ecosystems 16:1262-1272, found
/// the lag; the power form is our own closure within their decay-class volumes.
///
/// ```
/// use moulder_core::law::envelope::volume_left;
/// assert_eq!(volume_left(1.0, 3.0), 1.0);
/// assert!((volume_left(0.5, 3.0) - 0.875).abs() < 1e-12);
/// assert!((volume_left(0.5, 1.0) - 0.5).abs() < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn volume_left(left: f64, lag: f64) -> f64 {
    // A lag of 1, as of non-woody material, needs no power.
    if (lag - 1.0).abs() < f64::EPSILON {
        left.min(1.0)
    } else {
        1.0 - pow((1.0 - left).max(0.0), lag)
    }
}

/// Derivative of [`volume_left`] in `left`.
#[inline]
#[must_use]
pub fn volume_left_slope(left: f64, lag: f64) -> f64 {
    lag * pow((1.0 - left).max(0.0), lag - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Branches of 22 species near Sydney (repository Zanne-Lab/communityVchemistry, means
    /// computed from its open survey): mass left against volume left, an upper bound, since
    /// density was measured on intact pieces.
    #[test]
    fn branches_near_sydney_within_bounds() {
        for (mass, at_most) in [
            (0.933, 0.96),
            (0.841, 1.02),
            (0.628, 0.84),
            (0.465, 0.70),
            (0.240, 0.45),
        ] {
            let volume = volume_left(mass, 2.0);
            assert!(
                volume <= at_most + 0.05,
                "mass {mass}: volume {volume}, at most {at_most}"
            );
            assert!(volume >= mass, "volume trails mass");
        }
    }

    /// Fraver et al. 2013, decay classes I-III keep their volume, IV has 0.80 and V
    /// 0.412 left (factors from memory), against densities of 1, 0.78, 0.45, 0.42,
    /// 0.42 of fresh (Waddell 2002, hardwood, from memory).
    #[test]
    fn logs_within_decay_classes() {
        let volume_at = |mass: f64| volume_left(mass, 3.0);
        assert!(volume_at(0.78) > 0.97);
        assert!(volume_at(0.45) > 0.80, "class III");
        let class_iv = 0.80 * 0.42;
        assert!(
            (volume_at(class_iv) - 0.80).abs() < 0.12,
            "{}",
            volume_at(class_iv)
        );
        let class_v = 0.412 * 0.42;
        assert!(
            (volume_at(class_v) - 0.412).abs() < 0.08,
            "{}",
            volume_at(class_v)
        );
    }

    #[test]
    fn slope_matches_difference_quotient() {
        for lag in [1.0, 1.5, 2.0, 3.0] {
            let h = 1e-6;
            let slope = (volume_left(0.4 + h, lag) - volume_left(0.4 - h, lag)) / (2.0 * h);
            assert!((slope - volume_left_slope(0.4, lag)).abs() < 1e-8);
        }
    }
}
