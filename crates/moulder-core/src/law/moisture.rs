//! Dependence of decay on moisture and on the remaining air.
//!
//! The measure of moisture depends on the material: wet-basis moisture of plant matter, dry-basis
//! moisture of wood, water-filled pore share of soil.

use crate::math::elementary::{exp, ln, pow};
use crate::math::smooth::{smooth_min, smoothstep, softplus};

/// Class of material that selects the temperature and moisture laws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Matter {
    /// Logs, branches, chips.
    Wood,
    /// Leaves, grass, card, turf.
    Plant,
    /// Soil, compost, humus.
    Soil,
}

/// Smooth minimum of the wet-side and oxygen factors, at most 1, above an anaerobic floor.
#[inline]
#[must_use]
pub fn aired_factor(wet_side: f64, oxygen: f64, floor: f64) -> f64 {
    floor + (1.0 - floor) * smooth_min(smooth_min(wet_side.max(0.0), oxygen.max(0.0)), 1.0)
}

/// Anaerobic floor of non-woody material (our own closure, within recalled anaerobic to aerobic
/// ratios of 0.1-0.5).
pub const SOFT_FLOOR: f64 = 0.1;
/// Anaerobic floor of wood, whose lignin hardly decays without oxygen.
pub const WOOD_FLOOR: f64 = 0.02;
/// Specific gravity of the cell wall (Wood Handbook ch. 4).
pub const CELL_WALL_GRAVITY: f64 = 1.54;

/// Dry-side factor of plant matter at `moisture` kg water per kg wet mass: Haug 1993, `1/(1 +
/// exp(7.0622 - 17.684 m))` (from memory), scaled to 1 at 0.60.
///
/// ```
/// use moulder_core::law::moisture::plant_dry_factor;
/// assert!((plant_dry_factor(0.60) - 1.0).abs() < 1e-12);
/// assert!(plant_dry_factor(0.30) < 0.16);
/// ```
#[must_use]
pub fn plant_dry_factor(moisture: f64) -> f64 {
    /// `haug(0.60)`.
    const AT_BEST: f64 = 0.972_028_527_451_341;
    haug(moisture) / AT_BEST
}

fn haug(moisture: f64) -> f64 {
    1.0 / (1.0 + exp(7.0622 - 17.684 * moisture))
}

/// Dry-side factor of wood at `moisture` kg water per kg dry wood: 0 at 20 %, 1 at 50 % (fibre
/// saturation is near 30 %, Wood Handbook ch. 4; below 43 % moisture limits respiration,
/// Bond-Lamberty et al. 2003; corners are judgement).
#[must_use]
pub fn wood_dry_factor(moisture: f64) -> f64 {
    smoothstep(0.20, 0.50, moisture)
}

/// Wet-side factor of wood of basic specific gravity `gravity`: air in the cell cavities over
/// 0.20 of the volume (our own closure); above 1 where not limiting.
#[must_use]
pub fn wood_wet_side(gravity: f64, moisture: f64) -> f64 {
    (1.0 - gravity * (1.0 / CELL_WALL_GRAVITY + moisture)) / 0.20
}

/// Dry-side factor of soil at `wetness`, water over field capacity: 1 at field capacity, 0.3 at
/// the wilting point, 0 at a quarter.
///
/// `1 - ln(psi/psi_f)/ln(psi_0/psi_f)`: respiration falls with the logarithm of the water
/// potential, from field capacity (-30 kPa) to -14,000 kPa, where it ceases (Manzoni, Schimel &
/// Porporato 2012, Ecology 93:930-938, thresholds from memory), with Campbell's `psi = psi_f
/// wetness^-b`, b = 4.5 for loam. The alternative `s/(s + 0.25)` in the water-filled pore share
/// leaves 0.7 of the rate at the wilting point.
///
/// ```
/// use moulder_core::law::moisture::soil_dry_factor;
/// assert!((soil_dry_factor(1.0) - 1.0).abs() < 0.02);
/// assert!((0.2..0.4).contains(&soil_dry_factor(0.40)));
/// assert!(soil_dry_factor(0.15) < 0.01);
/// ```
#[must_use]
pub fn soil_dry_factor(wetness: f64) -> f64 {
    /// Campbell's exponent over the logarithm of the ratio of potentials, 4.5/ln(466).
    const SLOPE: f64 = 0.732;
    /// `smooth_min(1.0, 1.0)`.
    const AT_ONE: f64 = 0.917_004_043_204_671_2;
    let share = 1.0 + SLOPE * ln(wetness.max(1e-6));
    smooth_min(softplus(share, 0.03), 1.0) / AT_ONE * (1.0 - exp(-wetness / 0.05))
}

/// Wet-side factor of soil: `((1 - s)/0.40)^(4/3)` (form of Skopp et al. 1990); above 1 where not
/// limiting.
#[must_use]
pub fn soil_wet_side(filled: f64) -> f64 {
    pow((1.0 - filled).max(0.0) / 0.40, 4.0 / 3.0)
}

/// Saturation moisture of wood of basic specific gravity `gravity`, kg water per kg dry wood:
/// `(1.54 - G)/(1.54 G)` (Wood Handbook ch. 4).
#[must_use]
pub fn wood_saturation(gravity: f64) -> f64 {
    (CELL_WALL_GRAVITY - gravity) / (CELL_WALL_GRAVITY * gravity)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Haug's factor at five moistures (from memory; points recomputed), against the limits read
    /// in Richard & Trautmann, Cornell: "much reduced below 35-40 %, all but stopped below 30 %".
    #[test]
    fn haug_points() {
        for (moisture, want) in [
            (0.20, 0.0286),
            (0.30, 0.1472),
            (0.40, 0.5028),
            (0.50, 0.8557),
            (0.60, 0.9720),
        ] {
            assert!((haug(moisture) - want).abs() < 1e-4, "{moisture}");
        }
    }

    /// Linn & Doran 1984, Soil Sci. Soc. Am. J. 48:1267-1272: maximum activity at 60 %
    /// water-filled pores, near field capacity.
    #[test]
    fn soil_optimum_near_sixty_percent() {
        let at_field_capacity = 0.55;
        let product = |s: f64| {
            let wet = aired_factor(soil_wet_side(s), 1e6, SOFT_FLOOR);
            soil_dry_factor(s / at_field_capacity) * wet
        };
        let best = (1..100)
            .map(|i| f64::from(i) / 100.0)
            .max_by(|a, b| product(*a).total_cmp(&product(*b)));
        assert!((0.50..0.66).contains(&best.unwrap()), "{best:?}");
        assert!(product(0.95) < 0.3 * product(0.6));
        assert!(product(0.15) < 0.1 * product(0.6));
    }

    /// Wood Handbook ch. 4: at a basic gravity of 0.50, saturation is 135 % of dry mass.
    #[test]
    fn wood_saturation_by_the_handbook() {
        assert!((wood_saturation(0.50) - 1.35).abs() < 0.005);
        assert!(wood_wet_side(0.5, 0.6) > 1.5);
        assert!(wood_wet_side(0.5, wood_saturation(0.5)).abs() < 1e-12);
        assert!(wood_dry_factor(0.2).abs() < 1e-15);
    }
}
