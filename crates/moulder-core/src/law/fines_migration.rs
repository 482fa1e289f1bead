//! Migration of fines into the gaps of coarser layers below.
//!
//! Sowers (1973) lists ravelling, and Yen & Scanlon (1975) the movement of fines into large
//! voids, among the causes of settlement of fills. A slice with a skeleton receives fines from
//! the layers above until its gaps are full:
//!
//! ```text
//! dB/dt = k_b softplus(B_max - B)/tau,    B_max = u G g(r)/f(r)
//! ```
//!
//! with f, g of Yu, Zou & Standish 1996 (see [`crate::law::packing`]). The rate, the open share u
//! and the resistances are our own closures, formulated so that subdividing a layer changes
//! nothing.

use crate::law::packing::{closing_power, open_share, packing_ratio, shares};
use crate::math::elementary::{exp, ln, mean_decay};
use crate::math::smooth::softplus;
use crate::value::{Spread, Status, Value};

/// Time constant of filling of open gaps below a source of fines.
pub static FINES_MIGRATION_DAYS: Value = Value::new(
    120.0,
    Spread::new(60.0, 240.0),
    "d",
    "our own closure: two to six months of rain; no published rate was found",
    Status::Judgement,
);

/// Rounding of the end of filling, as a share of the capacity.
const FULL_WIDTH: f64 = 0.02;
/// Thickness of skeleton that passes its open share of fines once; m.
const FILTER_M: f64 = 0.10;

/// Bulk volume of fines that the gap `gap_m3` of a skeleton can take, for fines `relative_size`
/// times as wide as its pores; m3.
///
/// ```
/// use moulder_core::law::fines_migration::capacity_m3;
/// assert!(capacity_m3(0.16, 0.05) > 0.14);
/// assert!(capacity_m3(0.16, 2.0) < 1e-6);
/// ```
#[inline]
#[must_use]
pub fn capacity_m3(gap_m3: f64, relative_size: f64) -> f64 {
    let ratio = packing_ratio(relative_size);
    let (vanishing, usable) = shares(ratio);
    open_share(relative_size) * gap_m3 * usable / vanishing
}

/// Bulk volume of fines that a skeleton of that capacity can still take; m3.
#[inline]
#[must_use]
pub fn room_m3(capacity_m3: f64, held_m3: f64) -> f64 {
    let width = FULL_WIDTH * capacity_m3 + f64::MIN_POSITIVE;
    softplus(capacity_m3 - held_m3, width)
}

/// Resistance of a skeleton to fines, as the negative logarithm of the transmitted share: the
/// open share of its pores per 10 cm.
///
/// ```
/// use moulder_core::law::fines_migration::skeleton_resistance;
/// // At half open pores, half passes 10 cm and a quarter 20 cm.
/// let one = skeleton_resistance(0.35, 0.10);
/// assert!((one - core::f64::consts::LN_2).abs() < 1e-12);
/// assert!((skeleton_resistance(0.35, 0.20) - 2.0 * one).abs() < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn skeleton_resistance(relative_size: f64, skeleton_m: f64) -> f64 {
    // `-ln` of the open share, whose inverse is 1 plus a power that is mostly tiny.
    let closing = closing_power(relative_size);
    let resistance = if closing < 1e-8 {
        closing
    } else {
        ln(1.0 + closing)
    };
    resistance * skeleton_m / FILTER_M
}

/// Resistance of `sheets` sheets, each covering `cover` of the area in proportion to the share
/// `left` of it; as [`skeleton_resistance`].
///
/// ```
/// use moulder_core::law::fines_migration::sheet_resistance;
/// assert!((sheet_resistance(0.95, 1.0, 1.0) - 20.0_f64.ln()).abs() < 1e-12);
/// assert!(sheet_resistance(0.95, 0.0, 3.0).abs() < 1e-15);
/// ```
#[inline]
#[must_use]
pub fn sheet_resistance(cover: f64, left: f64, sheets: f64) -> f64 {
    -ln(1.0 - cover * left.min(1.0)) * sheets
}

/// Mobile share of fines of `mineral_kg`, of which `cohesive_kg` are held by cohesion and roots.
///
/// Moist aggregates bridge openings up to twice their cohesion over their unit weight (arching,
/// Jenike 1964, from memory); the share that flows nevertheless is our own closure.
///
/// ```
/// use moulder_core::law::fines_migration::loose_share;
/// assert!((loose_share(100.0, 65.0) - 0.35).abs() < 1e-9);
/// assert!(loose_share(60.0, 65.0) < 1e-4);
/// assert!((loose_share(5.0, 0.0) - 1.0).abs() < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn loose_share(mineral_kg: f64, cohesive_kg: f64) -> f64 {
    if cohesive_kg <= 0.0 {
        return 1.0;
    }
    // The ramp vanishes a hundred widths below its foot.
    let ramp = softplus(mineral_kg - cohesive_kg, 0.01 * cohesive_kg);
    ramp / mineral_kg.max(f64::MIN_POSITIVE)
}

/// Share of fines transmitted between two slices: through the full resistance `between` them and,
/// averaged over start and end positions, through part of their own.
#[inline]
#[must_use]
pub fn way_open(from: f64, between: f64, to: f64) -> f64 {
    // Zero resistance, the common case, needs no exponential.
    let half_way = |resistance: f64| {
        if resistance == 0.0 {
            1.0
        } else {
            mean_decay(resistance)
        }
    };
    let past = if between == 0.0 { 1.0 } else { exp(-between) };
    half_way(from) * past * half_way(to)
}

#[cfg(test)]
mod tests {
    use super::way_open;

    /// The shares of two halves of a slice average to that of the whole.
    #[test]
    fn subdividing_a_source_changes_nothing() {
        for resistance in [0.0, 0.3, 4.0] {
            let whole = way_open(resistance, 0.7, 0.0);
            let half = 0.5 * resistance;
            let halves = 0.5 * (way_open(half, 0.7, 0.0) + way_open(half, 0.7 + half, 0.0));
            assert!((whole - halves).abs() < 1e-14);
        }
    }
}
