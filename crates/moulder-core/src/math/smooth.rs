//! Smooth replacements for kinks. Every law has a derivative everywhere, which adaptive steps,
//! fits and sensitivities need.

use crate::math::elementary::{exp, ln, sqrt};

/// Widths from its kink at which a softplus is the ramp to the last bit: `1 + exp(-37)` is 1.
const RAMP_WIDTHS: f64 = 37.0;

/// A ramp: 0 far below zero, `x` far above, rounded over `width`.
///
/// `width ln(1 + exp(x/width))`; at 0 it is `0.69 width`.
///
/// ```
/// use moulder_core::math::smooth::softplus;
///
/// assert!((softplus(1.0, 0.02) - 1.0).abs() < 1e-12);
/// assert!(softplus(-1.0, 0.02) < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn softplus(x: f64, width: f64) -> f64 {
    if x.abs() > RAMP_WIDTHS * width {
        return x.max(0.0);
    }
    x.max(0.0) + width * ln(1.0 + exp(-x.abs() / width))
}

/// [`softplus`] and its derivative in `x`, for the cost of one exponential.
///
/// ```
/// use moulder_core::math::smooth::{softplus, softplus_and_slope};
///
/// let (value, slope) = softplus_and_slope(0.3, 0.2);
/// let beside = softplus(0.3 + 1e-7, 0.2) - softplus(0.3 - 1e-7, 0.2);
/// assert_eq!(value, softplus(0.3, 0.2));
/// assert!((slope - beside / 2e-7).abs() < 1e-7);
/// ```
#[inline]
#[must_use]
pub fn softplus_and_slope(x: f64, width: f64) -> (f64, f64) {
    if x.abs() > RAMP_WIDTHS * width {
        return (x.max(0.0), if x < 0.0 { 0.0 } else { 1.0 });
    }
    let small = exp(-x.abs() / width);
    let sum = 1.0 + small;
    let larger = if x < 0.0 { small } else { 1.0 };
    (x.max(0.0) + width * ln(sum), larger / sum)
}

/// The cubic step `3t^2 - 2t^3` from 0 at `from` to 1 at `to`.
///
/// ```
/// assert!((moulder_core::math::smooth::smoothstep(0.2, 0.5, 0.35) - 0.5).abs() < 1e-12);
/// ```
#[inline]
#[must_use]
pub fn smoothstep(from: f64, to: f64, x: f64) -> f64 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Smooth minimum of two positive numbers, `(a^-8 + b^-8)^(-1/8)`; 8 % below both where they are
/// equal.
///
/// ```
/// use moulder_core::math::smooth::smooth_min;
///
/// assert!((smooth_min(0.5, 2.0) - 0.5).abs() < 1e-5);
/// assert!((smooth_min(1.0, 1.0) - 0.917).abs() < 1e-3);
/// ```
#[inline]
#[must_use]
pub fn smooth_min(a: f64, b: f64) -> f64 {
    // Scaled by the minimum, so that the eighth powers stay in range.
    let (a, b) = (a.max(f64::MIN_POSITIVE), b.max(f64::MIN_POSITIVE));
    let least = a.min(b);
    let ratio = least / a.max(b);
    let ratio8 = {
        let squared = ratio * ratio;
        let fourth = squared * squared;
        fourth * fourth
    };
    // Above a ratio of a hundred the correction is below rounding.
    if ratio8 < 1e-16 {
        return least;
    }
    least / sqrt(sqrt(sqrt(1.0 + ratio8)))
}

/// [`smooth_min`] and its derivative in `a`: `(min/a)^9`.
///
/// ```
/// use moulder_core::math::smooth::{smooth_min, smooth_min_and_slope};
///
/// let (value, slope) = smooth_min_and_slope(0.9, 1.0);
/// let beside = smooth_min(0.9 + 1e-7, 1.0) - smooth_min(0.9 - 1e-7, 1.0);
/// assert_eq!(value, smooth_min(0.9, 1.0));
/// assert!((slope - beside / 2e-7).abs() < 1e-7);
/// ```
#[inline]
#[must_use]
pub fn smooth_min_and_slope(a: f64, b: f64) -> (f64, f64) {
    let value = smooth_min(a, b);
    let share = value / a.max(f64::MIN_POSITIVE);
    let cubed = share * share * share;
    (value, cubed * cubed * cubed)
}

/// Smooth maximum of two numbers, rounded over `width`: half of `width` above both where they are
/// equal.
///
/// ```
/// use moulder_core::math::smooth::smooth_max;
///
/// assert!((smooth_max(1.0, 3.0, 0.01) - 3.0).abs() < 1e-4);
/// assert_eq!(smooth_max(2.0, 2.0, 0.0), 2.0);
/// ```
#[inline]
#[must_use]
pub fn smooth_max(a: f64, b: f64, width: f64) -> f64 {
    let difference = a - b;
    0.5 * (a + b + sqrt(difference * difference + width * width))
}

#[cfg(test)]
mod tests {
    use super::{smooth_max, smooth_min, softplus};

    #[test]
    fn smooth_functions_bound_the_exact_ones() {
        for i in -50..50 {
            let x = f64::from(i) / 10.0;
            assert!(softplus(x, 0.3) >= x.max(0.0));
            assert!(smooth_max(x, 1.0, 0.1) >= x.max(1.0));
            let y = x.abs() + 0.01;
            assert!(smooth_min(y, 1.0) <= y.min(1.0));
        }
    }
}
