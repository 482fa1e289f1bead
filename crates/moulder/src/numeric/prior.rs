//! Prior distributions of uncertain parameters.
//!
//! A spread is an 80 % interval and the best value the median. The prior is a normal
//! distribution in a suitable scale, with one width below the median and another above it, so
//! that all three points are met.

use moulder_core::math::elementary::{exp, ln};
use moulder_core::value::Value;

/// The 90 % point of the standard normal distribution.
pub const TENTH_Z: f64 = 1.281_551_565_544_600_4;
/// Truncation of the priors: about one realisation in 80 of a parameter is held to it (our own
/// closure: what lies beyond a spread is not known, and far tails of many parameters at once
/// make impossible beds).
pub const FARTHEST_Z: f64 = 2.5;
/// Spreads wider than this ratio are taken on a logarithmic scale.
const RATIO: f64 = 1.3;

/// The scale in which a prior is normal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// No spread.
    Constant,
    /// Linear.
    Plain,
    /// Logarithmic.
    Log,
    /// Logarithm of the odds of a share.
    Logit,
}

impl Scale {
    /// Logit for shares with a spread inside 0..1, logarithmic for other positive values with a
    /// wide spread, else linear.
    #[must_use]
    pub fn new(value: &Value) -> Self {
        let (low, high) = (value.spread.low, value.spread.high);
        if is_constant(value) {
            Self::Constant
        } else if is_share(value) && low > 0.0 && high < 1.0 {
            Self::Logit
        } else if low > 0.0 && high > RATIO * low {
            Self::Log
        } else {
            Self::Plain
        }
    }

    fn to_scale(self, figure: f64) -> f64 {
        match self {
            Self::Constant | Self::Plain => figure,
            Self::Log => ln(figure),
            Self::Logit => ln(figure / (1.0 - figure)),
        }
    }

    fn to_value(self, figure: f64) -> f64 {
        match self {
            Self::Constant | Self::Plain => figure,
            Self::Log => exp(figure),
            Self::Logit => 1.0 / (1.0 + exp(-figure)),
        }
    }
}

/// Whether a value has no spread.
#[must_use]
fn is_constant(value: &Value) -> bool {
    value.spread.low >= value.best && value.spread.high <= value.best
}

/// Whether a value is a share by its unit and its spread.
fn is_share(value: &Value) -> bool {
    let has_unit = matches!(
        value.unit.as_ref(),
        "1" | "kg/kg wet" | "kg/kg organic dry" | "kg/kg dry"
    );
    // Water by dry mass may exceed 1; such spreads do.
    has_unit && value.spread.low >= 0.0 && value.spread.high <= 1.0
}

/// Exponent h of the heavy tails (Tukey's h distribution; from memory): at 2.5 standard
/// deviations those of Student's t with three degrees of freedom.
const TAIL_EXPONENT: f64 = 0.224;

/// The value `z` standard deviations from the median of a prior, truncated at [`FARTHEST_Z`].
/// Non-negative values stay so, and shares stay at most 1.
#[must_use]
pub fn value_at(value: &Value, z: f64) -> f64 {
    value_beyond(value, z.clamp(-FARTHEST_Z, FARTHEST_Z))
}

/// The same with the tails of Student's t with three degrees of freedom and the same spread: for
/// what an owner may have got wrong altogether.
pub(crate) fn heavy_tailed_at(value: &Value, z: f64) -> f64 {
    value_beyond(value, heavy_tailed(z.clamp(-FARTHEST_Z, FARTHEST_Z)))
}

/// A standard normal deviation with heavy tails; it keeps the 10 % and 90 % points.
fn heavy_tailed(z: f64) -> f64 {
    z * exp(0.5 * TAIL_EXPONENT * (z * z - TENTH_Z * TENTH_Z))
}

/// The value `z` standard deviations from the median, however far.
fn value_beyond(value: &Value, z: f64) -> f64 {
    let scale = Scale::new(value);
    if scale == Scale::Constant {
        return value.best;
    }
    let median = scale.to_scale(value.best);
    let end = if z < 0.0 {
        value.spread.low
    } else {
        value.spread.high
    };
    let figure = scale.to_value(median + (scale.to_scale(end) - median).abs() * z / TENTH_Z);
    let least = if value.spread.low >= 0.0 {
        0.0
    } else {
        f64::NEG_INFINITY
    };
    let most = if is_share(value) { 1.0 } else { f64::INFINITY };
    figure.clamp(least, most)
}

/// The share of `whole` that a figure of the same unit is, `z` standard deviations from its
/// median; on the scale of the logarithm of odds, so that it never is all.
///
/// A spread that begins at 0 falls below the best value as it rises above it.
#[must_use]
pub fn share_at(value: &Value, whole: f64, z: f64) -> f64 {
    let share = value.best / whole;
    if share <= 0.0 || is_constant(value) {
        return share;
    }
    let to_scale = |figure: f64| Scale::Logit.to_scale((figure / whole).min(NEARLY_ALL));
    let median = to_scale(value.best);
    let above = to_scale(value.spread.high) - median;
    let width = if z < 0.0 && value.spread.low > 0.0 {
        median - to_scale(value.spread.low)
    } else {
        above
    };
    let z = z.clamp(-FARTHEST_Z, FARTHEST_Z);
    Scale::Logit.to_value(median + width * z / TENTH_Z)
}

/// Largest share that an end of a spread may be.
const NEARLY_ALL: f64 = 0.99;

#[cfg(test)]
mod tests {
    use super::{FARTHEST_Z, Scale, TENTH_Z, heavy_tailed, heavy_tailed_at, share_at, value_at};
    use crate::library::Library;
    use crate::library::figure::figures_of;
    use crate::numeric::normal::below;
    use crate::uncertainty::parameter::LAWS;
    use moulder_core::value::{Spread, Status, Value};

    fn value(best: f64, low: f64, high: f64, unit: &'static str) -> Value {
        Value::new(
            best,
            Spread::new(low, high),
            unit,
            "a test",
            Status::Judgement,
        )
    }

    /// For all constants and library figures: the three points are met, the value is monotonic
    /// in `z`, and possible.
    #[test]
    fn priors_meet_their_spreads() {
        let mut all: Vec<Value> = LAWS.iter().map(|law| law.value.clone()).collect();
        for material in Library::built_in().materials() {
            let mut material = material.clone();
            let figures = figures_of(&mut material).into_iter();
            all.extend(figures.map(|figure| figure.value.clone()));
        }
        assert!(all.len() > 1000, "{}", all.len());
        for value in &all {
            let near = |z: f64, want: f64| {
                let got = value_at(value, z);
                let off = (got - want).abs() / want.abs().max(1e-9);
                assert!(off < 1e-9, "{value:?} at {z}: {got}");
            };
            near(0.0, value.best);
            near(-TENTH_Z, value.spread.low);
            near(TENTH_Z, value.spread.high);
            let mut before = f64::NEG_INFINITY;
            let mut z = -4.0;
            while z < 4.0 {
                let got = value_at(value, z);
                assert!(got >= before && got.is_finite(), "{value:?} at {z}: {got}");
                assert!(got >= 0.0 || value.spread.low < 0.0, "{value:?} at {z}");
                before = got;
                z += 0.25;
            }
        }
    }

    #[test]
    fn scales_follow_unit_and_spread() {
        assert_eq!(Scale::new(&value(0.3, 0.2, 0.5, "1")), Scale::Logit);
        assert_eq!(Scale::new(&value(0.9, 0.4, 1.0, "1")), Scale::Log);
        assert_eq!(Scale::new(&value(10.0, 5.0, 30.0, "d")), Scale::Log);
        assert_eq!(
            Scale::new(&value(530.0, 500.0, 600.0, "kg/m3")),
            Scale::Plain
        );
        assert_eq!(Scale::new(&value(0.0, -0.2, 0.1, "1")), Scale::Plain);
        assert_eq!(Scale::new(&value(1.0, 1.0, 1.0, "1")), Scale::Constant);
    }

    /// The ends of the spread are met, a spread from 0 is as wide below as above, and no share is
    /// all.
    #[test]
    fn shares_meet_their_spreads() {
        let strain = value(0.14, 0.08, 0.22, "1");
        for (z, want) in [(0.0, 0.14), (-TENTH_Z, 0.08), (TENTH_Z, 0.22)] {
            let got = share_at(&strain, 0.3, z) * 0.3;
            assert!((got - want).abs() < 1e-12, "{z}: {got}");
        }
        let from_zero = value(0.04, 0.0, 0.08, "1");
        let odds = |z: f64| {
            let share = share_at(&from_zero, 0.25, z);
            share / (1.0 - share)
        };
        let product = odds(TENTH_Z) * odds(-TENTH_Z) / (odds(0.0) * odds(0.0));
        assert!((product - 1.0).abs() < 1e-12, "{product}");
        assert!(share_at(&value(0.2, 0.1, 0.4, "1"), 0.3, 9.0) < 1.0);
    }

    /// Within a twentieth of Student's t with three degrees of freedom over the whole range, by its
    /// distribution function in closed form; its 90 % point is 1.6377 (as printed; from memory).
    #[test]
    fn heavy_tails_are_those_of_students_t() {
        let t_below = |t: f64| {
            let x = t / 3.0_f64.sqrt();
            0.5 + (x / (1.0 + x * x) + libm::atan(x)) / core::f64::consts::PI
        };
        for z in [0.25, 0.5, 1.0, TENTH_Z, 1.75, 2.0, 2.25, FARTHEST_Z] {
            let (mut low, mut high) = (0.0, 10.0);
            for _ in 0..60 {
                let middle = 0.5 * (low + high);
                if t_below(middle) < below(z) {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            let want = low * TENTH_Z / 1.637_7;
            let got = heavy_tailed(z);
            assert!((got / want - 1.0).abs() < 0.05, "{z}: {got} {want}");
        }
        let start = value(1.0, 0.97, 1.03, "1");
        assert!((heavy_tailed_at(&start, TENTH_Z) - 1.03).abs() < 1e-12);
        assert!((heavy_tailed_at(&start, -9.0) - 0.902).abs() < 1e-3);
    }

    #[test]
    fn values_stay_in_range() {
        assert!(value_at(&value(0.9, 0.4, 1.0, "1"), 9.0) <= 1.0);
        assert!(value_at(&value(0.01, 0.0, 0.03, "1"), -9.0) >= 0.0);
        assert!(value_at(&value(0.0, -0.2, 0.1, "1"), -9.0) < 0.0);
        let far = value(10.0, 5.0, 30.0, "d");
        assert!((value_at(&far, 9.0) - value_at(&far, FARTHEST_Z)).abs() < 1e-12);
    }
}
