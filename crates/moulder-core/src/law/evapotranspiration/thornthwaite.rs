//! Potential evapotranspiration from monthly means: Thornthwaite 1948, Geographical Review
//! 38:55-94 (equations from memory).

use crate::law::evapotranspiration::sun::Sun;
use crate::math::elementary::pow;

/// Thornthwaite uses a table above this, replaced here by a parabola; degC.
const TABLE_FROM_C: f64 = 26.5;
/// Vertex of the parabola, to which hotter months are clamped; degC.
const TABLE_TO_C: f64 = 32.24 / (2.0 * 0.43);

/// Heat index of a site.
///
/// ```
/// use moulder_core::law::evapotranspiration::thornthwaite::Warmth;
///
/// // Aberdeen in 2014; January had 31 days of 7.183 hours.
/// let means_c = [3.1, 3.5, 5.0, 6.7, 9.3, 12.1, 14.3, 14.1, 11.8, 8.9, 5.5, 3.8];
/// let warmth = Warmth::from_months(&means_c);
/// assert!((warmth.month_mm(3.1, 7.183, 31.0) - 11.046).abs() < 1e-3);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warmth {
    /// Heat index `I`, the sum of `(T/5)^1.514` over the twelve months.
    pub index: f64,
    /// Exponent `a`, a cubic of the heat index.
    pub exponent: f64,
}

impl Warmth {
    /// From twelve monthly mean temperatures; degC. Months at or below 0 degC add nothing.
    #[must_use]
    pub fn from_months(months_c: &[f64; 12]) -> Self {
        let index = months_c
            .iter()
            .filter(|mean_c| **mean_c > 0.0)
            .map(|mean_c| pow(mean_c.min(TABLE_TO_C) / 5.0, 1.514))
            .sum::<f64>();
        let exponent = 0.49239 + index * (1.792e-2 + index * (-7.71e-5 + index * 6.75e-7));
        Self { index, exponent }
    }

    /// Potential evapotranspiration of one month; mm, 0 at or below 0 degC.
    ///
    /// Above 26.5 degC by Willmott's parabola through Thornthwaite's table (coefficients read in
    /// a transcription), constant above its vertex at 37.5 degC. At the junction it lies 0.5 to
    /// 2.5 mm above the formula (tested).
    #[must_use]
    pub fn month_mm(&self, mean_c: f64, daylight_h: f64, days: f64) -> f64 {
        let of_thirty_days_mm = if mean_c <= 0.0 || self.index <= 0.0 {
            0.0
        } else if mean_c < TABLE_FROM_C {
            16.0 * pow(10.0 * mean_c / self.index, self.exponent)
        } else {
            let t = mean_c.min(TABLE_TO_C);
            -415.85 + t * (32.24 - 0.43 * t)
        };
        of_thirty_days_mm * (daylight_h / 12.0) * (days / 30.0)
    }
}

/// Mean day length over days of the year, first and last included; hours.
#[must_use]
pub fn mean_daylight_h(latitude_deg: f64, first_day: u16, last_day: u16) -> f64 {
    let (mut sum_h, mut days) = (0.0, 0.0);
    for day in first_day..=last_day.max(first_day) {
        sum_h += Sun::over(latitude_deg, day).daylight_h();
        days += 1.0;
    }
    sum_h / days
}

#[cfg(test)]
mod tests {
    use super::{Warmth, mean_daylight_h};

    const MONTH_DAYS: [u16; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

    /// Aberdeen, 57.1526 degrees north, 2014: output of a public evapotranspiration library,
    /// printed in its documentation and read in a transcription; not a publication.
    #[test]
    fn aberdeen_in_2014() {
        let means_c = [
            3.1, 3.5, 5.0, 6.7, 9.3, 12.1, 14.3, 14.1, 11.8, 8.9, 5.5, 3.8,
        ];
        let daylight_h = [
            7.183, 9.135, 11.523, 14.035, 16.277, 17.505, 16.891, 14.862, 12.394, 9.885, 7.658,
            6.490,
        ];
        let printed_mm = [
            11.046, 14.226, 27.803, 43.179, 70.477, 93.994, 109.699, 95.245, 64.995, 41.064,
            19.562, 12.090,
        ];
        let warmth = Warmth::from_months(&means_c);
        assert!((warmth.index - 27.5874).abs() < 5e-5);
        assert!((warmth.exponent - 0.94225).abs() < 5e-6);
        let mut first = 1;
        for month in 0..12 {
            let days = MONTH_DAYS[month];
            let hours = mean_daylight_h(57.1526, first, first + days - 1);
            assert!((hours - daylight_h[month]).abs() < 6e-4, "{month}: {hours}");
            let mm = warmth.month_mm(means_c[month], hours, f64::from(days));
            assert!((mm - printed_mm[month]).abs() < 6e-4, "{month}: {mm}");
            first += days;
        }
    }

    #[test]
    fn zero_in_frost_and_monotone_in_heat() {
        let cold = Warmth::from_months(&[-5.0; 12]);
        assert!(cold.month_mm(-1.0, 12.0, 30.0).abs() < 1e-300);
        assert!(cold.month_mm(3.0, 12.0, 30.0).abs() < 1e-300);
        let hot = Warmth::from_months(&[25.0; 12]);
        let mut before_mm = 0.0;
        for tenth in 0..600 {
            let mm = hot.month_mm(f64::from(tenth) / 10.0, 12.0, 30.0);
            assert!(mm >= before_mm, "{tenth}: {mm} after {before_mm}");
            before_mm = mm;
        }
    }

    /// Junction of formula and parabola.
    #[test]
    fn formula_and_parabola_meet() {
        for mean_c in [8.0, 12.0, 18.0, 24.0, 26.0] {
            let warm = Warmth::from_months(&[mean_c; 12]);
            let step_mm = warm.month_mm(26.5, 12.0, 30.0) - warm.month_mm(26.4999, 12.0, 30.0);
            assert!((0.5..2.5).contains(&step_mm), "{mean_c}: {step_mm}");
        }
    }

    #[test]
    fn extreme_inputs_give_finite_values() {
        let warmth = Warmth::from_months(&[f64::MAX; 12]);
        assert!(warmth.month_mm(f64::MAX, 12.0, 31.0).is_finite());
        assert!(warmth.month_mm(1e-300, 12.0, 31.0) >= 0.0);
    }
}
