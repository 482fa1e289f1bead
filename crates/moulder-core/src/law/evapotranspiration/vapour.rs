//! Atmospheric pressure and vapour pressure.

use crate::math::elementary::{exp, pow};

/// Valid temperatures; others are clamped; degC.
const VAPOUR_C: [f64; 2] = [-100.0, 100.0];
/// Valid elevations; others are clamped; m.
const HEIGHT_M: [f64; 2] = [-500.0, 9000.0];

/// Atmospheric pressure by elevation (clamped to -500..9000 m), FAO-56 eq. 7; kPa.
///
/// ```
/// use moulder_core::law::evapotranspiration::vapour::pressure_kpa;
///
/// // FAO-56, Example 20: Lyon, 200 m.
/// assert!((pressure_kpa(200.0) - 98.96).abs() < 0.005);
/// ```
#[must_use]
pub fn pressure_kpa(elevation_m: f64) -> f64 {
    let height_m = elevation_m.clamp(HEIGHT_M[0], HEIGHT_M[1]);
    101.3 * pow((293.0 - 0.0065 * height_m) / 293.0, 5.26)
}

/// Psychrometric constant, FAO-56 eq. 8; kPa/degC.
#[must_use]
pub fn psychrometric_kpa_per_c(pressure_kpa: f64) -> f64 {
    0.665e-3 * pressure_kpa
}

/// Saturation vapour pressure by temperature (clamped to -100..100 degC), FAO-56 eq. 11; kPa. At
/// the dew point it is the actual vapour pressure, eq. 14.
#[must_use]
pub fn saturation_kpa(temperature_c: f64) -> f64 {
    let t = temperature_c.clamp(VAPOUR_C[0], VAPOUR_C[1]);
    0.6108 * exp(17.27 * t / (t + 237.3))
}

/// Daily mean saturation vapour pressure, FAO-56 eq. 12: the mean of those at maximum and minimum
/// temperature; kPa.
#[must_use]
pub fn day_saturation_kpa(high_c: f64, low_c: f64) -> f64 {
    0.5 * (saturation_kpa(high_c) + saturation_kpa(low_c))
}

/// Slope of [`saturation_kpa`], FAO-56 eq. 13; kPa/degC.
#[must_use]
pub fn saturation_slope_kpa_per_c(temperature_c: f64) -> f64 {
    let t = temperature_c.clamp(VAPOUR_C[0], VAPOUR_C[1]) + 237.3;
    4098.0 * saturation_kpa(temperature_c) / (t * t)
}

/// Actual vapour pressure of a day from maximum and minimum temperature and relative humidity at
/// its maximum (`dampest`, at the minimum temperature) and minimum, as shares of 1; FAO-56 eq.
/// 17; kPa.
#[must_use]
pub fn day_vapour_kpa(high_c: f64, low_c: f64, dampest: f64, driest: f64) -> f64 {
    0.5 * (saturation_kpa(low_c) * dampest + saturation_kpa(high_c) * driest)
}

#[cfg(test)]
mod tests {
    use super::{
        day_saturation_kpa, day_vapour_kpa, pressure_kpa, psychrometric_kpa_per_c, saturation_kpa,
        saturation_slope_kpa_per_c,
    };

    /// FAO-56, Example 17: Bangkok in April. Printed figures read in a transcription.
    #[test]
    fn air_of_bangkok() {
        assert!((pressure_kpa(2.0) - 101.3).abs() < 0.05);
        // The paper continues with the rounded pressure.
        assert!((psychrometric_kpa_per_c(101.3) - 0.0674).abs() < 5e-5);
        assert!((saturation_kpa(34.8) - 5.56).abs() < 5e-3);
        assert!((saturation_kpa(25.6) - 3.28).abs() < 5e-3);
        assert!((day_saturation_kpa(34.8, 25.6) - 4.42).abs() < 5e-3);
        assert!((saturation_slope_kpa_per_c(30.2) - 0.246).abs() < 5e-4);
    }

    /// FAO-56, Example 18: Brussels on 6 July, humidity 84 and 63 %. Inputs read in
    /// a transcription, results 2.00 and 1.41 recalled.
    #[test]
    fn vapour_of_brussels() {
        assert!((day_saturation_kpa(21.5, 12.3) - 2.00).abs() < 5e-3);
        assert!((day_vapour_kpa(21.5, 12.3, 0.84, 0.63) - 1.41).abs() < 5e-3);
    }

    #[test]
    fn slope_matches_difference_quotient() {
        for t in [-20.0, 0.0, 15.0, 38.0] {
            let rise = (saturation_kpa(t + 1e-4) - saturation_kpa(t - 1e-4)) / 2e-4;
            let slope = saturation_slope_kpa_per_c(t);
            // 4098 is 17.27 x 237.3, rounded.
            assert!((slope / rise - 1.0).abs() < 1e-4, "{t}: {slope} {rise}");
        }
    }

    #[test]
    fn extreme_inputs_give_finite_values() {
        for x in [-f64::MAX, -300.0, -237.3, 0.0, 1e4, f64::MAX] {
            assert!(saturation_kpa(x) > 0.0 && saturation_kpa(x) < 110.0);
            assert!(saturation_slope_kpa_per_c(x).is_finite());
            assert!((25.0..120.0).contains(&pressure_kpa(x)), "{x}");
        }
    }
}
