//! Snow: what of the precipitation lies as snow, how it melts, and what it keeps from the bed.
//!
//! Where only the mean of several days is known, their means are taken to be spread about it by a
//! logistic distribution, for which share and melt have closed forms.

use crate::math::elementary::{exp, ln, sqrt};
use crate::value::{Spread, Status, Value};

/// Daily mean temperature at which half of the precipitation falls as snow.
pub static HALF_SNOW: Value = Value::new(
    1.0,
    Spread::new(-0.4, 2.4),
    "degC",
    "Jennings, Winchell, Livneh & Molotch 2018, Nature Communications 9:1148, abstract: 17.8 million observations of the northern hemisphere, mean 1.0, 95 % of stations within the spread",
    Status::Read,
);

/// Scale of the logistic share of snow about that temperature.
pub static SNOW_WIDTH: Value = Value::new(
    0.8,
    Spread::new(0.5, 1.2),
    "K",
    "our own closure: nine tenths snow some 2 K below, nine tenths rain 2 K above; the same paper finds 0.6 to 3.4 degC the least certain",
    Status::Judgement,
);

/// Melt for each degree of the daily mean above 0 degC.
pub static MELT: Value = Value::new(
    3.5,
    Spread::new(2.0, 5.0),
    "mm/K/d",
    "degree-day method: usual range for open ground",
    Status::Memory,
);

/// Standard deviation of daily mean temperatures about their monthly mean, for each kelvin
/// between the coldest and the warmest month.
pub static DAY_TO_DAY: Value = Value::new(
    0.20,
    Spread::new(0.15, 0.25),
    "K/K",
    "our own ratio, December to February in eight daily records: 0.18 to 0.23 in the Netherlands, 0.19 in Milwaukee; tests/snow.rs works it out again",
    Status::Read,
);

/// By what share of that standard deviation days of rain or snow are warmer in winter.
pub static WARMER_IN_RAIN: Value = Value::new(
    0.5,
    Spread::new(0.3, 0.6),
    "1",
    "our own mean weighted by precipitation, December to February in the same eight records: 0.32 to 0.56",
    Status::Read,
);

/// Snow that keeps all but `1/e` of the frost from what lies below it, as water.
pub static INSULATING: Value = Value::new(
    50.0,
    Spread::new(25.0, 100.0),
    "mm",
    "our own closure: an exponential of the depth, as Rankinen, Karvonen & Butterfield 2004, Hydrol. Earth Syst. Sci. 8:706-716 (title read, form from memory); 20 cm of settled snow",
    Status::Judgement,
);

/// Snow that hides all but `1/e` of the surface, as water.
pub static HIDING: Value = Value::new(
    3.0,
    Spread::new(1.5, 6.0),
    "mm",
    "our own closure: some 3 cm of fresh snow",
    Status::Judgement,
);

/// Daily mean temperatures of a time.
///
/// ```
/// use moulder_core::law::snow::Days;
///
/// let winter = Days::about(-2.0, 3.0);
/// assert!(winter.snow_share() > 0.6 && winter.melt_mm() > 0.5);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Days {
    mean_c: f64,
    /// Mean of those with precipitation; degC.
    wet_c: f64,
    /// Scale of the logistic distribution of daily means; K.
    scale_k: f64,
}

impl Days {
    /// Days with that mean temperature in degC and that standard deviation of their means about
    /// it in K, 0 for a single day.
    #[must_use]
    pub fn about(mean_c: f64, deviation_k: f64) -> Self {
        let deviation_k = deviation_k.max(0.0);
        Self {
            mean_c,
            wet_c: mean_c + WARMER_IN_RAIN.best * deviation_k,
            // A logistic distribution of scale s has the standard deviation pi s / sqrt 3.
            scale_k: deviation_k * (sqrt(3.0) / core::f64::consts::PI),
        }
    }

    /// The share of their precipitation that falls as snow; 0 to 1.
    #[must_use]
    pub fn snow_share(self) -> f64 {
        let width_k = sqrt(SNOW_WIDTH.best * SNOW_WIDTH.best + self.scale_k * self.scale_k);
        1.0 / (1.0 + exp((self.wet_c - HALF_SNOW.best) / width_k))
    }

    /// Snow that melts on one of them, where so much lies; mm of water.
    #[must_use]
    pub fn melt_mm(self) -> f64 {
        // The mean of what a logistic distribution has above 0; for a narrow one the limit.
        let ratio = self.mean_c / self.scale_k.max(f64::MIN_POSITIVE);
        let above_k = if ratio.abs() > 30.0 {
            self.mean_c.max(0.0)
        } else {
            self.scale_k * ln(1.0 + exp(ratio))
        };
        MELT.best * above_k
    }
}

/// The share of the frost that passes a cover of snow, as water in mm; 0 to 1.
#[must_use]
pub fn frost_share(snow_mm: f64) -> f64 {
    exp(-snow_mm.max(0.0) / INSULATING.best)
}

/// The share of the surface that is free of snow, as water in mm; 0 to 1.
#[must_use]
pub fn bare_share(snow_mm: f64) -> f64 {
    exp(-snow_mm.max(0.0) / HIDING.best)
}

#[cfg(test)]
mod tests {
    use super::{Days, HALF_SNOW, MELT, WARMER_IN_RAIN, bare_share, frost_share};

    /// Jennings et al. 2018: as much snow as rain at 1.0 degC, and the two ends.
    #[test]
    fn half_falls_as_snow_at_one_degree() {
        for deviation_k in [0.0, 3.0] {
            let mean_c = HALF_SNOW.best - WARMER_IN_RAIN.best * deviation_k;
            let half = Days::about(mean_c, deviation_k).snow_share();
            assert!((half - 0.5).abs() < 1e-12);
        }
        assert!(Days::about(-5.0, 0.0).snow_share() > 0.99);
        assert!(Days::about(8.0, 0.0).snow_share() < 0.01);
        assert!(Days::about(6.0, 5.0).snow_share() > 0.05);
    }

    /// Melt of spread days is the mean of that of the days, summed over the quantiles of the
    /// logistic distribution.
    #[test]
    fn melt_of_spread_days_is_the_mean_of_theirs() {
        for (mean_c, deviation_k) in [(-6.0, 4.0), (0.0, 2.0), (3.0, 5.0), (12.0, 1.0)] {
            let scale = deviation_k * libm::sqrt(3.0) / core::f64::consts::PI;
            let count = 200_000;
            let mean_mm: f64 = (0..count)
                .map(|at| {
                    let share = (f64::from(at) + 0.5) / f64::from(count);
                    let day_c = mean_c + scale * libm::log(share / (1.0 - share));
                    Days::about(day_c, 0.0).melt_mm()
                })
                .sum::<f64>()
                / f64::from(count);
            let got_mm = Days::about(mean_c, deviation_k).melt_mm();
            assert!((got_mm - mean_mm).abs() < 1e-3, "{got_mm} {mean_mm}");
        }
        assert!((Days::about(2.0, 0.0).melt_mm() - 2.0 * MELT.best).abs() < 1e-12);
    }

    #[test]
    fn shares_stay_shares() {
        for c in [-1e9, -60.0, 0.0, 60.0, 1e9] {
            for deviation_k in [0.0, 1e-300, 1.0, 1e9] {
                let days = Days::about(c, deviation_k);
                assert!((0.0..=1.0).contains(&days.snow_share()));
                assert!(days.melt_mm() >= 0.0 && days.melt_mm().is_finite());
            }
        }
        for mm in [-1.0, 0.0, 1e9] {
            assert!((0.0..=1.0).contains(&frost_share(mm)));
            assert!((0.0..=1.0).contains(&bare_share(mm)));
        }
    }
}
