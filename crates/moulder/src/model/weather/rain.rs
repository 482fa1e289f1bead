//! Rain of civil months, distributed over random days.

use jiff::civil::Date;
use moulder_core::math::elementary::ln;
use moulder_core::value::{Spread, Status, Value};
use rand_pcg::Pcg64;

use super::almanac::{months_after, number};
use super::years::Years;
use crate::library::climates::Climate;
use crate::numeric::uniform::part;

/// Monthly rain at which half of the days are wet: the share of wet days is `rain/(rain + this)`,
/// so that wetter months have more wet days and heavier rain on each. At least one day is wet if
/// there is any rain; amounts are exponential, scaled to the sum of the month.
pub static HALF_WET_MM: Value = Value::new(
    110.0,
    Spread::new(70.0, 170.0),
    "mm",
    "our own closure: some 9 wet days for 47 mm a month in eastern England, 18 for 160 mm in Seattle, 10-15 for 150 mm in Brisbane, from memory",
    Status::Judgement,
);

/// Correlation of the rank of a day, by which the wettest days of a month are chosen, with that of
/// the day before.
pub static WET_MEMORY: Value = Value::new(
    0.4,
    Spread::new(0.2, 0.5),
    "1",
    "eight daily records, 2015-2025: of the days after a wet one (1 mm or more) 0.48 to 0.66 are wet where 0.26 to 0.46 of all are; in Milwaukee 0.33 to 0.38 of 0.23 to 0.29; tests/spells.rs",
    Status::Read,
);

/// Days before the first of a month that its rank remembers.
const EARLIER_DAYS: u32 = 6;
/// Random numbers of the days of a month, two a day, from its first on or from any other.
const NUMBERS_OF_DAYS: u128 = 62;
/// Random numbers for each month; odd, since steps of a power of two correlate the low bits.
const NUMBERS_A_MONTH: u128 = 2 * NUMBERS_OF_DAYS + 7;
/// Days of a usual month.
const MONTH_DAYS: u32 = 30;
/// Rounds up a little more than half a wet day: round amounts, such as 110 mm in 31 days, give
/// exactly half, and must not depend on the unit they were given in.
const HALF: f64 = 0.51;
/// The generator's default stream, as its authors give it.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf96;

/// Daily rain, month by month.
pub(super) struct Rain<'a> {
    climate: &'a Climate,
    /// Years of a realisation; none where every year is normal.
    years: Option<&'a Years>,
    /// See [`HALF_WET_MM`].
    half_wet_mm: f64,
    /// The seeded sequence at its beginning.
    sequence: Pcg64,
    filled: Date,
}

impl<'a> Rain<'a> {
    pub(super) fn of(
        climate: &'a Climate,
        filled: Date,
        seed: u64,
        years: Option<&'a Years>,
        half_wet_mm: f64,
    ) -> Self {
        Self {
            climate,
            years,
            half_wet_mm,
            sequence: Pcg64::new(u128::from(seed), STREAM),
            filled,
        }
    }

    /// Amounts of the days of a civil month from a date to its end, and none before; mm.
    pub(super) fn month(&self, from: Date) -> Vec<f64> {
        let of_month = u32::from(from.days_in_month().unsigned_abs());
        let first = u32::from(from.day().unsigned_abs());
        let days = of_month + 1 - first;
        let month = usize::from(from.month().unsigned_abs()) - 1;
        let rain_mm = self.climate.rain_mm[month] * f64::from(days) / f64::from(of_month);
        let factor = self.years.map_or(1.0, |years| years.month(from).1);
        let mut numbers = self.numbers_of_month(from);
        // A day has its own numbers, however much of its month is left.
        numbers.advance(2 * u128::from(first - 1));
        let before = (1..first).map(|_| 0.0);
        let amounts = amounts(rain_mm * factor, days, self.half_wet_mm, &mut numbers);
        before.chain(amounts).collect()
    }

    /// Usual share of wet days in each month.
    pub(super) fn usual(&self) -> [f64; 12] {
        self.climate.rain_mm.map(|rain_mm| {
            f64::from(wet_days(rain_mm, MONTH_DAYS, self.half_wet_mm)) / f64::from(MONTH_DAYS)
        })
    }

    /// The section of the sequence for the month of a date.
    fn numbers_of_month(&self, from: Date) -> Pcg64 {
        let month = number(self.filled, months_after(self.filled, from));
        let mut numbers = self.sequence.clone();
        numbers.advance(u128::from(month) * NUMBERS_A_MONTH);
        numbers
    }
}

/// `rain_mm` distributed over `days` days; zero or NaN leaves them dry.
///
/// Each day draws a rank and an amount, and the days of lowest rank are wet: one more day or
/// millimetre leaves nearly all days unchanged. Ranks remember those before ([`WET_MEMORY`]).
fn amounts(rain_mm: f64, days: u32, half_wet_mm: f64, numbers: &mut Pcg64) -> Vec<f64> {
    let memory = WET_MEMORY.best;
    // The first day remembers as well, so that none is favoured.
    let mut earlier = numbers.clone();
    earlier.advance(NUMBERS_OF_DAYS);
    let mut rank = (0..EARLIER_DAYS).fold(0.0, |rank, _| memory * rank + part(&mut earlier) - 0.5);
    let drawn: Vec<(f64, f64)> = (0..days)
        .map(|_| {
            rank = memory * rank + part(numbers) - 0.5;
            (rank, exponential(numbers))
        })
        .collect();
    let mut queue: Vec<usize> = (0..drawn.len()).collect();
    queue.sort_by(|one, other| drawn[*one].0.total_cmp(&drawn[*other].0));
    let mut amounts = vec![0.0; drawn.len()];
    let wet = wet_days(rain_mm, days, half_wet_mm);
    for (_, day) in (0..wet).zip(queue) {
        amounts[day] = drawn[day].1;
    }
    let sum: f64 = amounts.iter().sum();
    if sum > 0.0 {
        for amount in &mut amounts {
            *amount *= rain_mm / sum;
        }
    }
    amounts
}

/// Number of wet days.
fn wet_days(rain_mm: f64, days: u32, half_wet_mm: f64) -> u32 {
    if !rain_mm.is_finite() || rain_mm <= 0.0 {
        return 0;
    }
    let share = rain_mm / (rain_mm + half_wet_mm);
    // Counted up rather than cast: exact, and limited to `days`.
    let mut wet = 1;
    while wet < days && share * f64::from(days) >= f64::from(wet) + HALF {
        wet += 1;
    }
    wet
}

/// A variate of the exponential distribution of mean 1; above 0.
fn exponential(numbers: &mut Pcg64) -> f64 {
    -ln(part(numbers))
}

#[cfg(test)]
mod tests {
    use super::{HALF_WET_MM, Pcg64, STREAM, amounts, exponential, wet_days};

    fn numbers(seed: u128) -> Pcg64 {
        Pcg64::new(seed, STREAM)
    }

    #[test]
    fn wet_days_by_rain() {
        for (rain_mm, days, want) in [
            (0.0, 31, 0),
            (-2.0, 31, 0),
            (f64::NAN, 31, 0),
            (0.2, 31, 1),
            (5.0, 31, 1),
            (7.5, 31, 2),
            (48.6, 31, 9),
            (110.0, 30, 15),
            (400.0, 30, 24),
            (f64::INFINITY, 28, 0),
            (3.0, 1, 1),
        ] {
            assert_eq!(wet_days(rain_mm, days, HALF_WET_MM.best), want, "{rain_mm}");
        }
    }

    #[test]
    fn wet_days_match_their_number() {
        for seed in 0..200 {
            let amounts_mm = amounts(48.6, 31, HALF_WET_MM.best, &mut numbers(seed));
            assert_eq!(amounts_mm.iter().filter(|mm| **mm > 0.0).count(), 9);
            assert!((amounts_mm.iter().sum::<f64>() - 48.6).abs() < 1e-9);
        }
    }

    /// Over many months every day of the month is wet about equally often: 9 of 31 days in 4000
    /// months, 1161 each, standard deviation 29.
    #[test]
    fn no_day_of_the_month_is_favoured() {
        let mut counts = [0_u32; 31];
        for seed in 0..4000 {
            for (count, mm) in
                counts
                    .iter_mut()
                    .zip(amounts(48.6, 31, HALF_WET_MM.best, &mut numbers(seed)))
            {
                *count += u32::from(mm > 0.0);
            }
        }
        assert!(
            counts.iter().all(|count| (1040..1290).contains(count)),
            "{counts:?}"
        );
    }

    /// Mean and variance are 1; standard errors of 40,000 variates are 0.005 and 0.014.
    #[test]
    fn amounts_are_exponential() {
        let mut numbers = numbers(9);
        let drawn: Vec<f64> = (0..40_000).map(|_| exponential(&mut numbers)).collect();
        let mean = drawn.iter().sum::<f64>() / 40_000.0;
        let variance = drawn.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / 40_000.0;
        assert!((mean - 1.0).abs() < 0.02, "{mean}");
        assert!((variance - 1.0).abs() < 0.06, "{variance}");
        assert!(drawn.iter().all(|x| *x > 0.0));
    }

    /// A leap day, or a unit conversion, leaves the days of a month unchanged.
    #[test]
    fn a_day_or_a_millimetre_more_changes_few_days() {
        let wet = |rain_mm: f64, days: u32, seed| -> Vec<bool> {
            let amounts_mm = amounts(rain_mm, days, HALF_WET_MM.best, &mut numbers(seed));
            amounts_mm.iter().map(|mm| *mm > 0.0).collect()
        };
        for seed in 0..200 {
            let february = wet(48.6, 28, seed);
            for other in [wet(48.6, 29, seed), wet(49.6, 28, seed)] {
                let days = february.iter().zip(&other);
                let turned = days.filter(|(one, other)| one != other).count();
                assert!(turned <= 1, "{seed}: {turned}");
            }
            // Half of 31 days lies on the border between 15 and 16.
            assert_eq!(wet(110.0, 31, seed), wet(4.33071 * 25.4, 31, seed));
        }
    }
}
