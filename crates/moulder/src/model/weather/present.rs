//! The climate of the years of a bed: normals and the warming since, and in a realisation what
//! both may be off by, all months together.

use jiff::civil::Date;
use moulder_core::math::elementary::exp;
use moulder_core::value::{Spread, Status, Value};
use rand_pcg::Pcg64;

use crate::library::climates::{Climate, Estimate};
use crate::numeric::normal::{below, quantile as normal};
use crate::numeric::prior::{FARTHEST_Z, TENTH_Z};
use crate::numeric::student::quantile;
use crate::numeric::uniform::part;

/// Warming since the middle of the years of the normals.
pub static WARMING: Value = Value::new(
    0.030,
    Spread::new(0.018, 0.042),
    "K/yr",
    "land of the last decades, some 0.3 K in ten years (IPCC AR6 WG1, chapter 2, from memory); Milwaukee 2015-2025 against its normals of 1991-2020 here: 0.034",
    Status::Memory,
);

/// The middle of the years 1991 to 2020, to which normals are taken to belong.
const NORMAL_YEAR: i16 = 2005;
/// Most years of warming since, or before: normals and beds of other times are not told apart.
const MOST_YEARS: f64 = 40.0;

/// Stream of the random number generator for the climate; the next one is that of the years.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf93;
/// The same for the warming: the stream of rain with its last digit changed.
const WARMING_STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf92;
/// Least share of the daily range that a realisation keeps. Our own closure: days have one.
const LEAST_RANGE: f64 = 0.25;

/// Errors of an estimated climate.
struct Errors {
    warmer_k: f64,
    /// Of half the daily range.
    wider_k: f64,
    /// Factor of rain.
    wetter: f64,
}

impl Errors {
    const NONE: Self = Self {
        warmer_k: 0.0,
        wider_k: 0.0,
        wetter: 1.0,
    };

    /// Those of a weather seed: the same of all beds of a garden.
    fn of(estimate: &Estimate, seed: u64) -> Self {
        let mut numbers = Pcg64::new(u128::from(seed), STREAM);
        let edge = below(FARTHEST_Z);
        let mut drawn = || quantile(part(&mut numbers).clamp(1.0 - edge, edge));
        Self {
            warmer_k: estimate.warmth_k * drawn(),
            wider_k: estimate.half_range_k * drawn(),
            wetter: exp(estimate.ln_rain * drawn()),
        }
    }
}

/// The climate when a bed is filled: its best estimate, or in a realisation as it may be.
pub(super) fn present(climate: &Climate, filled: Date, seed: Option<u64>) -> Climate {
    let errors = match (seed, &climate.estimate) {
        (Some(seed), Some(estimate)) => Errors::of(estimate, seed),
        _ => Errors::NONE,
    };
    let warming_k_per_year = seed.map_or(WARMING.best, |seed| {
        let mut numbers = Pcg64::new(u128::from(seed), WARMING_STREAM);
        let Spread { low, high } = WARMING.spread;
        WARMING.best + (high - low) / (2.0 * TENTH_Z) * normal(part(&mut numbers))
    });
    let years = f64::from(filled.year() - NORMAL_YEAR).clamp(-MOST_YEARS, MOST_YEARS);
    let warmer_k = errors.warmer_k + warming_k_per_year * years;
    let mut present = climate.clone();
    for month in 0..12 {
        let (high_c, low_c) = (climate.high_c[month], climate.low_c[month]);
        let middle_c = 0.5 * (high_c + low_c) + warmer_k;
        let half_k = 0.5 * (high_c - low_c);
        let half_k = (half_k + errors.wider_k).max(LEAST_RANGE * half_k);
        present.high_c[month] = middle_c + half_k;
        present.low_c[month] = middle_c - half_k;
        present.rain_mm[month] *= errors.wetter;
    }
    present
}

#[cfg(test)]
mod tests {
    use moulder_core::math::elementary::ln;

    use super::{WARMING, present};
    use crate::library::Library;
    use crate::library::climates::Estimate;
    use jiff::civil::date;

    /// Of 4000 realisations, four in five of the year's warmth, range and rain lie within the
    /// interval of each (the standard error is 0.6 %), and half on either side.
    #[test]
    fn realisations_have_the_spread() {
        let mut climate = Library::built_in().climate("Cambridge UK").unwrap().clone();
        let normal = date(2005, 3, 1);
        let off_k = present(&climate, normal, Some(7)).high_c[6] - climate.high_c[6];
        assert!(off_k.abs() < 1e-12);
        climate.estimate = Some(Estimate {
            longitude_deg: 0.1,
            height_m: 20.0,
            station: String::new(),
            station_km: 10.0,
            station_height_m: 20.0,
            is_the_station: false,
            warmth_k: 0.5,
            half_range_k: 0.3,
            ln_rain: 0.1,
        });
        let (mut within, mut above) = ([0_u32; 3], [0_u32; 3]);
        for seed in 0..4000 {
            let one = present(&climate, normal, Some(seed));
            let half = |high: f64, low: f64| 0.5 * (high - low);
            let middle = |high: f64, low: f64| 0.5 * (high + low);
            let was = (climate.high_c[3], climate.low_c[3]);
            let is = (one.high_c[3], one.low_c[3]);
            let off = [
                (middle(is.0, is.1) - middle(was.0, was.1)) / 0.5,
                (half(is.0, is.1) - half(was.0, was.1)) / 0.3,
                ln(one.rain_mm[3] / climate.rain_mm[3]) / 0.1,
            ];
            for part in 0..3 {
                within[part] += u32::from(off[part].abs() <= crate::numeric::student::TENTH_T);
                above[part] += u32::from(off[part] > 0.0);
            }
            assert!(one.low_c[0] < one.high_c[0] && one.rain_mm[0] > 0.0);
        }
        for part in 0..3 {
            assert!((3120..3280).contains(&within[part]), "{within:?}");
            assert!((1880..2120).contains(&above[part]), "{above:?}");
        }
        // The same of another bed.
        let again = || present(&climate, normal, Some(9));
        assert_eq!(again(), again());
    }

    /// Twenty years after the normals' middle; beds of other centuries by forty at most.
    #[test]
    fn it_is_warmer_than_the_normals_were() {
        let climate = Library::built_in().climate("Cambridge UK").unwrap().clone();
        let warmer_k =
            |year, seed| present(&climate, date(year, 5, 1), seed).low_c[6] - climate.low_c[6];
        assert!((warmer_k(2025, None) - 20.0 * WARMING.best).abs() < 1e-9);
        assert!((warmer_k(2199, None) - 40.0 * WARMING.best).abs() < 1e-9);
        assert!((warmer_k(1901, None) + 40.0 * WARMING.best).abs() < 1e-9);
        let mean_k = (0..2000)
            .map(|seed| warmer_k(2025, Some(seed)))
            .sum::<f64>()
            / 2000.0;
        assert!((mean_k - 20.0 * WARMING.best).abs() < 0.02, "{mean_k}");
    }
}
