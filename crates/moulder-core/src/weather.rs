//! Daily weather from the day a bed is filled.

use alloc::vec::Vec;

/// Weather of one day, or the mean over a period.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Day {
    /// Mean air temperature; degC.
    pub mean_c: f64,
    /// Half the daily temperature range; degC.
    pub half_swing_c: f64,
    /// Precipitation, snow as meltwater; mm/d.
    pub rain_mm: f64,
    /// Reference evapotranspiration; mm/d.
    pub eto_mm: f64,
    /// Mineral nitrogen in rain and fertiliser; kg/m2/d.
    pub nitrogen_kg_m2: f64,
}

impl Day {
    const ZERO: Self = Self {
        mean_c: 0.0,
        half_swing_c: 0.0,
        rain_mm: 0.0,
        eto_mm: 0.0,
        nitrogen_kg_m2: 0.0,
    };

    /// `self + share * other`, field by field.
    fn plus(&self, share: f64, other: &Self) -> Self {
        Self {
            mean_c: self.mean_c + share * other.mean_c,
            half_swing_c: self.half_swing_c + share * other.half_swing_c,
            rain_mm: self.rain_mm + share * other.rain_mm,
            eto_mm: self.eto_mm + share * other.eto_mm,
            nitrogen_kg_m2: self.nitrogen_kg_m2 + share * other.nitrogen_kg_m2,
        }
    }
}

/// Method of reference evapotranspiration.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum EtoMethod {
    /// From temperature, humidity, wind and sunshine.
    PenmanMonteith,
    /// From daily maximum and minimum temperature.
    Hargreaves,
    /// From monthly means.
    Thornthwaite,
}

impl EtoMethod {
    /// Display name.
    ///
    /// ```
    /// use moulder_core::weather::EtoMethod;
    ///
    /// assert_eq!(EtoMethod::Hargreaves.name(), "Hargreaves");
    /// ```
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::PenmanMonteith => "FAO-56 Penman-Monteith",
            Self::Hargreaves => "Hargreaves",
            Self::Thornthwaite => "Thornthwaite",
        }
    }
}

/// Daily weather; row 0 is the day of filling.
///
/// The first row holds before the first day, the last row after the last day.
///
/// ```
/// use moulder_core::weather::{Day, EtoMethod, Weather};
///
/// let dry = Day {
///     mean_c: 10.0,
///     half_swing_c: 4.0,
///     rain_mm: 0.0,
///     eto_mm: 2.0,
///     nitrogen_kg_m2: 0.0,
/// };
/// let wet = Day { rain_mm: 8.0, ..dry };
/// let weather = Weather::new(vec![dry, wet], EtoMethod::Hargreaves).unwrap();
/// assert_eq!(weather.day(1.9), &wet);
/// assert_eq!(weather.mean_over(0.5, 1.5).rain_mm, 4.0);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Weather {
    days: Vec<Day>,
    /// Cumulative sums, from 0 before the first day to the total.
    sums: Vec<Day>,
    eto_by: EtoMethod,
}

impl Weather {
    /// From daily rows, day of filling first; `None` without rows.
    #[must_use]
    pub fn new(days: Vec<Day>, eto_by: EtoMethod) -> Option<Self> {
        if days.is_empty() {
            return None;
        }
        let mut sums = Vec::with_capacity(days.len() + 1);
        let mut sum = Day::ZERO;
        sums.push(sum);
        for day in &days {
            sum = sum.plus(1.0, day);
            sums.push(sum);
        }
        Some(Self { days, sums, eto_by })
    }

    /// Daily rows, day of filling first; at least one.
    #[must_use]
    pub fn days(&self) -> &[Day] {
        &self.days
    }

    /// Method of reference evapotranspiration.
    #[must_use]
    pub fn eto_by(&self) -> EtoMethod {
        self.eto_by
    }

    /// Weather of the day that contains the time `days` after filling.
    #[must_use]
    pub fn day(&self, days: f64) -> &Day {
        &self.days[self.row(days)]
    }

    /// Mean weather over a period, with partial days weighted by their share; [`Weather::day`]
    /// for a period of zero length.
    ///
    /// Constant cost. Differs from the direct sum by rounding: below 1e-9 for periods of a day or
    /// more within a hundred years (tested).
    #[must_use]
    pub fn mean_over(&self, from_days: f64, to_days: f64) -> Day {
        let length = to_days - from_days;
        let (first, last) = (self.row(from_days), self.row(to_days));
        // Within a row nothing is summed, so nothing is lost to rounding. Non-positive and NaN
        // lengths return here too, before the division.
        if first == last || length.is_nan() || length <= 0.0 {
            return self.days[first];
        }
        let whole = self.sums[last].plus(-1.0, &self.sums[first]);
        let sum = whole
            .plus(-(from_days - row_days(first)), &self.days[first])
            .plus(to_days - row_days(last), &self.days[last]);
        Day::ZERO.plus(1.0 / length, &sum)
    }

    /// Index of the row that contains a time, clamped to the rows.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the cast saturates, NaN becomes 0"
    )]
    fn row(&self, days: f64) -> usize {
        (libm::floor(days) as usize).min(self.days.len() - 1)
    }
}

/// Start of a row; days.
#[allow(clippy::cast_precision_loss, reason = "far fewer days than 2^53")]
fn row_days(row: usize) -> f64 {
    row as f64
}

#[cfg(test)]
mod tests {
    use super::{Day, EtoMethod, Weather};
    use alloc::vec;
    use alloc::vec::Vec;

    fn day(number: u32) -> Day {
        let x = f64::from(number);
        Day {
            mean_c: libm::sin(x) * 20.0,
            half_swing_c: 4.0 + libm::cos(x),
            rain_mm: (x * 7.3) % 11.0,
            eto_mm: (x * 0.31) % 6.0,
            nitrogen_kg_m2: 0.0,
        }
    }

    fn weather(days: u32) -> Weather {
        Weather::new((0..days).map(day).collect(), EtoMethod::Hargreaves).unwrap()
    }

    #[test]
    fn times_map_to_days_and_clamp_at_the_ends() {
        let weather = weather(3);
        assert_eq!(weather.day(0.999), &day(0));
        assert_eq!(weather.day(1.0), &day(1));
        assert_eq!(weather.day(-5.0), &day(0));
        assert_eq!(weather.day(f64::NAN), &day(0));
        assert_eq!(weather.day(1e300), &day(2));
        assert!(Weather::new(Vec::new(), EtoMethod::Hargreaves).is_none());
    }

    #[test]
    fn means_match_daily_sums() {
        let weather = weather(36_525);
        for (from, to) in [(0_u32, 1_u32), (36_500, 36_507), (10, 10_000), (0, 36_525)] {
            let mean = weather.mean_over(f64::from(from), f64::from(to));
            let count = f64::from(to - from);
            let rain_mm = (from..to).map(|n| day(n).rain_mm).sum::<f64>() / count;
            let mean_c = (from..to).map(|n| day(n).mean_c).sum::<f64>() / count;
            let eto_mm = (from..to).map(|n| day(n).eto_mm).sum::<f64>() / count;
            assert!((mean.rain_mm - rain_mm).abs() < 1e-9, "{from} {to}");
            assert!((mean.mean_c - mean_c).abs() < 1e-9, "{from} {to}");
            assert!((mean.eto_mm - eto_mm).abs() < 1e-9, "{from} {to}");
        }
    }

    /// The mean of a period is the weighted mean of its parts, also beyond both ends.
    #[test]
    fn period_means_add_up() {
        let weather = weather(50);
        for (from, cut, to) in [(0.25, 0.5, 7.75), (-3.0, 2.5, 4.0), (40.5, 49.2, 70.0)] {
            let whole = weather.mean_over(from, to).rain_mm * (to - from);
            let parts = weather.mean_over(from, cut).rain_mm * (cut - from)
                + weather.mean_over(cut, to).rain_mm * (to - cut);
            assert!((whole - parts).abs() < 1e-11, "{from}: {whole} {parts}");
        }
    }

    #[test]
    fn short_periods_give_the_day() {
        let weather = weather(5);
        assert_eq!(weather.mean_over(2.25, 2.5), day(2));
        assert_eq!(weather.mean_over(2.0, 2.0), day(2));
        assert_eq!(weather.mean_over(3.0, 1.0), day(3));
        assert_eq!(weather.mean_over(f64::NAN, 2.0), day(0));
        let alone = Weather::new(vec![day(7)], EtoMethod::Thornthwaite).unwrap();
        assert_eq!(alone.mean_over(-9.0, 9.0), day(7));
    }

    #[test]
    fn method_names() {
        let names = [
            EtoMethod::PenmanMonteith,
            EtoMethod::Hargreaves,
            EtoMethod::Thornthwaite,
        ]
        .map(EtoMethod::name);
        assert_eq!(
            names,
            ["FAO-56 Penman-Monteith", "Hargreaves", "Thornthwaite"]
        );
    }
}
