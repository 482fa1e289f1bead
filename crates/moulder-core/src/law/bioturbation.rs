//! Bioturbation: soil animals mix humus between neighbouring slices, and raise fines of every kind
//! into open gaps above.
//!
//! ```text
//! mixed  = A D x (c_below - c_above)/dz,              c = humus in a volume of slice
//! raised = A v x e^(-z/d) (1 - e^(-t/tau)) s_below,   z = depth of the boundary
//! ```
//!
//! x is the rate modifier of humus decay, taken for the animals' activity too. The nitrogen of
//! the humus moves with it. What is raised comes to rest in the gaps of a skeleton and stops as
//! they fill; `s_below` is the share of the fillable gaps below that hold fines, 1 for soil. Soil
//! raised onto soil changes nothing and is left out. On pasture, worms raised 0.2-0.22 inch
//! (5 mm) of mould a year for 29 years; much less where a ploughed field is first laid down to
//! grass (Darwin 1881, p. 142).

use crate::math::elementary::exp;
use crate::value::{Spread, Status, Value};

/// Mixing of humus by soil animals at 10 degC, moist and aerobic.
///
/// Worms ingest 4-10 % of a good topsoil a year (at second hand), up to 500 t/ha in temperate
/// grassland (Bouche 1975, at second hand): about 8 mm of soil, each displaced about 5 cm (our
/// own closure).
///
/// ```
/// use moulder_core::law::bioturbation::BIOTURBATION;
///
/// // In ten years humus spreads over 5 to 10 cm.
/// assert!((BIOTURBATION.best * 10.0).sqrt() > 0.05 && (BIOTURBATION.best * 10.0).sqrt() < 0.1);
/// ```
pub static BIOTURBATION: Value = Value::new(
    4e-4,
    Spread::new(1e-4, 2e-3),
    "m2/yr",
    "our own closure on what worms eat: 40-500 t/ha a year, carried 5 cm; casts heaped above are apart (CAST_RATE)",
    Status::Judgement,
);

/// Fines raised by soil animals near the surface, as a height a year at 10 degC, moist and
/// aerobic, once the animals have come.
pub static CAST_RATE: Value = Value::new(
    0.005,
    Spread::new(0.0005, 0.006),
    "m/yr",
    "Darwin 1881, p. 142: 0.2-0.22 inch (5 mm) of mould a year on old pasture, much less on a field newly laid down to grass; spread is our judgement",
    Status::Read,
);

/// Depth at which soil animals raise 37 % of what they do at the surface.
pub static CAST_DEPTH: Value = Value::new(
    0.2,
    Spread::new(0.1, 0.3),
    "m",
    "our own closure: most soil animals live in the upper 20 to 30 cm",
    Status::Judgement,
);

/// Time constant of the arrival of soil animals in a new bed.
pub static ANIMALS_YEARS: Value = Value::new(
    2.0,
    Spread::new(1.0, 3.0),
    "yr",
    "our own closure: a new fill is settled by worms over one to three years",
    Status::Judgement,
);

/// Height of fines over which a flow of casts begins and ends smoothly; m.
const CAST_ROUNDING_M: f64 = 0.001;

/// Rate at which animals raise soil across a boundary `depth_m` below the surface, `days` after
/// filling, from [`CAST_RATE`], [`CAST_DEPTH`] and [`ANIMALS_YEARS`] in metres and days; m/d.
///
/// ```
/// use moulder_core::law::bioturbation::cast_m_per_day;
///
/// assert_eq!(cast_m_per_day([1e-5, 0.2, 700.0], 0.0, 0.0), 0.0);
/// assert!((cast_m_per_day([1e-5, 0.2, 700.0], 0.2, 1e5) / 1e-5 - 0.368).abs() < 1e-3);
/// ```
#[inline]
#[must_use]
pub fn cast_m_per_day(
    [rate_m_per_day, reach_m, arrival_days]: [f64; 3],
    depth_m: f64,
    days: f64,
) -> f64 {
    rate_m_per_day * exp(-depth_m / reach_m) * (1.0 - exp(-days / arrival_days))
}

/// Share of that rate at which fines leave gaps that hold a height `held_m` and have room for
/// `room_below_m` more (0 for soil), for gaps above with room for `room_m`.
///
/// ```
/// use moulder_core::law::bioturbation::cast_share;
///
/// assert!((cast_share(0.1, 0.0, 0.02) - 1.0).abs() < 1e-8);
/// assert!((cast_share(0.1, 0.1, 0.02) - 0.5).abs() < 1e-8);
/// assert_eq!(cast_share(0.1, 0.0, 0.0), 0.0);
/// ```
#[inline]
#[must_use]
pub fn cast_share(held_m: f64, room_below_m: f64, room_m: f64) -> f64 {
    let open = |height_m: f64| 1.0 - exp(-height_m / CAST_ROUNDING_M);
    held_m / (held_m + room_below_m).max(f64::MIN_POSITIVE) * open(held_m) * open(room_m)
}
