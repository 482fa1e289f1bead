//! Reference evapotranspiration by Penman-Monteith: FAO-56 eq. 6.

use crate::law::evapotranspiration::MM_PER_MJ;
use crate::law::evapotranspiration::radiation::{SWING_INLAND, Sky, by_swing_mj, clear_sky_mj};
use crate::law::evapotranspiration::vapour::{
    pressure_kpa, psychrometric_kpa_per_c, saturation_kpa, saturation_slope_kpa_per_c,
};
use crate::math::elementary::ln;

/// Minimum height of wind measurement; m.
const MIN_GAUGE_M: f64 = 0.5;

/// Wind where none was measured, FAO-56 chapter 3 (mean of over 2000 stations); m/s.
const USUAL_WIND_M_PER_S: f64 = 2.0;

/// Inputs for the reference surface, of one day or the mean day of a month.
///
/// ```
/// use moulder_core::law::evapotranspiration::penman_monteith::Lawn;
///
/// // FAO-56, Example 17: Bangkok in April.
/// let lawn = Lawn {
///     mean_c: 30.2,
///     saturation_kpa: 4.42,
///     vapour_kpa: 2.85,
///     wind_m_per_s: 2.0,
///     net_radiation_mj: 14.33,
///     ground_heat_mj: 0.14,
///     psychrometric_kpa_per_c: 0.0674,
/// };
/// assert!((lawn.evapotranspiration_mm() - 5.72).abs() < 0.01);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lawn {
    /// Mean of daily maximum and minimum; degC.
    pub mean_c: f64,
    /// Daily mean saturation vapour pressure; kPa.
    pub saturation_kpa: f64,
    /// Actual vapour pressure; kPa.
    pub vapour_kpa: f64,
    /// Wind speed at 2 m, clamped at 0; m/s. See [`wind_at_2_m`].
    pub wind_m_per_s: f64,
    /// Net radiation; MJ m-2 d-1.
    pub net_radiation_mj: f64,
    /// Soil heat flux, near 0 for a day; MJ m-2 d-1.
    pub ground_heat_mj: f64,
    /// Psychrometric constant, above 0; kPa/degC.
    pub psychrometric_kpa_per_c: f64,
}

impl Lawn {
    /// Radiation term; mm/d.
    #[must_use]
    pub fn by_radiation_mm(&self) -> f64 {
        MM_PER_MJ
            * saturation_slope_kpa_per_c(self.mean_c)
            * (self.net_radiation_mj - self.ground_heat_mj)
            / self.resistance()
    }

    /// Aerodynamic term; mm/d.
    #[must_use]
    pub fn by_wind_mm(&self) -> f64 {
        // Keeps the divisor positive; colder air does not occur.
        let kelvin = self.mean_c.max(-100.0) + 273.0;
        self.psychrometric_kpa_per_c
            * (900.0 / kelvin)
            * self.wind_m_per_s.max(0.0)
            * (self.saturation_kpa - self.vapour_kpa)
            / self.resistance()
    }

    /// Reference evapotranspiration; mm/d. Negative with dew or frost.
    #[must_use]
    pub fn evapotranspiration_mm(&self) -> f64 {
        self.by_radiation_mm() + self.by_wind_mm()
    }

    /// Divisor of eq. 6; kPa/degC.
    fn resistance(&self) -> f64 {
        saturation_slope_kpa_per_c(self.mean_c)
            + self.psychrometric_kpa_per_c * (1.0 + 0.34 * self.wind_m_per_s.max(0.0))
    }
}

/// Reference evapotranspiration of a day from its temperatures alone, as FAO-56 advises where
/// nothing else was measured (chapter 3, chapter 4): the dew point at the minimum, 2 m/s of wind,
/// radiation by the daily range (eq. 50, [`SWING_INLAND`]), no heat into the ground; mm/d, 0 or
/// more.
///
/// `low_c` above `high_c` counts as equal to it; `extraterrestrial_mj` as
/// [`Sun::extraterrestrial_mj`](super::sun::Sun::extraterrestrial_mj).
///
/// ```
/// use moulder_core::law::evapotranspiration::penman_monteith::by_temperatures_mm;
///
/// // FAO-56, Example 20: Lyon in July, 26.6 and 14.8 degC, 200 m.
/// assert!((by_temperatures_mm(26.6, 14.8, 40.55, 200.0) - 4.56).abs() < 0.02);
/// ```
#[must_use]
pub fn by_temperatures_mm(
    high_c: f64,
    low_c: f64,
    extraterrestrial_mj: f64,
    elevation_m: f64,
) -> f64 {
    let low_c = low_c.min(high_c);
    let above_mj = extraterrestrial_mj.max(0.0);
    let vapour_kpa = saturation_kpa(low_c);
    let sky = Sky {
        high_c,
        low_c,
        vapour_kpa,
        solar_mj: by_swing_mj(above_mj, high_c - low_c, SWING_INLAND.best),
        clear_sky_mj: clear_sky_mj(above_mj, elevation_m),
    };
    let lawn = Lawn {
        mean_c: f64::midpoint(high_c, low_c),
        saturation_kpa: f64::midpoint(saturation_kpa(high_c), vapour_kpa),
        vapour_kpa,
        wind_m_per_s: USUAL_WIND_M_PER_S,
        net_radiation_mj: sky.net_mj(),
        ground_heat_mj: 0.0,
        psychrometric_kpa_per_c: psychrometric_kpa_per_c(pressure_kpa(elevation_m)),
    };
    lawn.evapotranspiration_mm().max(0.0)
}

/// Wind speed at 2 m from that at another height (clamped to 0.5 m or more), FAO-56 eq. 47; m/s.
///
/// ```
/// use moulder_core::law::evapotranspiration::penman_monteith::wind_at_2_m;
///
/// // FAO-56, Example 14.
/// assert!((wind_at_2_m(3.2, 10.0) - 2.4).abs() < 0.05);
/// ```
#[must_use]
pub fn wind_at_2_m(wind_m_per_s: f64, height_m: f64) -> f64 {
    wind_m_per_s * (4.87 / ln(67.8 * height_m.max(MIN_GAUGE_M) - 5.42))
}

#[cfg(test)]
mod tests {
    use super::{Lawn, wind_at_2_m};
    use crate::law::evapotranspiration::radiation::{
        SWING_INLAND, Sky, by_sunshine_mj, by_swing_mj, clear_sky_mj, ground_heat_since_mj,
    };
    use crate::law::evapotranspiration::sun::Sun;
    use crate::law::evapotranspiration::vapour::{
        day_saturation_kpa, day_vapour_kpa, pressure_kpa, psychrometric_kpa_per_c, saturation_kpa,
    };

    /// Site and weather of a worked example.
    struct Case {
        latitude_deg: f64,
        elevation_m: f64,
        day: u16,
        high_c: f64,
        low_c: f64,
        vapour_kpa: f64,
        wind_m_per_s: f64,
        ground_heat_mj: f64,
    }

    impl Case {
        fn lawn(&self, solar_mj: impl Fn(&Sun) -> f64) -> Lawn {
            let sun = Sun::over(self.latitude_deg, self.day);
            let sky = Sky {
                high_c: self.high_c,
                low_c: self.low_c,
                vapour_kpa: self.vapour_kpa,
                solar_mj: solar_mj(&sun),
                clear_sky_mj: clear_sky_mj(sun.extraterrestrial_mj(), self.elevation_m),
            };
            Lawn {
                mean_c: f64::midpoint(self.high_c, self.low_c),
                saturation_kpa: day_saturation_kpa(self.high_c, self.low_c),
                vapour_kpa: self.vapour_kpa,
                wind_m_per_s: self.wind_m_per_s,
                net_radiation_mj: sky.net_mj(),
                ground_heat_mj: self.ground_heat_mj,
                psychrometric_kpa_per_c: psychrometric_kpa_per_c(pressure_kpa(self.elevation_m)),
            }
        }
    }

    /// FAO-56, Example 14: 3.2 m/s at 10 m. Printed figure read in a transcription.
    #[test]
    fn wind_of_example_14() {
        assert!((wind_at_2_m(3.2, 10.0) - 2.4).abs() < 0.05);
        assert!((wind_at_2_m(3.2, 2.0) - 3.2).abs() < 0.01);
        assert!(wind_at_2_m(3.2, -4.0).is_finite());
    }

    /// FAO-56, Example 17: Bangkok in April. Printed figures read in a transcription.
    #[test]
    fn bangkok_in_april() {
        let lawn = Case {
            latitude_deg: 13.73,
            elevation_m: 2.0,
            day: 105,
            high_c: 34.8,
            low_c: 25.6,
            vapour_kpa: 2.85,
            wind_m_per_s: 2.0,
            ground_heat_mj: ground_heat_since_mj(29.2, 30.2),
        }
        .lawn(|sun| by_sunshine_mj(sun.extraterrestrial_mj(), 8.5, sun.daylight_h()));
        assert!((lawn.ground_heat_mj - 0.14).abs() < 5e-3);
        assert!((lawn.saturation_kpa - lawn.vapour_kpa - 1.57).abs() < 5e-3);
        assert!((lawn.by_radiation_mm() - 3.97).abs() < 5e-3);
        assert!((lawn.by_wind_mm() - 1.75).abs() < 6e-3);
        assert!((lawn.evapotranspiration_mm() - 5.72).abs() < 5e-3);
    }

    /// FAO-56, Example 18: Brussels on 6 July. Temperatures, humidity, wind and radiation read in
    /// a transcription; sunshine 9.25 h and the result 3.9 recalled.
    #[test]
    fn brussels_on_the_sixth_of_july() {
        let lawn = Case {
            latitude_deg: 50.8,
            elevation_m: 100.0,
            day: 187,
            high_c: 21.5,
            low_c: 12.3,
            vapour_kpa: day_vapour_kpa(21.5, 12.3, 0.84, 0.63),
            wind_m_per_s: wind_at_2_m(10.0 / 3.6, 10.0),
            ground_heat_mj: 0.0,
        }
        .lawn(|sun| {
            let solar_mj = by_sunshine_mj(sun.extraterrestrial_mj(), 9.25, sun.daylight_h());
            assert!((solar_mj - 22.07).abs() < 5e-3);
            solar_mj
        });
        assert!((lawn.wind_m_per_s - 2.08).abs() < 5e-3);
        assert!((lawn.net_radiation_mj - 13.28).abs() < 5e-3);
        assert!((lawn.evapotranspiration_mm() - 3.9).abs() < 0.05);
    }

    /// FAO-56, Example 20: Lyon in July from temperature alone: dew point at the minimum, wind 2
    /// m/s, radiation by the temperature range. Inputs read in a transcription, the result 4.56
    /// recalled.
    #[test]
    fn lyon_in_july() {
        let lawn = Case {
            latitude_deg: 45.72,
            elevation_m: 200.0,
            day: 196,
            high_c: 26.6,
            low_c: 14.8,
            vapour_kpa: saturation_kpa(14.8),
            wind_m_per_s: 2.0,
            ground_heat_mj: 0.0,
        }
        .lawn(|sun| by_swing_mj(sun.extraterrestrial_mj(), 11.8, SWING_INLAND.best));
        assert!((lawn.evapotranspiration_mm() - 4.56).abs() < 5e-3);
    }

    #[test]
    fn invalid_inputs_give_finite_values() {
        for mean_c in [-1e9, -273.0, -20.0, 60.0, 1e9] {
            let lawn = Lawn {
                mean_c,
                saturation_kpa: 0.1,
                vapour_kpa: 0.1,
                wind_m_per_s: -3.0,
                net_radiation_mj: -2.0,
                ground_heat_mj: 0.0,
                psychrometric_kpa_per_c: 0.066,
            };
            let mm = lawn.evapotranspiration_mm();
            assert!(mm.is_finite() && mm <= 0.0, "{mean_c}: {mm}");
        }
    }
}
