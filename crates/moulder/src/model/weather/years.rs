//! Interannual variability: monthly deviations from the normals in temperature and rain.
//!
//! The standard deviation of a month's mean temperature is linear in the climate's annual range
//! and in how warm the month is for that climate; deviations are autocorrelated. The standard
//! deviation of a month's rain is linear in the dryness of the climate; rain is not
//! autocorrelated (lag-one correlation 0.04 in the same records). Temperature and rain are
//! independent here: the records have a weak negative correlation (-0.1 in Britain, -0.2 to -0.4
//! in Australia). The daily range is narrow in wet months.

use jiff::civil::Date;
use moulder_core::math::elementary::{exp, ln, sqrt};
use moulder_core::value::{Spread, Status, Value};
use rand_pcg::Pcg64;

use super::almanac::{month_of_year, months_after, number};
use crate::library::climates::Climate;
use crate::numeric::normal::quantile;
use crate::numeric::uniform::part;

/// Standard deviation of a month's mean temperature between years, at an annual range of zero.
pub static MONTH_WARMTH: Value = Value::new(
    0.64,
    Spread::new(0.45, 0.83),
    "K",
    "our own line through 17 station records (UK Met Office, NOAA, Australian Bureau of Meteorology), by month, weighted by years; tests/years.rs works it out again",
    Status::Read,
);

/// Increase of that standard deviation per kelvin between the coldest and the warmest month.
pub static WARMTH_BY_RANGE: Value = Value::new(
    0.048,
    Spread::new(0.038, 0.058),
    "K/K",
    "the same line; 1.1 K at Aberporth (range 10 K), 2.0 K at Wichita (28 K)",
    Status::Read,
);

/// Decrease of that standard deviation per kelvin that the month is warmer than the year.
pub static WARMTH_BY_SEASON: Value = Value::new(
    0.032,
    Spread::new(0.022, 0.042),
    "K/K",
    "the same line; at Ann Arbor 2.6 K in winter, 1.3 K in summer",
    Status::Read,
);

/// Autocorrelation: share of the deviation `n` months before, over `n`, for a year. It gives
/// adjacent months the correlation 0.31.
pub static WARMTH_MEMORY: Value = Value::new(
    0.273,
    Spread::new(0.17, 0.38),
    "1",
    "lag-one correlation of monthly temperature in the same 17 records, 0.31 (0.18 to 0.53); that it fades as 1/n is our own closure: in the long records 0.15 after two months and 0.05 to 0.1 after half a year",
    Status::Read,
);

/// Standard deviation of a month's rain between years over its mean, in the wettest climate.
pub static MONTH_RAIN: Value = Value::new(
    0.36,
    Spread::new(0.24, 0.48),
    "1",
    "our own line through the same 17 records, weighted by years",
    Status::Read,
);

/// Increase of that standard deviation per degree of annual mean temperature in degC over annual
/// rain in metres.
pub static RAIN_BY_DRYNESS: Value = Value::new(
    0.0121,
    Spread::new(0.0085, 0.0157),
    "m/K",
    "the same line; 0.5 of the mean at Aberporth, 1.0 at Los Angeles",
    Status::Read,
);

/// Standard deviation of a month's mean daily range between years, over its mean.
pub static MONTH_RANGE: Value = Value::new(
    0.12,
    Spread::new(0.06, 0.16),
    "1",
    "our own mean of eight daily records, 2015-2025, by season; tests/spells.rs works it out again",
    Status::Read,
);

/// Correlation of a month's daily range with its rain: in dry months the sun shines.
pub static RANGE_WITH_RAIN: Value = Value::new(
    -0.55,
    Spread::new(-0.74, -0.02),
    "1",
    "the same eight records: -0.2 to -0.7 in the Netherlands, 0.0 to -0.4 in Milwaukee",
    Status::Read,
);

/// The driest record (Alice Springs), in degC over metres of rain: the limit of that increase.
const DRIEST: f64 = 66.0;
/// Months over which a deviation persists.
const MEMORY_MONTHS: i32 = 12;
/// Random numbers for each month.
const NUMBERS_A_MONTH: u128 = 3;
/// Stream of the generator: that of rain with its last digit changed.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf95;

/// Months of random years.
#[derive(Debug, Clone)]
pub(super) struct Years {
    /// Their first day.
    from: Date,
    /// Temperature deviation of each; K, its rain and its daily range over the normal.
    months: Vec<(f64, f64, f64)>,
}

impl Years {
    /// The years from a day on, for that many days. The seed gives the same years in whatever
    /// civil year they begin.
    pub(super) fn of(climate: &Climate, seed: u64, from: Date, days: u32) -> Self {
        let sequence = Pcg64::new(u128::from(seed), STREAM);
        let count = i32::try_from(days / 28 + 2).unwrap_or(i32::MAX);
        let drawn: Vec<[f64; 3]> = (-MEMORY_MONTHS..count)
            .map(|month| {
                let mut numbers = sequence.clone();
                numbers.advance(u128::from(number(from, month)) * NUMBERS_A_MONTH);
                [0, 1, 2].map(|_| quantile(part(&mut numbers)))
            })
            .collect();
        let deviations = Deviations::of(climate);
        let span = usize::try_from(MEMORY_MONTHS).unwrap_or(0) + 1;
        let months = (0..).zip(drawn.windows(span)).map(|(month, drawn)| {
            let of_year = usize::try_from(month_of_year(from, month)).unwrap_or(0);
            let warmer_k = deviations.warmth_k[of_year] * autocorrelated(drawn);
            let [_, rain, sun] = drawn.last().copied().unwrap_or_default();
            (warmer_k, deviations.rain(rain), range(rain, sun))
        });
        Self {
            from,
            months: months.collect(),
        }
    }

    /// Temperature deviation of the civil month of a day; K, and its rain over the normal, with a
    /// long-term mean of 1. Normal outside the years.
    pub(super) fn month(&self, date: Date) -> (f64, f64) {
        let (warmer_k, rain, _) = self.figures(date);
        (warmer_k, rain)
    }

    /// The same of its daily range.
    pub(super) fn range(&self, date: Date) -> f64 {
        self.figures(date).2
    }

    fn figures(&self, date: Date) -> (f64, f64, f64) {
        let place = usize::try_from(months_after(self.from, date)).ok();
        let month = place.and_then(|place| self.months.get(place));
        month.copied().unwrap_or((0.0, 1.0, 1.0))
    }
}

/// Daily range of a month over its normal, from what was drawn for its rain and for itself; at
/// most three standard deviations off.
fn range(rain: f64, sun: f64) -> f64 {
    let with_rain = RANGE_WITH_RAIN.best;
    let deviation = with_rain * rain + sqrt(1.0 - with_rain * with_rain) * sun;
    1.0 + MONTH_RANGE.best * deviation.clamp(-3.0, 3.0)
}

/// Autocorrelated deviation in temperature of the last month given those before; standard normal.
fn autocorrelated(drawn: &[[f64; 3]]) -> f64 {
    let (mut sum, mut squares) = (0.0, 0.0);
    for (ago, [warmth, ..]) in (0_u32..).zip(drawn.iter().rev()) {
        let share = if ago == 0 {
            1.0
        } else {
            WARMTH_MEMORY.best / f64::from(ago)
        };
        sum += share * warmth;
        squares += share * share;
    }
    sum / sqrt(squares)
}

/// Standard deviations of the months of a climate.
struct Deviations {
    /// Standard deviation of each month's mean temperature; K.
    warmth_k: [f64; 12],
    /// Standard deviation of the log of a month's rain.
    ln_rain: f64,
}

impl Deviations {
    fn of(climate: &Climate) -> Self {
        let means_c: [f64; 12] =
            core::array::from_fn(|month| 0.5 * (climate.high_c[month] + climate.low_c[month]));
        let year_c = means_c.iter().sum::<f64>() / 12.0;
        let warmest_c = means_c.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let coldest_c = means_c.iter().copied().fold(f64::INFINITY, f64::min);
        let of_year_k = MONTH_WARMTH.best + WARMTH_BY_RANGE.best * (warmest_c - coldest_c);
        let rain_m = climate.rain_mm.iter().sum::<f64>() / 1000.0;
        // A climate without rain, or with NaN, is as dry as any.
        let dryness = if rain_m > 0.0 {
            (year_c.max(0.0) / rain_m).min(DRIEST)
        } else {
            DRIEST
        };
        let share = MONTH_RAIN.best + RAIN_BY_DRYNESS.best * dryness;
        Self {
            warmth_k: means_c
                .map(|mean_c| (of_year_k - WARMTH_BY_SEASON.best * (mean_c - year_c)).max(0.0)),
            ln_rain: sqrt(ln(1.0 + share * share)),
        }
    }

    /// Rain over its normal: lognormal, with a mean of 1.
    fn rain(&self, drawn: f64) -> f64 {
        exp(self.ln_rain * drawn - 0.5 * self.ln_rain * self.ln_rain)
    }
}

#[cfg(test)]
mod tests {
    use super::{Deviations, Years};
    use crate::library::Library;
    use crate::library::climates::Climate;
    use jiff::ToSpan;
    use jiff::civil::{Date, date};

    fn climate(name: &str) -> Climate {
        Library::built_in()
            .find_station(name)
            .unwrap()
            .climate
            .clone()
    }

    /// The mean of 9600 months is that of the normals; the standard error of autocorrelated
    /// months is 0.03 K, and 0.005 of the rain.
    #[test]
    fn many_years_keep_the_normals() {
        let climate = climate("Cambridge UK");
        let (mut warmth, mut rain, mut count) = (0.0, 0.0, 0.0);
        for seed in 0..20 {
            let mut on = date(2026, 1, 1);
            // Neighbouring seeds give neighbouring numbers.
            let years = Years::of(&climate, seed * 7919 * 104_729, on, 480 * 31);
            for _ in 0..480 {
                let (warmer_k, factor) = years.month(on);
                assert!(factor > 0.0 && warmer_k.abs() < 10.0);
                assert_eq!(years.month(on.last_of_month()), (warmer_k, factor));
                warmth += warmer_k;
                rain += factor;
                count += 1.0;
                on = on.saturating_add(1.month());
            }
        }
        assert!((warmth / count).abs() < 0.09, "{}", warmth / count);
        assert!((rain / count - 1.0).abs() < 0.02, "{}", rain / count);
    }

    /// Months do not depend on the civil year, nor rain of a season on the month in which a run
    /// begins, and both ends of the calendar have months.
    #[test]
    fn months_do_not_depend_on_the_civil_year() {
        let climate = climate("Wichita US");
        let from = |on: Date| Years::of(&climate, 7, on, 900);
        let (early, late) = (from(date(2024, 3, 1)), from(date(2035, 3, 14)));
        let autumn = from(date(2035, 10, 14));
        for month in 0..30 {
            let [on, later] = [2024, 2035].map(|year| date(year, 3, 9) + month.months());
            assert_eq!(early.month(on), late.month(later));
            assert_ne!(early.month(on), (0.0, 1.0));
        }
        for month in 0..5 {
            let on = date(2035, 10, 1) + month.months();
            assert_eq!(late.month(on).1.to_bits(), autumn.month(on).1.to_bits());
        }
        for on in [Date::MIN, Date::MAX] {
            assert_ne!(from(on).month(on), (0.0, 1.0));
        }
    }

    /// Climates without a season, without rain or below freezing have valid deviations.
    #[test]
    fn extreme_climates_have_valid_deviations() {
        for (mean_c, rain_mm) in [(0.0, 0.0), (-40.0, 1.0), (40.0, 1e-9), (20.0, f64::NAN)] {
            let deviations = Deviations::of(&Climate {
                name: "Odd".to_owned(),
                latitude_deg: 0.0,
                high_c: [mean_c; 12],
                low_c: [mean_c; 12],
                rain_mm: [rain_mm; 12],
                estimate: None,
            });
            assert!(deviations.warmth_k.iter().all(|k| (0.5..1.0).contains(k)));
            assert!((0.3..1.0).contains(&deviations.ln_rain), "{rain_mm}");
        }
    }
}
