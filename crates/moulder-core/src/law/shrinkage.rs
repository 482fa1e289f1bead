//! Shrinkage and swelling of wood with moisture.
//!
//! ```text
//! S(M) = S0 (Mf - M)/Mf below fibre saturation Mf, nothing above it
//! ```
//!
//! Wood Handbook (ch. 4, the equation from memory): across the grain, proportional to the
//! moisture below fibre saturation. Longitudinal shrinkage (0.1-0.2 %) is neglected. Pieces lie
//! flat, so a stack loses `S` of its height. A piece shrinks in both transverse directions and
//! loses `1 - (1 - S)^2` of its volume; over the fixed plan area of a bed the gaps widen by the
//! rest. Randomly oriented chips and decayed wood are treated alike (our own closure).

use crate::law::water::FIBRE_SATURATION;
use crate::math::smooth::softplus;
use crate::value::{Spread, Status, Value};

/// Transverse shrinkage of wood from green to oven dry.
pub static WOOD_SHRINKAGE: Value = Value::new(
    0.06,
    Spread::new(0.04, 0.08),
    "m/m",
    "Wood Handbook (FPL-GTR-190) table 4-3: means of radial and tangential shrinkage, northern white cedar 3.6 % to beech 8.7 %, about 6 % over twelve woods, eight of them inside the spread",
    Status::Read,
);

/// Rounding at fibre saturation, as a share of it. A drying piece starts to shrink slightly
/// above, since its rim is drier than its core (Teesdale 1942, FPL No. 1424; the width is our own
/// closure).
const ROUNDING: f64 = 0.05;

/// Relative shrinkage of wood width at `moisture` kg per kg dry, for a total of `oven_dry`.
///
/// ```
/// use moulder_core::law::shrinkage::width_lost;
/// // Halfway below fibre saturation, half of the shrinkage.
/// assert!((width_lost(0.15, 0.06) - 0.03).abs() < 1e-5);
/// assert!(width_lost(0.60, 0.06) < 1e-9);
/// ```
#[inline]
#[must_use]
pub fn width_lost(moisture: f64, oven_dry: f64) -> f64 {
    oven_dry * softplus(1.0 - moisture / FIBRE_SATURATION, ROUNDING)
}

/// A skeleton of pieces with gaps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Skeleton {
    /// Envelope volume of its pieces; m3.
    pub envelope_m3: f64,
    /// Gap volume; m3.
    pub gap_m3: f64,
}

/// The skeleton after shrinkage of the wood `wood_m3` of its swollen envelope by `width_lost`:
/// height falls by that share in proportion to the wood, and gaps widen by the remaining loss of
/// volume.
///
/// ```
/// use moulder_core::law::shrinkage::{Skeleton, shrunk};
/// let green = Skeleton { envelope_m3: 0.6, gap_m3: 0.4 };
/// let dry = shrunk(green, 0.6, 0.03);
/// assert!((dry.envelope_m3 + dry.gap_m3 - 0.97).abs() < 1e-12);
/// assert!((dry.envelope_m3 - 0.6 * 0.97 * 0.97).abs() < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn shrunk(swollen: Skeleton, wood_m3: f64, width_lost: f64) -> Skeleton {
    let Skeleton {
        envelope_m3,
        gap_m3,
    } = swollen;
    let wood_share = wood_m3 / envelope_m3.max(f64::MIN_POSITIVE);
    // Vertical shrinkage, and the remainder sideways.
    let height = width_lost * wood_share;
    let sideways = wood_m3 * width_lost * (1.0 - width_lost);
    Skeleton {
        envelope_m3: envelope_m3 * (1.0 - height) - sideways,
        gap_m3: gap_m3 * (1.0 - height) + sideways,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Radial, tangential and volumetric shrinkage from green to oven dry, per cent: Wood
    /// Handbook (FPL-GTR-190), table 4-3 (read in part).
    const WOODS: [(&str, f64, f64, f64); 12] = [
        ("red alder", 4.4, 7.3, 12.6),
        ("white ash", 4.9, 7.8, 13.3),
        ("quaking aspen", 3.5, 6.7, 11.5),
        ("American beech", 5.5, 11.9, 17.2),
        ("paper birch", 6.3, 8.6, 16.2),
        ("black cherry", 3.7, 7.1, 11.5),
        ("black cottonwood", 3.6, 8.6, 12.4),
        ("white oak", 5.6, 10.5, 16.3),
        ("northern white cedar", 2.2, 4.9, 7.2),
        ("western red cedar", 2.4, 5.0, 6.8),
        ("coast Douglas fir", 4.8, 7.6, 12.4),
        ("white fir", 3.3, 7.0, 9.8),
    ];

    #[test]
    fn best_value_is_the_handbook_mean() {
        let means = WOODS.map(|(_, radial, tangential, _)| 0.005 * (radial + tangential));
        let mean = means.iter().sum::<f64>() / 12.0;
        assert!((mean - WOOD_SHRINKAGE.best).abs() < 0.002, "{mean}");
        let spread = WOOD_SHRINKAGE.spread;
        let inside = means
            .iter()
            .filter(|s| (spread.low..spread.high).contains(s));
        assert_eq!(inside.count(), 8, "{means:?}");
    }

    /// Transverse shrinkage by the mean of the two directions reproduces the published volumetric
    /// shrinkage.
    #[test]
    fn volumetric_shrinkage_matches_measurements() {
        for (name, radial, tangential, volumetric) in WOODS {
            let lost = width_lost(0.0, 0.005 * (radial + tangential));
            let piece = Skeleton {
                envelope_m3: 1.0,
                gap_m3: 0.5,
            };
            let percent = 100.0 * (1.0 - shrunk(piece, 1.0, lost).envelope_m3);
            assert!(
                (percent - volumetric).abs() < 2.0,
                "{name}: {percent}, measured {volumetric}"
            );
        }
    }

    /// Green 1989, FPL-RP-489, abstract: lumber shrinks in width by 6.031 - 0.215 M per cent and
    /// in thickness by 5.062 - 0.181 M, from 8 to 19 % moisture.
    #[test]
    fn lumber_shrinkage_by_the_standard() {
        for percent in [8.0, 12.0, 15.0, 19.0] {
            let standard = 0.5 * (6.031 - 0.215 * percent + 5.062 - 0.181 * percent);
            let ours = 100.0 * width_lost(percent / 100.0, WOOD_SHRINKAGE.best);
            assert!(
                (ours - standard).abs() < 0.5,
                "{percent}: {ours} {standard}"
            );
        }
    }

    #[test]
    fn shrinkage_is_monotone_and_smooth() {
        let mut before = width_lost(0.0, 0.06);
        let mut slope_before = None;
        for i in 1..=2000 {
            let now = width_lost(f64::from(i) * 0.0005, 0.06);
            assert!(now <= before && now >= 0.0);
            let slope = (before - now) / 0.0005;
            let turn: f64 = slope_before.map_or(0.0, |other: f64| other - slope);
            assert!((-1e-9..0.02).contains(&turn), "{i}: {turn}");
            slope_before = Some(slope);
            before = now;
        }
        assert!(width_lost(0.45, 0.08) < 1e-5);
    }

    /// No negative volumes beside non-shrinking pieces or without gaps.
    #[test]
    fn nonwoody_pieces_do_not_shrink() {
        let mixed = Skeleton {
            envelope_m3: 1.0,
            gap_m3: 0.0,
        };
        let dry = shrunk(mixed, 0.3, 0.08);
        assert!((dry.envelope_m3 - (0.7 + 0.3 * 0.92 * 0.92)).abs() < 1e-12);
        assert!(dry.gap_m3 > 0.0);
        assert_eq!(shrunk(mixed, 0.0, 0.08), mixed);
    }
}
