//! What days of a month have that their month has not: warm and cool spells, and how sun goes
//! with drought.
//!
//! Over a whole month they add nothing to its mean temperature.

use jiff::civil::Date;
use moulder_core::math::elementary::sqrt;
use moulder_core::value::{Spread, Status, Value};
use rand_pcg::Pcg64;

use super::almanac::{months_after, number};
use crate::library::climates::Climate;
use crate::numeric::uniform::part;

/// Standard deviation of daily mean temperatures about that of their month, for each kelvin
/// between the coldest and the warmest month.
pub static DAY_TO_DAY: Value = Value::new(
    0.20,
    Spread::new(0.12, 0.23),
    "K/K",
    "our own ratio in eight daily records, 2015-2025, by season: 0.17 to 0.23 in the Netherlands, 0.12 (summer) to 0.19 (winter) in Milwaukee; tests/spells.rs works it out again",
    Status::Read,
);

/// Correlation of the mean temperature of a day, about that of its month, with that of the next.
pub static DAY_MEMORY: Value = Value::new(
    0.7,
    Spread::new(0.59, 0.77),
    "1",
    "the same eight records, by season",
    Status::Read,
);

/// How much warmer rain comes than dry days are in the coldest month, over that standard
/// deviation; it fades towards the mean of the year.
pub static WARMER_IN_RAIN: Value = Value::new(
    0.7,
    Spread::new(0.45, 0.8),
    "1",
    "the same eight records, December to February, days weighted by their rain against days below 1 mm; little in other seasons",
    Status::Read,
);

/// By what share the daily range of a dry day is wider than that of a wet one.
pub static CLOUD: Value = Value::new(
    0.22,
    Spread::new(0.0, 0.35),
    "1",
    "the same eight records, by season: from hardly any in a coastal winter to 0.35 in spring",
    Status::Read,
);

/// Correlation of days that follow each other, about the mean of all months: about that of their
/// own it is 0.65 to 0.73, as [`DAY_MEMORY`].
const MEMORY: f64 = 0.8;
/// Their deviations over those from the mean of their own 31 days: `1/sqrt(1 - V)`, `V` the
/// variance of that mean, 0.249.
const WITHIN: f64 = 1.154;
/// Random numbers for each month: one a day and one before the first.
const NUMBERS_A_MONTH: u128 = 33;
/// Stream of the generator: that of rain with its last digit changed.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf97;

/// The days of civil months.
pub(super) struct Spells<'a> {
    sequence: Pcg64,
    filled: Date,
    /// Standard deviation; K.
    deviation_k: f64,
    /// How much warmer a wet day is in each month; K.
    wetter_k: [f64; 12],
    /// Usual share of wet days in each month.
    usual: &'a [f64; 12],
}

/// A day about its month.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct DayInMonth {
    /// How much warmer it is; K.
    pub(super) warmer_k: f64,
    /// Factor of its daily range.
    pub(super) range: f64,
}

impl<'a> Spells<'a> {
    pub(super) fn of(climate: &Climate, filled: Date, seed: u64, usual: &'a [f64; 12]) -> Self {
        let means_c: [f64; 12] =
            core::array::from_fn(|month| 0.5 * (climate.high_c[month] + climate.low_c[month]));
        let coldest_c = means_c.iter().copied().fold(f64::INFINITY, f64::min);
        let warmest_c = means_c.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let (year_c, range_k) = (means_c.iter().sum::<f64>() / 12.0, warmest_c - coldest_c);
        let deviation_k = DAY_TO_DAY.best * range_k;
        // A climate without seasons has no winter.
        let colder_k = (year_c - coldest_c).max(f64::MIN_POSITIVE);
        let winter = means_c.map(|mean_c| ((year_c - mean_c) / colder_k).clamp(0.0, 1.0));
        Self {
            sequence: Pcg64::new(u128::from(seed), STREAM),
            filled,
            deviation_k,
            wetter_k: winter.map(|winter| winter * WARMER_IN_RAIN.best * deviation_k),
            usual,
        }
    }

    /// The days of the civil month of a date, of which `is_wet` tells the wet ones, first of the
    /// month first.
    pub(super) fn month(&self, date: Date, is_wet: &[bool]) -> Vec<DayInMonth> {
        let month = usize::from(date.month().unsigned_abs().clamp(1, 12) - 1);
        let mut numbers = self.sequence.clone();
        let place = number(self.filled, months_after(self.filled, date));
        numbers.advance(u128::from(place) * NUMBERS_A_MONTH);
        let fresh = sqrt(1.0 - MEMORY * MEMORY);
        // Uniform numbers of variance 1: sums over the memory are all but normal.
        let mut drawn = || sqrt(12.0) * (part(&mut numbers) - 0.5);
        let mut spell = drawn();
        let mut warmer_k: Vec<f64> = is_wet
            .iter()
            .map(|is_wet| {
                let warmer_k = WITHIN * self.deviation_k * spell;
                spell = MEMORY * spell + fresh * drawn();
                warmer_k + if *is_wet { self.wetter_k[month] } else { 0.0 }
            })
            .collect();
        let count = f64::from(u32::try_from(warmer_k.len()).unwrap_or(1));
        let mean_k = warmer_k.iter().sum::<f64>() / count;
        for warmer_k in &mut warmer_k {
            *warmer_k -= mean_k;
        }
        let days = warmer_k.into_iter().zip(is_wet);
        days.map(|(warmer_k, is_wet)| DayInMonth {
            warmer_k,
            range: 1.0 + CLOUD.best * (self.usual[month] - f64::from(u8::from(*is_wet))),
        })
        .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::{CLOUD, DAY_MEMORY, DAY_TO_DAY, Spells, WARMER_IN_RAIN};
    use crate::library::Library;
    use jiff::ToSpan as _;
    use jiff::civil::date;

    /// Over many winters days have the deviation, the memory and the warmth in rain that is
    /// said, and a month's sum is its own.
    #[test]
    fn days_deviate_as_said() {
        let library = Library::built_in();
        let climate = library.climate("Cambridge UK").unwrap();
        let (from, usual) = (date(2026, 1, 1), [0.5; 12]);
        let is_wet: Vec<bool> = (0..31).map(|day| day % 4 < 2).collect();
        let (mut squares, mut products, mut wet_k, mut count) = (0.0, 0.0, 0.0, 0.0);
        for seed in 0..500 {
            let spells = Spells::of(climate, from, seed, &usual);
            let days = spells.month(from, &is_wet);
            assert!(days.iter().map(|day| day.warmer_k).sum::<f64>().abs() < 1e-9);
            let range: f64 = days.iter().map(|day| day.range).sum();
            assert!((range / 31.0 - 1.0).abs() < CLOUD.best / 31.0);
            for (pair, is_wet) in days.windows(2).zip(&is_wet) {
                squares += pair[0].warmer_k * pair[0].warmer_k;
                products += pair[0].warmer_k * pair[1].warmer_k;
                wet_k += pair[0].warmer_k * if *is_wet { 1.0 } else { -1.0 };
                count += 1.0;
            }
            let summer = spells.month(from.saturating_add(6.months()), &is_wet);
            assert_ne!(summer[0].warmer_k.to_bits(), days[0].warmer_k.to_bits());
        }
        let deviation_k = f64::sqrt(squares / count);
        let means_c: Vec<f64> = (0..12)
            .map(|month| f64::midpoint(climate.high_c[month], climate.low_c[month]))
            .collect();
        let range_k = means_c.iter().copied().fold(f64::MIN, f64::max)
            - means_c.iter().copied().fold(f64::MAX, f64::min);
        let said_k = DAY_TO_DAY.best * range_k;
        // The warmth of rain comes on top.
        assert!(
            (deviation_k / said_k - 1.0).abs() < 0.08,
            "{deviation_k} {said_k}"
        );
        assert!(
            (products / squares - DAY_MEMORY.best).abs() < 0.08,
            "{}",
            products / squares
        );
        let warmer = wet_k / count / said_k;
        assert!(
            (2.0 * warmer - WARMER_IN_RAIN.best).abs() < 0.05,
            "{warmer}"
        );
    }
}
