//! What filling leaves in a layer before day zero.
//!
//! A layer has felt what was done to it and a share of the weight that came on top of it, and its
//! voids have closed for the greater of both:
//!
//! ```text
//! S(0) = max(felt, r load)
//! ```
//!
//! Its own weight was on it when its void ratio was measured. `felt` is nothing for a layer that is known to be tipped. Where nobody says how a bed was
//! filled, it is uncertain, and the same for all layers: one person fills a bed.

use crate::value::{Spread, Status, Value};

/// Stress that filling leaves in a layer of which nothing is said.
pub static FILLING_KPA: Value = Value::new(
    0.02,
    Spread::new(0.002, 2.0),
    "kPa",
    "our own judgement: more than half of all beds are tipped and raked level, which leaves nothing; one in ten is firmed by hand or trodden",
    Status::Judgement,
);

/// Stress that raking and firming by hand leave.
pub static FIRMED_KPA: Value = Value::new(
    1.5,
    Spread::new(0.7, 3.0),
    "kPa",
    "our own judgement: pressed with the back of a fork, between tipping and a foot",
    Status::Judgement,
);

/// Share of the weight on a layer that it has taken up by the end of filling.
pub static LOAD_AT_FILLING: Value = Value::new(
    0.025,
    Spread::new(0.01, 0.3),
    "1",
    "our own closure: 1 - exp(-D/2 tau) for filling that takes half a day, from a few hours to a week, and a time constant tau of stress of ten days",
    Status::Judgement,
);

/// Share of its first wetting that a layer has behind it of which nothing is said.
pub static WETTED_AT_FILLING: Value = Value::new(
    0.01,
    Spread::new(0.001, 0.3),
    "1",
    "our own judgement: one bed in ten is watered in while it is filled",
    Status::Judgement,
);

/// Effective stress at the end of filling; kPa.
///
/// ```
/// use moulder_core::law::filling::filled_kpa;
///
/// assert_eq!(filled_kpa(0.3, 0.5, 4.0), 2.0);
/// assert_eq!(filled_kpa(6.0, 0.5, 4.0), 6.0);
/// ```
#[must_use]
pub fn filled_kpa(felt_kpa: f64, load_share: f64, load_kpa: f64) -> f64 {
    felt_kpa.max(load_share * load_kpa)
}

/// How far firming goes from tipped (0) to trodden (1), by the closing of voids:
/// `ln(1 + felt/sigma)/ln(1 + trodden/sigma)`.
///
/// ```
/// use moulder_core::law::filling::firmness;
///
/// assert_eq!((firmness(0.0, 6.0, 0.9), firmness(6.0, 6.0, 0.9)), (0.0, 1.0));
/// assert!((0.3..0.6).contains(&firmness(1.5, 6.0, 0.9)));
/// ```
#[must_use]
pub fn firmness(felt_kpa: f64, trodden_kpa: f64, reference_kpa: f64) -> f64 {
    use crate::math::elementary::ln;
    if felt_kpa >= trodden_kpa {
        return 1.0;
    }
    ln(1.0 + felt_kpa / reference_kpa) / ln(1.0 + trodden_kpa / reference_kpa)
}
