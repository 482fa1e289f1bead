//! Rain of civil months, laid on drawn days.

use jiff::civil::Date;
use moulder_core::math::elementary::ln;
use moulder_core::value::{Spread, Status, Value};
use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng as _;

use super::years::Years;
use crate::library::climates::Climate;

/// Rain of a month in which half of its days are wet: the share of wet days is
/// `rain/(rain + this)`, so that wetter months have more wet days and heavier rain on
/// each. At least one day is wet if there is rain at all; what falls on each is
/// exponential, scaled to the month's sum.
pub static HALF_WET_MM: Value = Value::new(
    110.0,
    Spread::new(70.0, 170.0),
    "mm",
    "our own closure: some 9 wet days for 47 mm a month in eastern England, 18 for 160 mm in Seattle, 10-15 for 150 mm in Brisbane, from memory",
    Status::Judgement,
);

/// Numbers of the seeded sequence that belong to one civil month. A month uses at
/// most two a day; odd, since steps of a power of two leave low bits in step.
const NUMBERS_A_MONTH: u128 = 101;
/// The generator's customary second parameter, as its authors give it.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf96;

/// Rain day by day from the day of filling, without end.
pub(super) struct Rain<'a> {
    climate: &'a Climate,
    /// Years that differ; none where every year is normal.
    years: Option<&'a Years>,
    /// See [`HALF_WET_MM`].
    half_wet_mm: f64,
    /// The seeded sequence at its beginning.
    sequence: Pcg64,
    /// The first day that has not been given yet.
    next: Date,
    /// Amounts of the month in hand, last day first; mm.
    in_hand: Vec<f64>,
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
            next: filled,
            in_hand: Vec::new(),
        }
    }

    /// Amounts of the days from `self.next` to the end of its civil month.
    fn rest_of_month(&self) -> Vec<f64> {
        let of_month = u32::from(self.next.days_in_month().unsigned_abs());
        let days = of_month + 1 - u32::from(self.next.day().unsigned_abs());
        let month = usize::from(self.next.month().unsigned_abs()) - 1;
        let rain_mm = self.climate.rain_mm[month] * f64::from(days) / f64::from(of_month);
        let factor = self.years.map_or(1.0, |years| years.month(self.next).1);
        let mut numbers = self.numbers_of_month();
        amounts(rain_mm * factor, days, self.half_wet_mm, &mut numbers)
    }

    /// The stretch of the sequence that belongs to the civil month of `self.next`,
    /// and to no other.
    fn numbers_of_month(&self) -> Pcg64 {
        // The calendar goes from the year -9999 to 9999.
        let month = (i32::from(self.next.year()) + 9999) * 12 + i32::from(self.next.month());
        let mut numbers = self.sequence.clone();
        numbers.advance(u128::from(month.unsigned_abs()) * NUMBERS_A_MONTH);
        numbers
    }
}

impl Iterator for Rain<'_> {
    type Item = f64;

    fn next(&mut self) -> Option<f64> {
        if self.in_hand.is_empty() {
            self.in_hand = self.rest_of_month();
            self.in_hand.reverse();
        }
        self.next = self.next.tomorrow().unwrap_or(self.next);
        self.in_hand.pop()
    }
}

/// `rain_mm` laid on `days` days. No rain, or no figure, leaves them dry.
fn amounts(rain_mm: f64, days: u32, half_wet_mm: f64, numbers: &mut Pcg64) -> Vec<f64> {
    let mut amounts = Vec::new();
    let mut sum = 0.0;
    let mut to_place = wet_days(rain_mm, days, half_wet_mm);
    for left in (1..=days).rev() {
        // Each choice of that many days out of the rest is as likely as any other.
        let is_wet = below(left, numbers) < to_place;
        let amount = if is_wet { exponential(numbers) } else { 0.0 };
        to_place -= u32::from(is_wet);
        sum += amount;
        amounts.push(amount);
    }
    if sum > 0.0 {
        for amount in &mut amounts {
            *amount *= rain_mm / sum;
        }
    }
    amounts
}

/// How many of `days` days are wet.
fn wet_days(rain_mm: f64, days: u32, half_wet_mm: f64) -> u32 {
    if !rain_mm.is_finite() || rain_mm <= 0.0 {
        return 0;
    }
    let share = rain_mm / (rain_mm + half_wet_mm);
    // Counted up rather than cast: exact, and held to the days there are.
    let mut wet = 1;
    while wet < days && share * f64::from(days) >= f64::from(wet) + 0.5 {
        wet += 1;
    }
    wet
}

/// A whole number below `count`, each as likely but for less than one part in 2^32.
fn below(count: u32, numbers: &mut Pcg64) -> u32 {
    let high = numbers.next_u64() >> 32;
    let scaled = (high * u64::from(count)) >> 32;
    u32::try_from(scaled).expect("32 bits times a count, less 32 bits, is below the count")
}

/// An amount from the exponential distribution of mean 1; above 0.
#[allow(
    clippy::cast_precision_loss,
    reason = "52 bits and a half fit a float exactly"
)]
fn exponential(numbers: &mut Pcg64) -> f64 {
    // The middle of one of 2^52 equal parts of 0..1: never 0, never 1.
    let part = ((numbers.next_u64() >> 12) as f64 + 0.5) / 4_503_599_627_370_496.0;
    -ln(part)
}

#[cfg(test)]
mod tests {
    use super::{HALF_WET_MM, Pcg64, STREAM, amounts, below, exponential, wet_days};

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
    fn as_many_days_are_wet_as_should_be() {
        for seed in 0..200 {
            let laid = amounts(48.6, 31, HALF_WET_MM.best, &mut numbers(seed));
            assert_eq!(laid.iter().filter(|mm| **mm > 0.0).count(), 9);
            assert!((laid.iter().sum::<f64>() - 48.6).abs() < 1e-9);
        }
    }

    /// Over many months every day of the month is wet about as often. 9 of 31 days
    /// in 4000 months: 1161 each, standard deviation 29.
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

    /// Mean and variance of the exponential distribution are 1; 40,000 draws stray
    /// by 0.005 and 0.014 (one standard deviation).
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

    #[test]
    fn whole_numbers_stay_below() {
        let mut numbers = numbers(1);
        assert!((0..1000).all(|_| below(7, &mut numbers) < 7));
        assert_eq!(below(1, &mut numbers), 0);
    }
}
