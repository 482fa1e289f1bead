//! How fines trickle down into the gaps of coarser layers.
//!
//! Sowers (1973) names ravelling, Yen & Scanlon (1975) the movement of fines into
//! large voids, among the causes of settlement of fills. A slice with a frame takes
//! fines from the layers above until its gaps are full:
//!
//! ```text
//! dB/dt = k_b softplus(B_max - B)/tau,    B_max = u G g(r)/f(r)
//! ```
//!
//! with f, g of Yu, Zou & Standish 1996 (see [`crate::packing`]). The rate, the open
//! share u and what holds fines back on their way are our own closures. All are
//! written so that cutting a layer in two changes nothing.

use crate::elementary::pow;
use crate::packing::{open_share, packing_ratio, usable_share, vanishing_share};
use crate::smooth::softplus;
use crate::value::{Spread, Status, Value};

/// Time in which open gaps below a store of fines fill.
pub static SIFTING_DAYS: Value = Value::new(
    120.0,
    Spread::new(60.0, 240.0),
    "d",
    "our own closure: two to six months of rain; no published rate was found",
    Status::Judgement,
);

/// Rounding of the end of filling, as a share of what the gaps can take.
const FULL_WIDTH: f64 = 0.02;
/// Thickness of frame that lets through its open share of fines once; m.
const FILTER_M: f64 = 0.10;

/// Bulk volume of fines that a frame's gap `gap_m3` can take, for fines
/// `relative_size` times as wide as its pores; m3.
///
/// ```
/// use moulder_core::sifting::capacity_m3;
/// assert!(capacity_m3(0.16, 0.05) > 0.14);
/// assert!(capacity_m3(0.16, 2.0) < 1e-6);
/// ```
#[inline]
#[must_use]
pub fn capacity_m3(gap_m3: f64, relative_size: f64) -> f64 {
    let ratio = packing_ratio(relative_size);
    open_share(relative_size) * gap_m3 * usable_share(ratio) / vanishing_share(ratio)
}

/// How fast a frame with free access takes fines; m3/d.
#[inline]
#[must_use]
pub fn demand_m3_per_day(capacity_m3: f64, held_m3: f64, sifting_days: f64) -> f64 {
    let width = FULL_WIDTH * capacity_m3 + f64::MIN_POSITIVE;
    softplus(capacity_m3 - held_m3, width) / sifting_days
}

/// Share of fines that get through a frame on their way: the open share of its
/// pores once for every 10 cm of frame.
#[inline]
#[must_use]
pub fn passing_share(relative_size: f64, frame_m: f64) -> f64 {
    pow(open_share(relative_size), frame_m / FILTER_M)
}

/// Share of the way that a stack of `sheets` leaves open, each covering `cover` of
/// the area in proportion to what is `left` of it.
///
/// ```
/// use moulder_core::sifting::open_past_sheets;
/// assert!((open_past_sheets(0.95, 1.0, 1.0) - 0.05).abs() < 1e-12);
/// assert_eq!(open_past_sheets(0.95, 0.0, 3.0), 1.0);
/// ```
#[inline]
#[must_use]
pub fn open_past_sheets(cover: f64, left: f64, sheets: f64) -> f64 {
    pow(1.0 - cover * left.min(1.0), sheets)
}
