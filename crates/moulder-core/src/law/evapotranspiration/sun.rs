//! Solar geometry at a latitude on a day of the year.

use core::f64::consts::{FRAC_PI_2, PI, TAU};

/// Solar constant, FAO-56 eq. 21; MJ m-2 min-1.
const SOLAR_MJ_PER_M2_MIN: f64 = 0.0820;

/// Position of the sun for one latitude and day.
///
/// ```
/// use moulder_core::law::evapotranspiration::sun::Sun;
///
/// // FAO-56, Example 8: 20 degrees south on 3 September.
/// let sun = Sun::over(-20.0, 246);
/// assert!((sun.extraterrestrial_mj() - 32.2).abs() < 0.05);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sun {
    /// Latitude, south negative; rad.
    pub latitude_rad: f64,
    /// Inverse relative distance of earth and sun, FAO-56 eq. 23; 0.967..1.033.
    pub nearness: f64,
    /// Declination, FAO-56 eq. 24; rad.
    pub declination_rad: f64,
    /// Sunset hour angle, FAO-56 eq. 25; rad, 0 in polar night, pi in polar day.
    pub sunset_rad: f64,
}

impl Sun {
    /// The sun at `latitude_deg` (south negative, clamped to -90..90) on a day of the year, 1 for
    /// 1 January.
    #[must_use]
    pub fn over(latitude_deg: f64, day_of_year: u16) -> Self {
        let latitude_rad = latitude_deg.clamp(-90.0, 90.0) * PI / 180.0;
        let year = TAU * f64::from(day_of_year) / 365.0;
        let declination_rad = 0.409 * libm::sin(year - 1.39);
        // Outside -1..1: polar day or night.
        let cos_sunset = -libm::tan(latitude_rad) * libm::tan(declination_rad);
        Self {
            latitude_rad,
            nearness: 1.0 + 0.033 * libm::cos(year),
            declination_rad,
            sunset_rad: libm::acos(cos_sunset.clamp(-1.0, 1.0)),
        }
    }

    /// Extraterrestrial radiation, FAO-56 eq. 21; MJ m-2 d-1, 0 or more.
    #[must_use]
    pub fn extraterrestrial_mj(&self) -> f64 {
        let high = libm::sin(self.latitude_rad) * libm::sin(self.declination_rad);
        let across = libm::cos(self.latitude_rad) * libm::cos(self.declination_rad);
        let shone = self.sunset_rad * high + across * libm::sin(self.sunset_rad);
        // Rounding may make a polar night slightly negative.
        (24.0 * 60.0 / PI * SOLAR_MJ_PER_M2_MIN * self.nearness * shone).max(0.0)
    }

    /// Day length, FAO-56 eq. 34; hours, 0..24.
    #[must_use]
    pub fn daylight_h(&self) -> f64 {
        12.0 * self.sunset_rad / FRAC_PI_2
    }
}

#[cfg(test)]
mod tests {
    use super::Sun;

    /// FAO-56, Examples 8 and 9: 20 degrees south, 3 September. Printed figures
    /// read in a transcription.
    #[test]
    fn twenty_south_on_the_third_of_september() {
        let sun = Sun::over(-20.0, 246);
        assert!((sun.nearness - 0.985).abs() < 5e-4);
        assert!((sun.declination_rad - 0.120).abs() < 5e-4);
        assert!((sun.sunset_rad - 1.527).abs() < 5e-4);
        assert!((sun.extraterrestrial_mj() - 32.2).abs() < 0.05);
        assert!((sun.extraterrestrial_mj() * super::super::MM_PER_MJ - 13.1).abs() < 0.05);
        assert!((sun.daylight_h() - 11.7).abs() < 0.05);
    }

    #[test]
    fn polar_summer_and_winter() {
        let (summer, winter) = (Sun::over(80.0, 172), Sun::over(80.0, 355));
        assert!((summer.daylight_h() - 24.0).abs() < 1e-12);
        assert!(summer.extraterrestrial_mj() > 40.0);
        assert!(winter.daylight_h().abs() < 1e-300);
        assert!(winter.extraterrestrial_mj().abs() < 1e-300);
    }

    #[test]
    fn all_latitudes_and_days_are_in_range() {
        for latitude_deg in [-1e300, -90.0, -66.56, 0.0, 66.56, 90.0, f64::MAX] {
            for day in 0..=366 {
                let sun = Sun::over(latitude_deg, day);
                assert!((0.0..=24.0).contains(&sun.daylight_h()), "{latitude_deg}");
                assert!(
                    (0.0..50.0).contains(&sun.extraterrestrial_mj()),
                    "{latitude_deg}"
                );
            }
        }
    }
}
