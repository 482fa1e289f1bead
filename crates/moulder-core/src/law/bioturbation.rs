//! Bioturbation: soil animals mix humus between neighbouring slices.
//!
//! ```text
//! flux = A D x (c_below - c_above)/dz,    c = humus in a volume of slice
//! ```
//!
//! x is the rate modifier of humus decay, taken for the animals' activity too. The nitrogen of
//! the humus moves with it. Upward transport of mineral soil is left out (our own closure): on
//! pasture, worms raised 0.2-0.22 inch (5 mm) of mould a year for 29 years; much less where a
//! ploughed field is first laid down to grass (Darwin 1881, p. 142).

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
    "our own closure on what worms eat: 40-500 t/ha a year, carried 5 cm; not taken from the casts of Darwin 1881, p. 142, 0.2-0.22 inch (5 mm) of mould a year heaped on a pasture, which the law leaves out",
    Status::Judgement,
);
