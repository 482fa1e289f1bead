//! Drying of open stacks by wind.
//!
//! ```text
//! E = f ET0 A_side D,    D = o exp(-sum over the slices above of (1 - o) h/5 cm)
//! ```
//!
//! Stacked wood dries through its open sides as well as its top. The form is our own closure:
//! wind passes wide pores only; soil, leaves or clippings on top overhang the sides and shield
//! them. Wind takes the water released by wood before it wets other wood, and dries other
//! material completely. The drying rate is set by particle size
//! ([`crate::law::water::drinking_days`]) and is insensitive to the factor f.

use crate::math::elementary::exp;
use crate::math::smooth::smooth_min;
use crate::value::{Spread, Status, Value};

/// Evaporation of an open side in full wind, over the reference evapotranspiration.
pub static SIDE_FACTOR: Value = Value::new(
    1.0,
    Spread::new(0.5, 2.0),
    "1",
    "our own closure: an open side gives what a lawn of its size would; less sun, more wind",
    Status::Judgement,
);

/// Pore width that passes half the wind; m (our own closure: stacked logs and loose brush pass
/// it, chips and leaves do not).
const WIND_PORE_M: f64 = 0.03;
/// Thickness of closed material that reduces wind to 37 %; m (our own closure).
const REACH_M: f64 = 0.05;

/// Share of the wind that passes a skeleton with pores of `pore_m` and the share `filled` of its
/// gap filled with fines.
///
/// ```
/// use moulder_core::law::ventilation::openness;
/// let logs = openness(0.12 * 0.67, 0.0);
/// let leaves = openness(0.01, 0.0);
/// assert!(logs > 0.99 && leaves < 1e-3);
/// assert!(openness(0.12 * 0.67, 1.0) < 1e-3);
/// ```
#[inline]
#[must_use]
pub fn openness(pore_m: f64, filled: f64) -> f64 {
    let free_m = pore_m * (1.0 - smooth_min(filled, 1.0));
    let x = free_m / WIND_PORE_M;
    let x2 = x * x;
    let x4 = x2 * x2;
    let x8 = x4 * x4;
    x8 / (1.0 + x8)
}

/// Share of the wind left below `thickness_m` of material of an openness.
///
/// ```
/// use moulder_core::law::ventilation::left_below;
/// assert_eq!(left_below(1.0, 2.0), 1.0);
/// assert!(left_below(0.0, 0.2) < 0.02);
/// ```
#[inline]
#[must_use]
pub fn left_below(openness: f64, thickness_m: f64) -> f64 {
    exp(-(1.0 - openness) * thickness_m / REACH_M)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn openness_grows_with_pores_and_falls_with_filling() {
        for i in 1..100 {
            let pore_m = f64::from(i) * 0.002;
            let (here, wider) = (openness(pore_m, 0.2), openness(pore_m + 0.002, 0.2));
            assert!((0.0..=1.0).contains(&here) && wider >= here);
            assert!(openness(pore_m, 0.3) <= here);
        }
    }

    #[test]
    fn halves_attenuate_as_the_whole() {
        let halves = left_below(0.3, 0.04) * left_below(0.3, 0.04);
        assert!((halves - left_below(0.3, 0.08)).abs() < 1e-15);
    }
}
