//! Life in the bed: worms and other soil animals carry humus between neighbouring slices.
//!
//! ```text
//! flux = A D x (c_below - c_above)/dz,    c = humus in a volume of slice
//! ```
//!
//! x is what warmth, water and air leave of the animals' work, taken to be what they leave
//! of the rot of humus. The nitrogen of the humus goes with it. So what is set free below
//! comes to the roots. Mineral soil is not carried up, which is our own closure and leaves
//! something out: on pasture worms heaped up 0.2-0.22 inch of mould a year, some 5 mm, for
//! 29 years; where a ploughed field is first laid down to grass, much less (Darwin 1881,
//! p. 142).

use crate::value::{Spread, Status, Value};

/// Mixing of humus by soil animals at 10 degC, moist and aired.
///
/// Worms eat through 4-10 % of a good topsoil a year (at second hand), up to 500 t/ha in
/// temperate grassland (Bouche 1975, at second hand): some 8 mm of soil, each carried some
/// 5 cm (our own closure).
///
/// ```
/// use moulder_core::law::bioturbation::BIOTURBATION;
///
/// // In ten years humus comes as far as a hand is wide.
/// assert!((BIOTURBATION.best * 10.0).sqrt() > 0.05 && (BIOTURBATION.best * 10.0).sqrt() < 0.1);
/// ```
pub static BIOTURBATION: Value = Value::new(
    4e-4,
    Spread::new(1e-4, 2e-3),
    "m2/yr",
    "our own closure on what worms eat: 40-500 t/ha a year, carried 5 cm; not taken from the casts of Darwin 1881, p. 142, 0.2-0.22 inch (5 mm) of mould a year heaped on a pasture, which the law leaves out",
    Status::Judgement,
);
