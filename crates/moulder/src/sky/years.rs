//! Years that differ: months warmer or colder, wetter or drier than their normals.

use jiff::civil::Date;
use moulder_core::elementary::exp;
use moulder_core::value::{Spread, Status, Value};
use rand_pcg::Pcg64;

use crate::normal::quantile;
use crate::sample::part;

/// One standard deviation of a month's mean temperature from year to year. Months are
/// drawn one by one, so that whole years differ by less than they do.
pub static MONTH_WARMTH: Value = Value::new(
    1.5,
    Spread::new(1.0, 2.2),
    "K",
    "general literature, from memory: central England's months stray by 1.2 K in summer to 1.9 K in winter, inland by more",
    Status::Memory,
);

/// One standard deviation of the logarithm of a month's rain from year to year.
pub static MONTH_RAIN: Value = Value::new(
    0.5,
    Spread::new(0.35, 0.75),
    "1",
    "general literature, from memory: a month's rain strays by 40-50 % of its mean in temperate oceanic climates, in dry ones by more",
    Status::Memory,
);

/// Numbers of the seeded sequence that belong to one civil month.
const NUMBERS_A_MONTH: u128 = 2;
/// The generator's second parameter for years: that of rain with its last place changed.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf95;

/// Months of drawn years.
#[derive(Debug, Clone)]
pub(super) struct Years {
    sequence: Pcg64,
}

impl Years {
    pub(super) fn of(seed: u64) -> Self {
        Self {
            sequence: Pcg64::new(u128::from(seed), STREAM),
        }
    }

    /// How much warmer than normal the civil month of a day is; K, and its rain against
    /// the normal, whose mean over many years is 1.
    pub(super) fn month(&self, date: Date) -> (f64, f64) {
        let month = (i32::from(date.year()) + 9999) * 12 + i32::from(date.month());
        let mut numbers = self.sequence.clone();
        numbers.advance(u128::from(month.unsigned_abs()) * NUMBERS_A_MONTH);
        let warmer_k = MONTH_WARMTH.best * quantile(part(&mut numbers));
        let sd = MONTH_RAIN.best;
        let rain = exp(sd * quantile(part(&mut numbers)) - 0.5 * sd * sd);
        (warmer_k, rain)
    }
}

#[cfg(test)]
mod tests {
    use super::{MONTH_RAIN, MONTH_WARMTH, Years};
    use jiff::ToSpan;
    use jiff::civil::date;

    /// Over 9600 months the mean is that of the normals and the spread as stated; means
    /// stray by a hundredth of the spread (one standard deviation).
    #[test]
    fn many_years_keep_the_normals() {
        let (mut warmth, mut squares, mut rain, mut count) = (0.0, 0.0, 0.0, 0.0);
        for seed in 0..20 {
            let years = Years::of(seed);
            let mut on = date(2026, 1, 1);
            for _ in 0..480 {
                let (warmer_k, factor) = years.month(on);
                assert!(factor > 0.0 && warmer_k.abs() < 10.0);
                assert_eq!(years.month(on.last_of_month()), (warmer_k, factor));
                warmth += warmer_k;
                squares += warmer_k * warmer_k;
                rain += factor;
                count += 1.0;
                on = on.saturating_add(1.month());
            }
        }
        assert!((warmth / count).abs() < 0.05, "{}", warmth / count);
        let sd = (squares / count).sqrt();
        assert!((sd / MONTH_WARMTH.best - 1.0).abs() < 0.03, "{sd}");
        assert!(
            (rain / count - 1.0).abs() < 0.04 * MONTH_RAIN.best,
            "{}",
            rain / count
        );
    }
}
