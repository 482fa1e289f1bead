//! Solar and longwave radiation at the ground; MJ m-2 d-1.

use crate::math::elementary::sqrt;
use crate::value::{Spread, Status, Value};

/// Stefan-Boltzmann constant, FAO-56 eq. 39; MJ K-4 m-2 d-1.
const STEFAN_BOLTZMANN: f64 = 4.903e-9;
/// 0 degC as used in FAO-56 eq. 39; K.
const ZERO_C_IN_K: f64 = 273.16;
/// Albedo of the reference surface, FAO-56 eq. 38.
const ALBEDO: f64 = 0.23;
/// Relative shortwave radiation `Rs/Rso` without daylight: between the humid and arid values that
/// FAO-56 suggests for the night, our own choice.
const CLEARNESS_IN_DARKNESS: f64 = 0.6;

/// `k_Rs` of FAO-56 eq. 50 inland; 0.19 on coasts.
pub static SWING_INLAND: Value = Value::new(
    0.16,
    Spread::new(0.14, 0.19),
    "degC^-0.5",
    "FAO-56, eq. 50: 0.16 inland, 0.19 on coasts; low end our own",
    Status::Memory,
);

/// Solar radiation from sunshine duration, FAO-56 eq. 35 with the usual coefficients 0.25 and
/// 0.50. Relative sunshine is clamped to 0..1, and is 0 without daylight.
///
/// ```
/// use moulder_core::law::evapotranspiration::radiation::by_sunshine_mj;
///
/// // FAO-56, Example 10: Rio de Janeiro in May.
/// assert!((by_sunshine_mj(25.11, 7.1, 10.9) - 14.5).abs() < 0.05);
/// ```
#[must_use]
pub fn by_sunshine_mj(extraterrestrial_mj: f64, sunshine_h: f64, daylight_h: f64) -> f64 {
    let share = if daylight_h > 0.0 {
        (sunshine_h / daylight_h).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (0.25 + 0.50 * share) * extraterrestrial_mj
}

/// Solar radiation from the daily temperature range, FAO-56 eq. 50; `k_rs` as [`SWING_INLAND`]. A
/// negative range counts as 0.
#[must_use]
pub fn by_swing_mj(extraterrestrial_mj: f64, swing_c: f64, k_rs: f64) -> f64 {
    k_rs * sqrt(swing_c.max(0.0)) * extraterrestrial_mj
}

/// Clear-sky solar radiation, FAO-56 eq. 37.
#[must_use]
pub fn clear_sky_mj(extraterrestrial_mj: f64, elevation_m: f64) -> f64 {
    (0.75 + 2e-5 * elevation_m) * extraterrestrial_mj
}

/// Net shortwave radiation, FAO-56 eq. 38.
#[must_use]
pub fn net_shortwave_mj(solar_mj: f64) -> f64 {
    (1.0 - ALBEDO) * solar_mj
}

/// Inputs of net radiation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sky {
    /// Daily maximum temperature; degC.
    pub high_c: f64,
    /// Daily minimum temperature; degC.
    pub low_c: f64,
    /// Actual vapour pressure, 0 or more; kPa.
    pub vapour_kpa: f64,
    /// Solar radiation; MJ m-2 d-1.
    pub solar_mj: f64,
    /// Clear-sky solar radiation; MJ m-2 d-1.
    pub clear_sky_mj: f64,
}

impl Sky {
    /// Net outgoing longwave radiation, FAO-56 eq. 39, with `Rs/Rso` clamped to 0..1.
    #[must_use]
    pub fn net_longwave_mj(&self) -> f64 {
        let clearness = if self.clear_sky_mj > 0.0 {
            (self.solar_mj / self.clear_sky_mj).clamp(0.0, 1.0)
        } else {
            CLEARNESS_IN_DARKNESS
        };
        let warmth = 0.5 * (fourth(self.high_c + ZERO_C_IN_K) + fourth(self.low_c + ZERO_C_IN_K));
        STEFAN_BOLTZMANN
            * warmth
            * (0.34 - 0.14 * sqrt(self.vapour_kpa.max(0.0)))
            * (1.35 * clearness - 0.35)
    }

    /// Net radiation, FAO-56 eq. 40.
    #[must_use]
    pub fn net_mj(&self) -> f64 {
        net_shortwave_mj(self.solar_mj) - self.net_longwave_mj()
    }
}

fn fourth(kelvin: f64) -> f64 {
    let squared = kelvin * kelvin;
    squared * squared
}

/// Monthly soil heat flux from the mean temperatures of the months before and after, FAO-56 eq.
/// 43.
#[must_use]
pub fn ground_heat_between_mj(before_c: f64, after_c: f64) -> f64 {
    0.07 * (after_c - before_c)
}

/// Monthly soil heat flux from the mean temperatures of the month and the one before, FAO-56 eq.
/// 44.
#[must_use]
pub fn ground_heat_since_mj(before_c: f64, now_c: f64) -> f64 {
    0.14 * (now_c - before_c)
}

#[cfg(test)]
mod tests {
    use super::{
        SWING_INLAND, Sky, by_sunshine_mj, by_swing_mj, clear_sky_mj, ground_heat_between_mj,
        ground_heat_since_mj, net_shortwave_mj,
    };
    use crate::law::evapotranspiration::{MM_PER_MJ, sun::Sun};

    /// FAO-56, Example 10: Rio de Janeiro, 22 degrees 54' south, 15 May, 220 hours of sunshine in
    /// the month. Printed figures read in a transcription.
    #[test]
    fn rio_in_may() {
        let sun = Sun::over(-22.9, 135);
        let above_mj = sun.extraterrestrial_mj();
        assert!((above_mj - 25.1).abs() < 0.05);
        assert!((sun.daylight_h() - 10.9).abs() < 0.05);
        let solar_mj = by_sunshine_mj(above_mj, 220.0 / 31.0, sun.daylight_h());
        assert!((solar_mj - 14.5).abs() < 0.05);
        assert!((solar_mj * MM_PER_MJ - 5.9).abs() < 0.05);
        assert!((clear_sky_mj(above_mj, 0.0) - 18.8).abs() < 0.05);
    }

    /// FAO-56, Example 13: 14.1, 16.1 and 18.8 degC in March, April and May.
    /// Printed figures read in a transcription.
    #[test]
    fn ground_heat_of_april() {
        assert!((ground_heat_between_mj(14.1, 18.8) - 0.33).abs() < 5e-3);
        assert!((ground_heat_since_mj(14.1, 16.1) - 0.28).abs() < 5e-3);
    }

    /// FAO-56, Example 17: Bangkok in April, 13 degrees 44' north, 2 m. Printed
    /// figures read in a transcription.
    #[test]
    fn bangkok_in_april() {
        let sun = Sun::over(13.73, 105);
        let above_mj = sun.extraterrestrial_mj();
        assert!((above_mj - 38.06).abs() < 5e-3);
        assert!((sun.daylight_h() - 12.31).abs() < 5e-3);
        let solar_mj = by_sunshine_mj(above_mj, 8.5, sun.daylight_h());
        let sky = Sky {
            high_c: 34.8,
            low_c: 25.6,
            vapour_kpa: 2.85,
            solar_mj,
            clear_sky_mj: clear_sky_mj(above_mj, 2.0),
        };
        assert!((sky.solar_mj - 22.65).abs() < 5e-3);
        // 28.545 before rounding, so either digit is possible.
        assert!((sky.clear_sky_mj - 28.54).abs() < 6e-3);
        assert!((net_shortwave_mj(solar_mj) - 17.44).abs() < 5e-3);
        assert!((sky.net_longwave_mj() - 3.11).abs() < 5e-3);
        assert!((sky.net_mj() - 14.33).abs() < 5e-3);
    }

    /// FAO-56, Example 20: Lyon in July, 45 degrees 43' north. Solar radiation 22.29 read in a
    /// transcription, 40.55 recalled.
    #[test]
    fn lyon_in_july() {
        let above_mj = Sun::over(45.72, 196).extraterrestrial_mj();
        assert!((above_mj - 40.55).abs() < 0.01);
        assert!((by_swing_mj(above_mj, 26.6 - 14.8, SWING_INLAND.best) - 22.29).abs() < 5e-3);
    }

    #[test]
    fn darkness_and_invalid_inputs() {
        assert!(by_sunshine_mj(0.0, 3.0, 0.0).abs() < 1e-300);
        assert!(by_swing_mj(30.0, -2.0, 0.16).abs() < 1e-300);
        let night = Sky {
            high_c: -20.0,
            low_c: -30.0,
            vapour_kpa: -1.0,
            solar_mj: 0.0,
            clear_sky_mj: 0.0,
        };
        assert!(night.net_longwave_mj() > 0.0 && night.net_mj() < 0.0);
    }
}
