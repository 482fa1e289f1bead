//! Snow: what of the precipitation lies as snow, how it melts, and what it keeps from the bed.

use crate::math::elementary::exp;
use crate::value::{Spread, Status, Value};

/// Daily mean temperature at which half of the precipitation falls as snow.
pub static HALF_SNOW: Value = Value::new(
    1.0,
    Spread::new(-0.4, 2.4),
    "degC",
    "Jennings, Winchell, Livneh & Molotch 2018, Nature Communications 9:1148, abstract: 17.8 million observations of the northern hemisphere, mean 1.0, 95 % of stations within the spread",
    Status::Read,
);

/// Scale of the logistic share of snow about that temperature.
pub static SNOW_WIDTH: Value = Value::new(
    0.8,
    Spread::new(0.5, 1.2),
    "K",
    "our own closure: nine tenths snow some 2 K below, nine tenths rain 2 K above; the same paper finds 0.6 to 3.4 degC the least certain",
    Status::Judgement,
);

/// Melt for each degree of the daily mean above 0 degC.
pub static MELT: Value = Value::new(
    3.5,
    Spread::new(2.0, 5.0),
    "mm/K/d",
    "general literature: degree-day method, usual range for open ground",
    Status::Memory,
);

/// Snow that keeps all but `1/e` of the frost from what lies below it, as water.
pub static INSULATING: Value = Value::new(
    50.0,
    Spread::new(25.0, 100.0),
    "mm",
    "our own closure: an exponential of the depth, as Rankinen, Karvonen & Butterfield 2004, Hydrol. Earth Syst. Sci. 8:706-716 (title read, form from memory); 20 cm of settled snow",
    Status::Judgement,
);

/// Snow that hides all but `1/e` of the surface, as water.
pub static HIDING: Value = Value::new(
    3.0,
    Spread::new(1.5, 6.0),
    "mm",
    "our own closure: some 3 cm of fresh snow",
    Status::Judgement,
);

/// The share of a day's precipitation that falls as snow; 0 to 1.
///
/// ```
/// use moulder_core::law::snow::snow_share;
///
/// assert!((snow_share(1.0) - 0.5).abs() < 1e-12);
/// ```
#[must_use]
pub fn snow_share(mean_c: f64) -> f64 {
    1.0 / (1.0 + exp((mean_c - HALF_SNOW.best) / SNOW_WIDTH.best))
}

/// Snow that melts on a day, where so much lies; mm of water.
#[must_use]
pub fn melt_mm(mean_c: f64) -> f64 {
    MELT.best * mean_c.max(0.0)
}

/// The share of the frost that passes a cover of snow, as water in mm; 0 to 1.
#[must_use]
pub fn frost_share(snow_mm: f64) -> f64 {
    exp(-snow_mm.max(0.0) / INSULATING.best)
}

/// The share of the surface that is free of snow, as water in mm; 0 to 1.
#[must_use]
pub fn bare_share(snow_mm: f64) -> f64 {
    exp(-snow_mm.max(0.0) / HIDING.best)
}

#[cfg(test)]
mod tests {
    use super::{HALF_SNOW, MELT, bare_share, frost_share, melt_mm, snow_share};

    /// Jennings et al. 2018: as much snow as rain at 1.0 degC, and the two ends.
    #[test]
    fn half_falls_as_snow_at_one_degree() {
        assert!((snow_share(HALF_SNOW.best) - 0.5).abs() < 1e-12);
        assert!(snow_share(-5.0) > 0.99 && snow_share(8.0) < 0.01);
        assert!((melt_mm(2.0) - 2.0 * MELT.best).abs() < 1e-12 && melt_mm(-2.0) <= 0.0);
    }

    #[test]
    fn shares_stay_shares() {
        for c in [-1e9, -60.0, 0.0, 60.0, 1e9] {
            assert!((0.0..=1.0).contains(&snow_share(c)) && melt_mm(c) >= 0.0);
        }
        for mm in [-1.0, 0.0, 1e9] {
            assert!((0.0..=1.0).contains(&frost_share(mm)));
            assert!((0.0..=1.0).contains(&bare_share(mm)));
        }
    }
}
