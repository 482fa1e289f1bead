//! Elementary functions of IEEE basic operations only, so that results are bit-identical on every
//! machine, and branch-free.

/// High bits of ln 2, short enough for an exact product with an integer exponent.
const LN2_HIGH: f64 = 6.931_471_803_691_238e-1;
/// Remainder of ln 2.
const LN2_LOW: f64 = 1.908_214_929_270_587_7e-10;
/// 1.5 x 2^52: adding it rounds a small number to the nearest integer, held in the low bits.
const ROUNDER: f64 = 6_755_399_441_055_744.0;
/// Arguments are clamped to this, so that results stay normal numbers.
const EXP_LIMIT: f64 = 708.0;

/// e to the power `x`, with `x` clamped to -708..708.
///
/// Relative error below 4e-16 against `libm` over the whole range (tested).
///
/// ```
/// use moulder_core::math::elementary::exp;
///
/// assert!((exp(1.0) - core::f64::consts::E).abs() < 1e-15);
/// assert!(exp(-1e9) < 1e-300);
/// ```
#[inline]
#[must_use]
pub fn exp(x: f64) -> f64 {
    let (rounded, growth) = reduced(x);
    // The integer in the low bits of `rounded` becomes the exponent.
    let mantissa = growth + 1.0;
    f64::from_bits(mantissa.to_bits().wrapping_add(rounded.to_bits() << 52))
}

/// Splits `e^x` into `2^n (1 + growth)`, with n in the low bits of the first number.
#[inline]
fn reduced(x: f64) -> (f64, f64) {
    let x = x.clamp(-EXP_LIMIT, EXP_LIMIT);
    let rounded = x * core::f64::consts::LOG2_E + ROUNDER;
    let n = rounded - ROUNDER;
    let r = (x - n * LN2_HIGH) - n * LN2_LOW;
    // Taylor polynomial of degree 13 on |r| <= ln 2 / 2: truncation 4e-18. Even and odd powers
    // are summed separately, which halves the dependency chain.
    let r2 = r * r;
    let even = r2 * (1.0 / 479_001_600.0) + 1.0 / 3_628_800.0;
    let even = even * r2 + 1.0 / 40_320.0;
    let even = even * r2 + 1.0 / 720.0;
    let even = even * r2 + 1.0 / 24.0;
    let even = even * r2 + 0.5;
    let odd = r2 * (1.0 / 6_227_020_800.0) + 1.0 / 39_916_800.0;
    let odd = odd * r2 + 1.0 / 362_880.0;
    let odd = odd * r2 + 1.0 / 5_040.0;
    let odd = odd * r2 + 1.0 / 120.0;
    let odd = odd * r2 + 1.0 / 6.0;
    (rounded, (even + odd * r) * r2 + r)
}

/// Natural logarithm of a positive normal number; smaller arguments are clamped to the smallest
/// normal number.
///
/// Error below 4e-16 of the larger of 1 and the result against `libm` (tested).
///
/// ```
/// use moulder_core::math::elementary::{exp, ln};
///
/// assert!((ln(exp(3.0)) - 3.0).abs() < 1e-15);
/// ```
#[inline]
#[must_use]
pub fn ln(x: f64) -> f64 {
    /// Bits of sqrt(1/2): subtracting them puts the mantissa in sqrt(1/2)..sqrt(2).
    const SQRT_HALF_BITS: u64 = 0x3FE6_A09E_667F_3BCD;
    /// 2^52 as a bit pattern, to turn a small integer into a float without a conversion.
    const TWO_52_BITS: u64 = 0x4330_0000_0000_0000;
    const TWO_52_AND_BIAS: f64 = 4_503_599_627_370_496.0 + 1023.0;

    let bits = x.max(f64::MIN_POSITIVE).to_bits();
    let shifted = bits.wrapping_sub(SQRT_HALF_BITS).wrapping_add(1023 << 52);
    let n = f64::from_bits((shifted >> 52) | TWO_52_BITS) - TWO_52_AND_BIAS;
    let mantissa = f64::from_bits((shifted & 0x000F_FFFF_FFFF_FFFF).wrapping_add(SQRT_HALF_BITS));
    // ln m = 2 atanh((m - 1)/(m + 1)), |s| <= 0.172: eleven terms leave 1e-18.
    let s = (mantissa - 1.0) / (mantissa + 1.0);
    let s2 = s * s;
    let series = s2 * (1.0 / 23.0) + 1.0 / 21.0;
    let series = series * s2 + 1.0 / 19.0;
    let series = series * s2 + 1.0 / 17.0;
    let series = series * s2 + 1.0 / 15.0;
    let series = series * s2 + 1.0 / 13.0;
    let series = series * s2 + 1.0 / 11.0;
    let series = series * s2 + 1.0 / 9.0;
    let series = series * s2 + 1.0 / 7.0;
    let series = series * s2 + 1.0 / 5.0;
    let series = series * s2 + 1.0 / 3.0;
    let ln_mantissa = 2.0 * s + 2.0 * s * s2 * series;
    n * LN2_HIGH + (n * LN2_LOW + ln_mantissa)
}

/// `x` to the power `y`, for `x` of zero or more; the result at `x = 0`, `y > 0` is negligible,
/// not 0.
///
/// Relative error about 1e-15 times `|y ln x|`.
///
/// ```
/// use moulder_core::math::elementary::pow;
///
/// assert!((pow(2.0, 0.5) * pow(2.0, 0.5) - 2.0).abs() < 1e-15);
/// assert!(pow(0.0, 1.5) < 1e-300);
/// ```
#[inline]
#[must_use]
pub fn pow(x: f64, y: f64) -> f64 {
    exp(y * ln(x))
}

/// Square root, correctly rounded.
///
/// There is one such root of every number, so that the instruction of a processor and software
/// give the same bits.
#[inline]
#[must_use]
pub fn sqrt(x: f64) -> f64 {
    #[cfg(all(target_arch = "wasm32", target_os = "unknown"))]
    return x.sqrt();
    #[cfg(not(all(target_arch = "wasm32", target_os = "unknown")))]
    libm::sqrt(x)
}

/// The mean of `exp(-s)` for `s` from 0 to `y`: `(1 - exp(-y))/y`, 1 at 0.
///
/// Relative error below 1e-15 for |y| < 0.5 and below 2e-15 above (tested); no cancellation near
/// 0.
///
/// ```
/// use moulder_core::math::elementary::mean_decay;
///
/// assert_eq!(mean_decay(0.0), 1.0);
/// assert!((mean_decay(2.0) - (1.0 - (-2.0_f64).exp()) / 2.0).abs() < 1e-15);
/// ```
#[inline]
#[must_use]
pub fn mean_decay(y: f64) -> f64 {
    decay_and_mean(y).1
}

/// `exp(-y)` and [`mean_decay`] for the cost of one exponential.
///
/// ```
/// use moulder_core::math::elementary::decay_and_mean;
///
/// assert_eq!(decay_and_mean(0.0), (1.0, 1.0));
/// ```
#[inline]
#[must_use]
pub fn decay_and_mean(y: f64) -> (f64, f64) {
    // At 0 the mean is its limit, obtained from a negligible y.
    let y = if y == 0.0 { 1e-300 } else { y };
    let (rounded, growth) = reduced(-y);
    let power = f64::from_bits((rounded.to_bits() << 52).wrapping_add(1.0_f64.to_bits()));
    // No cancellation near 0, where the power is 1.
    let lost = (1.0 - power) - power * growth;
    (power + power * growth, lost / y)
}

/// `ln(1 + y)/y` for `y` above -1, 1 at 0: the inverse of a logarithmic mean.
///
/// Relative error below 1e-11 (tested).
///
/// ```
/// use moulder_core::math::elementary::mean_growth;
///
/// assert_eq!(mean_growth(0.0), 1.0);
/// assert!((mean_growth(1.0) - core::f64::consts::LN_2).abs() < 1e-15);
/// ```
#[inline]
#[must_use]
pub fn mean_growth(y: f64) -> f64 {
    let near = 1.0 - y * (0.5 - y * (1.0 / 3.0 - y * 0.25));
    let is_near = y.abs() < 1e-4;
    let safe = if is_near { 1.0 } else { y };
    let far = ln(1.0 + safe) / safe;
    if is_near { near } else { far }
}

#[cfg(test)]
mod tests {
    use super::{decay_and_mean, exp, ln, mean_decay, mean_growth, pow};

    fn relative(got: f64, want: f64) -> f64 {
        ((got - want) / want).abs()
    }

    #[test]
    fn exp_agrees_with_libm() {
        let mut worst = 0.0_f64;
        for i in -70_800..=70_800 {
            let x = f64::from(i) / 100.1;
            worst = worst.max(relative(exp(x), libm::exp(x)));
        }
        assert!(worst < 4e-16, "worst relative error {worst:e}");
        assert_eq!(exp(0.0).to_bits(), 1.0_f64.to_bits());
    }

    #[test]
    fn ln_agrees_with_libm() {
        let mut worst = 0.0_f64;
        for i in -3000..3000 {
            let x = libm::exp(f64::from(i) / 4.3);
            let want = libm::log(x);
            worst = worst.max((ln(x) - want).abs() / want.abs().max(1.0));
        }
        for i in 1..4000 {
            let x = 0.5 + f64::from(i) / 2000.0;
            worst = worst.max((ln(x) - libm::log(x)).abs());
        }
        assert!(worst < 4e-16, "worst error {worst:e}");
        assert_eq!(ln(1.0).to_bits(), 0.0_f64.to_bits());
    }

    #[test]
    fn mean_decay_agrees_with_expm1() {
        for i in -900..900 {
            let y = f64::from(i) / 37.7 + 1e-9;
            let error = relative(mean_decay(y), -libm::expm1(-y) / y);
            let bound = if y.abs() < 0.5 { 1e-15 } else { 2e-15 };
            assert!(error < bound, "{y}: {error:e}");
            assert!(relative(decay_and_mean(y).0, libm::exp(-y)) < 4e-16, "{y}");
        }
    }

    #[test]
    fn mean_growth_agrees_with_log1p() {
        for i in -999..4000 {
            let y = f64::from(i) / 1000.0 + 1e-7;
            assert!(relative(mean_growth(y), libm::log1p(y) / y) < 1e-11, "{y}");
        }
    }

    #[test]
    fn powers() {
        assert!(relative(pow(3.0, 4.0), 81.0) < 2e-15);
        assert!(relative(pow(0.3, 2.5), libm::pow(0.3, 2.5)) < 2e-15);
    }
}
