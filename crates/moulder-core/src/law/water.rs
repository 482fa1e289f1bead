//! Water balance: storage, drainage, evapotranspiration, exchange with wood.
//!
//! ```text
//! dW_i/dt = inflow_i - drain_i - et_i - wood_i,     drain_i = softplus(W_i - F_i)/(1 d)
//! ```
//!
//! with `inflow` the rain on the top slice and the drainage from above on every other. Non-woody
//! material, soil and films share the store of a slice; wood has its own. Evapotranspiration is
//! the FAO-56 reference value times a crop factor, distributed over depth. The other forms are
//! our own closures.

use crate::law::moisture::wood_saturation;
use crate::math::elementary::{exp, sqrt};
use crate::math::smooth::{smooth_min, smooth_min_and_slope, softplus, softplus_and_slope};
use crate::value::{Spread, Status, Value};

/// Crop factor: evapotranspiration of a bed over the reference value.
pub static CROP_FACTOR: Value = Value::new(
    0.8,
    Spread::new(0.5, 1.05),
    "1",
    "FAO-56 Table 12: vegetables 0.6-0.7 young, 1.0-1.15 full grown, bare soil 0.2-0.5; a mean of the year",
    Status::Memory,
);

/// Depth at which root density has fallen to 37 %.
pub static ROOTING_DEPTH: Value = Value::new(
    0.15,
    Spread::new(0.10, 0.25),
    "m",
    "our own closure: most roots of vegetables lie in the top spit",
    Status::Judgement,
);

/// Time constant of drainage above field capacity.
pub static DRAINAGE_DAYS: Value = Value::new(
    1.0,
    Spread::new(0.5, 2.0),
    "d",
    "field capacity is what is left after a day or two (general literature)",
    Status::Memory,
);

/// Time constant of water exchange of a log of 10 cm.
pub static DRINKING_DAYS: Value = Value::new(
    180.0,
    Spread::new(90.0, 360.0),
    "d",
    "our own closure: firewood of that size seasons in about a year (common practice)",
    Status::Judgement,
);

/// Share of its saturation moisture that wood holds against drainage.
pub static WOOD_HELD: Value = Value::new(
    0.6,
    Spread::new(0.35, 0.8),
    "1",
    "our own closure; the largest only when flooded",
    Status::Judgement,
);

/// Residual water content for plants and evaporation, as a share of field capacity.
pub static LEAST_SHARE: Value = Value::new(
    0.2,
    Spread::new(0.1, 0.3),
    "1",
    "FAO-56 eq. 73: air dries a surface to half of the wilting point, which is 0.35-0.55 of field capacity in loams",
    Status::Memory,
);

/// Water needed for first wetting of a layer, over its field capacity.
pub static WETTING_SHARE: Value = Value::new(
    0.7,
    Spread::new(0.3, 1.5),
    "1",
    "our own closure: rain finds its ways, and wets a dry layer through only in part",
    Status::Judgement,
);

/// Thickness of water films on pieces; m (our own closure: 0.2 mm).
pub const FILM_M: f64 = 0.2e-3;
/// Fibre saturation of wood; kg per kg dry (30 % on average, Wood Handbook ch. 4).
pub const FIBRE_SATURATION: f64 = 0.30;
/// Rounding at field capacity, as a share of it.
const FIELD_WIDTH: f64 = 0.02;

/// Drainage of water above field capacity; kg/d.
///
/// ```
/// use moulder_core::law::water::drainage_kg_per_day;
/// assert!((drainage_kg_per_day(20.0, 10.0, 1.0) - 10.0).abs() < 1e-9);
/// assert!(drainage_kg_per_day(5.0, 10.0, 1.0) < 1e-6);
/// ```
#[inline]
#[must_use]
pub fn drainage_kg_per_day(held_kg: f64, field_kg: f64, days: f64) -> f64 {
    drainage_and_slope(held_kg, field_kg, days).0
}

/// [`drainage_kg_per_day`] and its derivative in the storage; kg/d and 1/d.
#[inline]
#[must_use]
pub fn drainage_and_slope(held_kg: f64, field_kg: f64, days: f64) -> (f64, f64) {
    let width = FIELD_WIDTH * field_kg.max(f64::MIN_POSITIVE);
    let (ramp, slope) = softplus_and_slope(held_kg - field_kg, width);
    (ramp / days, slope / days)
}

/// Share of the demand that a store meets: 0 at the residual water content, near 1 above halfway
/// to field capacity, smooth.
///
/// ```
/// use moulder_core::law::water::giving;
/// assert!(giving(1.0) > 0.98);
/// assert!((giving(0.25) - 0.5).abs() < 0.1);
/// assert!(giving(0.0) < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn giving(available_share: f64) -> f64 {
    giving_and_slope(available_share).0
}

/// [`giving`] and its derivative.
///
/// ```
/// use moulder_core::law::water::{giving, giving_and_slope};
/// let beside = giving(0.4 + 1e-7) - giving(0.4 - 1e-7);
/// assert!((giving_and_slope(0.4).1 - beside / 2e-7).abs() < 1e-6);
/// assert_eq!(giving_and_slope(-0.1), (0.0, 0.0));
/// ```
#[inline]
#[must_use]
pub fn giving_and_slope(available_share: f64) -> (f64, f64) {
    let x = (available_share / 0.5).max(0.0);
    let x2 = x * x;
    let x4 = x2 * x2;
    let sum = 1.0 + x4 * x4;
    // An eighth power mean of x and 1, whose derivative is its ninth power over that of x.
    let root = sqrt(sqrt(sqrt(sum)));
    let slope = if available_share > 0.0 {
        2.0 / (sum * root)
    } else {
        0.0
    };
    (x / root, slope)
}

/// Share of evapotranspiration between two depths, by an exponential root profile.
#[inline]
#[must_use]
pub fn rooting_share(top_m: f64, bottom_m: f64, rooting_m: f64) -> f64 {
    exp(-top_m / rooting_m) - exp(-bottom_m / rooting_m)
}

/// Time constant of water exchange of a piece: quadratic in size, bounded to 60-500 days (our own
/// closure).
///
/// ```
/// use moulder_core::law::water::drinking_days;
/// assert!((drinking_days(0.10, 180.0) - 180.0).abs() < 10.0);
/// assert!(drinking_days(0.02, 180.0) >= 60.0);
/// assert!(drinking_days(0.50, 180.0) <= 500.0);
/// ```
#[must_use]
pub fn drinking_days(particle_size_m: f64, days_at_10_cm: f64) -> f64 {
    const MIN_DAYS: f64 = 60.0;
    const MAX_DAYS: f64 = 500.0;
    let relative = particle_size_m / 0.10;
    let free = days_at_10_cm * relative * relative;
    MIN_DAYS + smooth_min(softplus(free - MIN_DAYS, 10.0), MAX_DAYS - MIN_DAYS)
}

/// Equilibrium moisture of wood; kg per kg dry.
///
/// From half of fibre saturation in a dry layer (wood kept outdoors under a roof reaches 12-14 %
/// in western Oregon and 8-10 % in its dry east: Reeb & Brown, OSU Extension EM 8612) to its
/// field capacity in a wet one, which grows with decay as its specific gravity falls.
///
/// ```
/// use moulder_core::law::water::wood_tends_to;
/// let sound = wood_tends_to(0.50, 1.0, 0.6);
/// let rotten = wood_tends_to(0.20, 1.0, 0.6);
/// assert!((sound - 0.81).abs() < 0.08 && rotten > 2.3);
/// ```
#[inline]
#[must_use]
pub fn wood_tends_to(gravity: f64, wetness: f64, held: f64) -> f64 {
    tends_to_and_slope(gravity, wetness, held).0
}

/// [`wood_tends_to`] and its derivative in the wetness.
#[inline]
#[must_use]
pub fn tends_to_and_slope(gravity: f64, wetness: f64, held: f64) -> (f64, f64) {
    let most = held * wood_saturation(gravity.max(0.02));
    let dry = 0.5 * FIBRE_SATURATION;
    let (wet, slope) = smooth_min_and_slope(wetness, 1.0);
    (dry + (most - dry) * wet, (most - dry) * slope)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn supply_decreases_smoothly_with_drying() {
        let mut before = giving(0.0);
        for i in 1..300 {
            let now = giving(f64::from(i) / 100.0);
            assert!(now >= before && now - before < 0.021);
            before = now;
        }
        assert!(before <= 1.0);
    }

    #[test]
    fn rooting_shares_add_up_in_a_deep_bed() {
        let sum: f64 = (0..40)
            .map(|i| rooting_share(f64::from(i) * 0.05, f64::from(i + 1) * 0.05, 0.15))
            .sum();
        assert!((sum - 1.0).abs() < 1e-5);
    }

    /// Maple boards one inch thick air-dried to 20 % in 40 to 205 days, mean 90 (Peck 1957, FPL
    /// Report 2086, summary). From 65 % green (from memory) towards 15 % that is 2.3 time
    /// constants; a square rod of 10 cm takes half of 3.94 squared of them (diffusion from four
    /// faces), slightly less by its ends.
    #[test]
    fn firewood_drying_scales_from_boards() {
        let board_days = |to_20_percent: f64| to_20_percent / 2.3;
        let rod_days = |board: f64| board * 0.5 * (0.10 / 0.0254) * (0.10 / 0.0254);
        let ours = drinking_days(0.10, DRINKING_DAYS.best);
        let published = [40.0, 90.0, 205.0].map(|days| rod_days(board_days(days)));
        assert!(
            published[0] < ours && ours < published[1],
            "{ours} {published:?}"
        );
    }
}
