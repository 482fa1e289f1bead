//! First-order decay of carbon pools to carbon dioxide and humus.
//!
//! ```text
//! dC_p/dt = - k_p xi_p C_p                               (Olson 1963)
//! dC_h/dt = + sum_p g_p k_p xi_p C_p - k_h xi_h C_h
//! ```
//!
//! Over a step with each xi known by its integral X, pools are exact, and so is humus where the
//! xi stay proportional: with `a = k_p X_p` and `b = k_h X_h`, humus gains `sum g_p a C_p e^-b
//! phi(a - b)`, `phi(y) = (1 - e^-y)/y`, without cancellation at `a = b`.

use crate::math::elementary::{decay_and_mean, exp};
use crate::value::{Spread, Status, Value};

/// Decay rate of humus at 10 degC, moist and aerobic.
pub static HUMUS_RATE: Value = Value::new(
    0.02,
    Spread::new(0.01, 0.04),
    "1/yr",
    "arable topsoil loses 1-4 % of its organic matter a year (general literature)",
    Status::Memory,
);

/// Carbon content of humus; kg per kg dry.
pub const HUMUS_CARBON_SHARE: f64 = 0.58;

/// A first-order carbon pool, one bed per lane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pool<const L: usize> {
    /// Rate at 10 degC, moist and aerobic, for its particle size; 1/d.
    pub rate_per_day: [f64; L],
    /// Share of decayed carbon that becomes humus, 0..1.
    pub humification_coefficient: [f64; L],
    /// Share of processed carbon that decomposers return to the pool, 0..1, where the rate counts
    /// all remaining carbon and is thus net of it. See [`crate::law::nitrogen`].
    pub kept: [f64; L],
}

/// Humus balance of a slice over one step.
///
/// Start with [`HumusStep::begin`], pass every pool, then call [`HumusStep::finish`]. A copy of a
/// new step can be reused for steps of equal rate and exposure.
#[derive(Debug, Clone, Copy)]
pub struct HumusStep<const L: usize> {
    loss: [f64; L],
    kept: [f64; L],
    gained: [f64; L],
    rotted: [f64; L],
}

#[allow(
    clippy::inline_always,
    reason = "loops over lanes are compiled for the instruction set of the caller"
)]
impl<const L: usize> HumusStep<L> {
    /// Starts a step in which humus at `rate_per_day` is exposed for `soft_days`; their product
    /// must stay below 700 (about 10,000 years).
    #[inline(always)]
    #[must_use]
    pub fn begin(rate_per_day: &[f64; L], soft_days: &[f64; L]) -> Self {
        let mut step = Self {
            loss: [0.0; L],
            kept: [0.0; L],
            gained: [0.0; L],
            rotted: [0.0; L],
        };
        for lane in 0..L {
            step.loss[lane] = rate_per_day[lane] * soft_days[lane];
            step.kept[lane] = exp(-step.loss[lane]);
        }
        step
    }

    /// Exact decay of one pool of `carbon_kg`.
    #[inline(always)]
    pub fn feed(&mut self, carbon_kg: &mut [f64; L], pool: &Pool<L>, days: &[f64; L]) {
        self.feed_again(carbon_kg, &self.of_pool(pool, days));
    }

    /// Coefficients of a pool exposed for `days`, whatever its carbon: the costly part of
    /// [`HumusStep::feed`], for repeated steps.
    ///
    /// ```
    /// use moulder_core::law::decay::{HumusStep, Pool};
    ///
    /// let pool = Pool { rate_per_day: [0.01], humification_coefficient: [0.2], kept: [0.0] };
    /// let january = HumusStep::begin(&[1e-4], &[5.0]);
    /// let leaves = january.of_pool(&pool, &[5.0]);
    /// let (mut carbon_kg, mut humus_kg, mut released_kg) = ([2.0], [0.0], [0.0]);
    /// for _ in 0..20 {
    ///     let mut step = january;
    ///     step.feed_again(&mut carbon_kg, &leaves);
    ///     step.finish(&mut humus_kg, &mut released_kg);
    /// }
    /// assert!((carbon_kg[0] - 2.0 * (-1.0_f64).exp()).abs() < 1e-14);
    /// assert!((carbon_kg[0] + humus_kg[0] + released_kg[0] - 2.0).abs() < 1e-14);
    /// ```
    #[inline(always)]
    #[must_use]
    pub fn of_pool(&self, pool: &Pool<L>, days: &[f64; L]) -> PoolStep<L> {
        let mut of_pool = PoolStep {
            left: [0.0; L],
            mean: [0.0; L],
            made: [0.0; L],
        };
        for (lane, days) in days.iter().enumerate() {
            let a = pool.rate_per_day[lane] * days;
            // e^-a = e^-b e^-(a-b): one exponential serves the pool and its humus.
            let (left, mean) = decay_and_mean(a - self.loss[lane]);
            of_pool.left[lane] = left;
            of_pool.mean[lane] = mean;
            of_pool.made[lane] = pool.humification_coefficient[lane] * a;
        }
        of_pool
    }

    /// As [`HumusStep::feed`], bit for bit, with the coefficients of [`HumusStep::of_pool`] from
    /// a step of equal rate and exposure.
    #[inline(always)]
    pub fn feed_again(&mut self, carbon_kg: &mut [f64; L], pool: &PoolStep<L>) {
        for (lane, carbon_kg) in carbon_kg.iter_mut().enumerate() {
            let before = *carbon_kg;
            let kept = before * self.kept[lane];
            let after = kept * pool.left[lane];
            self.gained[lane] += pool.made[lane] * kept * pool.mean[lane];
            self.rotted[lane] += before - after;
            *carbon_kg = after;
        }
    }

    /// Humus at the end of the step, from the pools passed so far; kg.
    #[inline(always)]
    #[must_use]
    pub fn humus_kg(&self, before_kg: &[f64; L]) -> [f64; L] {
        core::array::from_fn(|lane| before_kg[lane] * self.kept[lane] + self.gained[lane])
    }

    /// Completes the humus balance and adds the released carbon.
    #[inline(always)]
    pub fn finish(self, humus_kg: &mut [f64; L], released_kg: &mut [f64; L]) {
        let after = self.humus_kg(humus_kg);
        for lane in 0..L {
            // Negative by rounding only.
            released_kg[lane] += (self.rotted[lane] + (humus_kg[lane] - after[lane])).max(0.0);
        }
        *humus_kg = after;
    }
}

/// Coefficients of one step of a pool; from [`HumusStep::of_pool`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PoolStep<const L: usize> {
    /// Share left, relative to that of humus.
    left: [f64; L],
    /// Mean of that share over the step.
    mean: [f64; L],
    /// Humus formed per kg at the initial rate.
    made: [f64; L],
}

/// Size factor of the decay rate: `(size/measured size)^exponent`.
///
/// From within-study regressions of published log rates on diameter; exponents are in the
/// library.
///
/// ```
/// use moulder_core::law::decay::size_factor;
/// assert!((size_factor(0.12, 0.12, -0.3) - 1.0).abs() < 1e-15);
/// assert!(size_factor(0.06, 0.12, -0.3) > 1.2);
/// ```
#[must_use]
pub fn size_factor(particle_size_m: f64, measured_m: f64, exponent: f64) -> f64 {
    crate::math::elementary::pow(particle_size_m / measured_m, exponent)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step(
        carbon: &mut [f64; 1],
        humus: &mut [f64; 1],
        a: f64,
        b: f64,
        humification_coefficient: f64,
    ) -> f64 {
        let pool = Pool {
            rate_per_day: [a],
            humification_coefficient: [humification_coefficient],
            kept: [0.0],
        };
        let mut released = [0.0];
        let mut humus_step = HumusStep::begin(&[b], &[1.0]);
        humus_step.feed(carbon, &pool, &[1.0]);
        humus_step.finish(humus, &mut released);
        released[0]
    }

    #[test]
    fn carbon_is_conserved_without_cancellation() {
        for (a, b) in [
            (0.3, 0.3),
            (0.3, 0.300_000_000_1),
            (4.0, 1e-4),
            (1e-9, 2.0),
            (0.0, 0.0),
        ] {
            let (mut carbon, mut humus) = ([2.0], [0.5]);
            let released = step(&mut carbon, &mut humus, a, b, 0.2);
            assert!((carbon[0] + humus[0] + released - 2.5).abs() < 1e-14);
            let shared = if (a - b).abs() < 1e-6 {
                a * libm::exp(-a)
            } else {
                a * (libm::exp(-b) - libm::exp(-a)) / (a - b)
            };
            assert!(
                (humus[0] - (0.5 * libm::exp(-b) + 0.2 * 2.0 * shared)).abs() < 1e-9,
                "{a} {b}"
            );
        }
    }

    /// Jenkinson 1977, J. Soil Sci. 28:424-434 (abstract): ryegrass carbon left in soil, 70 %
    /// with a half-life of 0.25 yr and 30 % of 8 yr, is about a third after one year and an
    /// eighth after ten. The curve counts all carbon, so humus formation is off.
    #[test]
    fn jenkinson_grass_curve() {
        let rates = [
            core::f64::consts::LN_2 / 0.25,
            core::f64::consts::LN_2 / 8.0,
        ];
        for (years, want, tolerance) in [(1.0, 1.0 / 3.0, 0.02), (10.0, 0.125, 0.005)] {
            let mut left = 0.0;
            for (share, rate) in [0.7, 0.3].into_iter().zip(rates) {
                let (mut carbon, mut humus) = ([share], [0.0]);
                step(&mut carbon, &mut humus, rate * years, 0.02 * years, 0.0);
                left += carbon[0] + humus[0];
            }
            assert!((left - want).abs() < tolerance, "{years} yr: {left}");
        }
    }

    /// Yatskov, Harmon & Krankina 2003, regression table (read): birch logs near
    /// St Petersburg, Y = 100 exp(-0.054 t): 58.3 % after 10 and 34.0 % after 20 years.
    #[test]
    fn yatskov_birch_logs() {
        for (years, want) in [(10.0, 58.3), (20.0, 34.0)] {
            let (mut carbon, mut humus) = ([100.0], [0.0]);
            step(&mut carbon, &mut humus, 0.054 * years, 0.0, 0.0);
            assert!((carbon[0] - want).abs() < 0.05, "{years} yr: {}", carbon[0]);
        }
    }
}
