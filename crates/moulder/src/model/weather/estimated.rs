//! The climate of a realisation, where it was estimated: off by its spread, all months together.

use moulder_core::math::elementary::exp;
use rand_pcg::Pcg64;

use crate::library::climates::{Climate, Estimate};
use crate::numeric::normal::below;
use crate::numeric::prior::FARTHEST_Z;
use crate::numeric::student::quantile;
use crate::numeric::uniform::part;

/// Stream of the random number generator for the climate; the next one is that of the years.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf93;
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

/// The climate as it may be: its normals, or in a realisation what an estimate may be off by.
pub(super) fn realised(climate: &Climate, seed: u64) -> Climate {
    let mut realised = climate.clone();
    let Some(estimate) = &climate.estimate else {
        return realised;
    };
    let errors = Errors::of(estimate, seed);
    for month in 0..12 {
        let (high_c, low_c) = (climate.high_c[month], climate.low_c[month]);
        let middle_c = 0.5 * (high_c + low_c) + errors.warmer_k;
        let half_k = 0.5 * (high_c - low_c);
        let half_k = (half_k + errors.wider_k).max(LEAST_RANGE * half_k);
        realised.high_c[month] = middle_c + half_k;
        realised.low_c[month] = middle_c - half_k;
        realised.rain_mm[month] *= errors.wetter;
    }
    realised
}

#[cfg(test)]
mod tests {
    use moulder_core::math::elementary::ln;

    use super::realised;
    use crate::library::Library;
    use crate::library::climates::Estimate;

    /// Of 4000 realisations, four in five of the year's warmth, range and rain lie within the
    /// interval of each (the standard error is 0.6 %), and half on either side.
    #[test]
    fn realisations_have_the_spread() {
        let mut climate = Library::built_in().climate("Cambridge UK").unwrap().clone();
        assert_eq!(realised(&climate, 7), climate);
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
            let one = realised(&climate, seed);
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
        assert_eq!(realised(&climate, 9), realised(&climate, 9));
    }
}
