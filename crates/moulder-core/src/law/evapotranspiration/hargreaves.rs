//! Reference evapotranspiration from daily maximum and minimum temperature: Hargreaves.

use crate::law::evapotranspiration::MM_PER_MJ;
use crate::math::elementary::sqrt;

/// Reference evapotranspiration, FAO-56 eq. 52; mm/d, 0 or more.
///
/// `swing_c` is the daily temperature range, clamped at 0. Extraterrestrial radiation is in MJ
/// m-2 d-1, where the paper has mm of water. Clamped to 0 below -17.8 degC.
///
/// ```
/// use moulder_core::law::evapotranspiration::hargreaves::evapotranspiration_mm;
///
/// // FAO-56, Example 20: Lyon in July, 26.6 and 14.8 degC.
/// assert!((evapotranspiration_mm(20.7, 11.8, 40.55) - 5.0).abs() < 0.05);
/// ```
#[must_use]
pub fn evapotranspiration_mm(mean_c: f64, swing_c: f64, extraterrestrial_mj: f64) -> f64 {
    0.0023
        * (mean_c + 17.8).max(0.0)
        * sqrt(swing_c.max(0.0))
        * (MM_PER_MJ * extraterrestrial_mj.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::evapotranspiration_mm;
    use crate::law::evapotranspiration::sun::Sun;

    /// FAO-56, Example 20: Lyon in July. Inputs read in a transcription, the result 5.0 recalled.
    #[test]
    fn lyon_in_july() {
        let above_mj = Sun::over(45.72, 196).extraterrestrial_mj();
        assert!((evapotranspiration_mm(20.7, 26.6 - 14.8, above_mj) - 5.0).abs() < 0.05);
    }

    #[test]
    fn never_negative() {
        assert!(evapotranspiration_mm(-30.0, 10.0, 5.0).abs() < 1e-300);
        assert!(evapotranspiration_mm(10.0, -1.0, 5.0).abs() < 1e-300);
        assert!(evapotranspiration_mm(10.0, 5.0, -5.0).abs() < 1e-300);
        assert!(evapotranspiration_mm(10.0, 5.0, 5.0) > 0.0);
    }
}
