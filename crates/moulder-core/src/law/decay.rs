//! First-order decay of carbon pools to carbon dioxide and humus.
//!
//! ```text
//! dC_p/dt = - k_p xi_p C_p                               (Olson 1963)
//! dC_h/dt = + sum_p g_p k_p xi_p C_p - k_h xi_h C_h
//! ```
//!
//! Sound wood is colonised first, and only colonised wood decays (two stages; Harmon et al. 1986,
//! Adv. Ecol. Res. 15:133-302, describe the lag; the linear chain is our own form of it):
//!
//! ```text
//! dA/dt = - l xi A,    dB/dt = + l xi A - k xi B
//! (A + B)/A_0 = (l e^(-k X) - k e^(-l X))/(l - k)
//! ```
//!
//! Colonising moves carbon from a pool to the next and frees nothing: carbon dioxide, humus, heat
//! and nitrogen follow `k B`.
//!
//! Over a step with each xi known by its integral X, pools are exact, and so is humus where the
//! xi stay proportional: with `a = k_p X_p` and `b = k_h X_h`, humus gains `sum g_p a C_p e^-b
//! phi(a - b)`, `phi(y) = (1 - e^-y)/y`, without cancellation at `a = b`; from wood colonised within
//! the step it gains `g k X l X A exp[-lX, -kX, -b]`, a divided difference of the second order.

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

/// Years from the start to the last look of a study of wood that does not tell them.
pub static STUDY_YEARS: Value = Value::new(
    8.0,
    Spread::new(3.0, 20.0),
    "yr",
    "our own judgement: studies of dead wood last a few years or look back over decades",
    Status::Judgement,
);

/// Share of sound wood that decomposers hold already when it is put in.
pub static COLONISED_ON_ARRIVAL: Value = Value::new(
    0.1,
    Spread::new(0.03, 0.3),
    "1",
    "our own judgement: wood lies for weeks to years between felling and filling",
    Status::Judgement,
);

/// Carbon content of humus; kg per kg dry.
pub const HUMUS_CARBON_SHARE: f64 = 0.58;

/// What becomes of the carbon that leaves a pool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Fate {
    /// Carbon dioxide and humus.
    #[default]
    Decayed,
    /// It passes to the next pool of the ingredient: sound wood that is colonised.
    Colonised,
}

/// A first-order carbon pool.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pool {
    /// What becomes of its carbon. The last pool of an ingredient decays.
    pub fate: Fate,
    /// Rate at 10 degC, moist and aerobic, for its particle size; 1/d.
    pub rate_per_day: f64,
    /// Share of decayed carbon that becomes humus, 0..1.
    pub humification_coefficient: f64,
    /// Share of processed carbon that decomposers return to the pool, 0..1, where the rate counts
    /// all remaining carbon and is thus net of it. See [`crate::law::nitrogen`].
    pub kept: f64,
}

/// Humus balance of a slice over one step.
///
/// Start with [`HumusStep::begin`], pass every pool, then call [`HumusStep::finish`]. A copy of a
/// new step can be reused for steps of equal rate and exposure.
#[derive(Debug, Clone, Copy)]
pub struct HumusStep {
    loss: f64,
    kept: f64,
    gained: f64,
    rotted: f64,
}

impl HumusStep {
    /// Starts a step in which humus at `rate_per_day` is exposed for `soft_days`; their product
    /// must stay below 700 (about 10,000 years).
    #[inline]
    #[must_use]
    pub fn begin(rate_per_day: f64, soft_days: f64) -> Self {
        let loss = rate_per_day * soft_days;
        Self {
            loss,
            kept: exp(-loss),
            gained: 0.0,
            rotted: 0.0,
        }
    }

    /// Exact decay of the pools of one ingredient, in the order of their rows.
    #[inline]
    pub fn feed_all(&mut self, rows: &mut [f64], pools: &[Pool], days: f64) {
        let mut sound = None;
        for (carbon_kg, pool) in rows.iter_mut().zip(pools) {
            match (pool.fate, sound.take()) {
                (Fate::Colonised, _) => sound = Some((carbon_kg, pool)),
                (Fate::Decayed, None) => self.feed(carbon_kg, pool, days),
                (Fate::Decayed, Some((sound_kg, colonised))) => {
                    let came_kg = self.colonise(sound_kg, colonised, pool, days);
                    self.feed(carbon_kg, pool, days);
                    *carbon_kg += came_kg;
                }
            }
        }
    }

    /// Sound wood that is colonised at the rate of `sound` and then decays as `pool`; what of it
    /// is in `pool` at the end; kg.
    #[inline]
    fn colonise(&mut self, sound_kg: &mut f64, sound: &Pool, pool: &Pool, days: f64) -> f64 {
        let before = *sound_kg;
        let a = sound.rate_per_day * days;
        let k = pool.rate_per_day * days;
        let (left, mean) = decay_and_mean(a - k);
        let decayed = exp(-k);
        *sound_kg = before * (decayed * left);
        let came = before * (a * decayed * mean);
        self.gained +=
            pool.humification_coefficient * before * (k * a * second_difference(a, k, self.loss));
        // Negative by rounding only.
        self.rotted += (before - *sound_kg - came).max(0.0);
        came
    }

    /// Exact decay of one pool of `carbon_kg`.
    #[inline]
    pub fn feed(&mut self, carbon_kg: &mut f64, pool: &Pool, days: f64) {
        self.feed_again(carbon_kg, &self.of_pool(pool, days));
    }

    /// Coefficients of a pool exposed for `days`, whatever its carbon: the costly part of
    /// [`HumusStep::feed`], for repeated steps.
    ///
    /// ```
    /// use moulder_core::law::decay::{Fate, HumusStep, Pool};
    ///
    /// let pool = Pool { fate: Fate::Decayed, rate_per_day: 0.01, humification_coefficient: 0.2, kept: 0.0 };
    /// let january = HumusStep::begin(1e-4, 5.0);
    /// let leaves = january.of_pool(&pool, 5.0);
    /// let (mut carbon_kg, mut humus_kg, mut released_kg) = (2.0, 0.0, 0.0);
    /// for _ in 0..20 {
    ///     let mut step = january;
    ///     step.feed_again(&mut carbon_kg, &leaves);
    ///     step.finish(&mut humus_kg, &mut released_kg);
    /// }
    /// assert!((carbon_kg - 2.0 * (-1.0_f64).exp()).abs() < 1e-14);
    /// assert!((carbon_kg + humus_kg + released_kg - 2.0).abs() < 1e-14);
    /// ```
    #[inline]
    #[must_use]
    pub fn of_pool(&self, pool: &Pool, days: f64) -> PoolStep {
        let a = pool.rate_per_day * days;
        // e^-a = e^-b e^-(a-b): one exponential serves the pool and its humus.
        let (left, mean) = decay_and_mean(a - self.loss);
        PoolStep {
            left,
            mean,
            made: pool.humification_coefficient * a,
        }
    }

    /// As [`HumusStep::feed`], bit for bit, with the coefficients of [`HumusStep::of_pool`] from
    /// a step of equal rate and exposure.
    #[inline]
    pub fn feed_again(&mut self, carbon_kg: &mut f64, pool: &PoolStep) {
        let before = *carbon_kg;
        let kept = before * self.kept;
        let after = kept * pool.left;
        self.gained += pool.made * kept * pool.mean;
        self.rotted += before - after;
        *carbon_kg = after;
    }

    /// Humus at the end of the step, from the pools passed so far; kg.
    #[inline]
    #[must_use]
    pub fn humus_kg(&self, before_kg: f64) -> f64 {
        before_kg * self.kept + self.gained
    }

    /// Completes the humus balance and adds the released carbon.
    #[inline]
    pub fn finish(self, humus_kg: &mut f64, released_kg: &mut f64) {
        let after = self.humus_kg(*humus_kg);
        // Negative by rounding only.
        *released_kg += (self.rotted + (*humus_kg - after)).max(0.0);
        *humus_kg = after;
    }
}

/// Coefficients of one step of a pool; from [`HumusStep::of_pool`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PoolStep {
    /// Share left, relative to that of humus.
    left: f64,
    /// Mean of that share over the step.
    mean: f64,
    /// Humus formed per kg at the initial rate.
    made: f64,
}

/// Divided difference of the second order of `exp(-t)` at three places from 0 up: the mean of
/// `exp(-t)` over their triangle, halved.
///
/// Relative error below 1e-10 (tested).
///
/// ```
/// use moulder_core::law::decay::second_difference;
/// assert_eq!(second_difference(0.0, 0.0, 0.0), 0.5);
/// ```
#[inline]
#[must_use]
pub fn second_difference(a: f64, b: f64, c: f64) -> f64 {
    let low = a.min(b).min(c);
    let high = a.max(b).max(c);
    let middle = a.min(b).max(a.max(b).min(c));
    let apart = high - low;
    // Close together the difference cancels, and the exponential is straight.
    if apart < 1e-5 {
        return 0.5 * exp(-(a + b + c) / 3.0);
    }
    let (to_middle, first) = decay_and_mean(middle - low);
    let (_, second) = decay_and_mean(high - middle);
    exp(-low) * (first - to_middle * second) / apart
}

/// Share of sound wood left after an exposure of `decay` by its decay rate (rate times time), when
/// it is colonised `ratio` times as fast; the ratio is above 1. See the module.
///
/// ```
/// use moulder_core::law::decay::two_stage_left;
///
/// assert_eq!(two_stage_left(0.0, 3.0), 1.0);
/// // Slow to start, then as fast as its colonised part.
/// assert!(two_stage_left(0.1, 3.0) > 0.98);
/// ```
#[must_use]
pub fn two_stage_left(decay: f64, ratio: f64) -> f64 {
    let (faster, mean) = decay_and_mean((ratio - 1.0) * decay);
    // l e^-k - k e^-l over l - k, as colonised and sound, without cancellation at a ratio of 1.
    exp(-decay) * (ratio * decay * mean + faster)
}

/// The two-stage decay of a published single rate: that which leaves as much after the
/// exposure `single` (published rate times the years of its study) as one exponential does,
/// colonised `ratio` times as fast as it decays, a share `colonised` of it from the start; a
/// factor on the rate, at least 1.
///
/// ```
/// use moulder_core::law::decay::{two_stage_factor, two_stage_left};
///
/// let factor = two_stage_factor(0.5, 3.0, 0.0);
/// assert!((two_stage_left(0.5 * factor, 3.0) - (-0.5_f64).exp()).abs() < 1e-12);
/// assert!((two_stage_factor(0.5, 3.0, 1.0) - 1.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn two_stage_factor(single: f64, ratio: f64, colonised: f64) -> f64 {
    let want = exp(-single);
    let left =
        |decay: f64| (1.0 - colonised) * two_stage_left(decay, ratio) + colonised * exp(-decay);
    // The delay is at most that of colonising alone, sqrt(2/(ratio X)) of a small exposure.
    let (mut low, mut high) = (1.0, 2.0);
    while left(high * single) > want && high < MAX_FACTOR {
        high *= 2.0;
    }
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if left(middle * single) > want {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// No factor of [`two_stage_factor`] is larger: an exposure of 1e-8 would have one of 1e4.
const MAX_FACTOR: f64 = 65_536.0;

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
        carbon: &mut f64,
        humus: &mut f64,
        a: f64,
        b: f64,
        humification_coefficient: f64,
    ) -> f64 {
        let pool = Pool {
            fate: Fate::Decayed,
            rate_per_day: a,
            humification_coefficient,
            kept: 0.0,
        };
        let mut released = 0.0;
        let mut humus_step = HumusStep::begin(b, 1.0);
        humus_step.feed(carbon, &pool, 1.0);
        humus_step.finish(humus, &mut released);
        released
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
            let (mut carbon, mut humus) = (2.0, 0.5);
            let released = step(&mut carbon, &mut humus, a, b, 0.2);
            assert!((carbon + humus + released - 2.5).abs() < 1e-14);
            let shared = if (a - b).abs() < 1e-6 {
                a * libm::exp(-a)
            } else {
                a * (libm::exp(-b) - libm::exp(-a)) / (a - b)
            };
            assert!(
                (humus - (0.5 * libm::exp(-b) + 0.2 * 2.0 * shared)).abs() < 1e-9,
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
                let (mut carbon, mut humus) = (share, 0.0);
                step(&mut carbon, &mut humus, rate * years, 0.02 * years, 0.0);
                left += carbon + humus;
            }
            assert!((left - want).abs() < tolerance, "{years} yr: {left}");
        }
    }

    /// Yatskov, Harmon & Krankina 2003, regression table (read): birch logs near
    /// St Petersburg, Y = 100 exp(-0.054 t): 58.3 % after 10 and 34.0 % after 20 years.
    #[test]
    fn yatskov_birch_logs() {
        for (years, want) in [(10.0, 58.3), (20.0, 34.0)] {
            let (mut carbon, mut humus) = (100.0, 0.0);
            step(&mut carbon, &mut humus, 0.054 * years, 0.0, 0.0);
            assert!((carbon - want).abs() < 0.05, "{years} yr: {carbon}");
        }
    }

    /// Against the mean over the triangle, by Simpson's rule on the integral
    /// `exp[a,b,c] = int_0^1 s exp(-c(1-s)) exp(-b s) phi((a - b) s) ds`.
    #[test]
    fn second_differences_by_quadrature() {
        let near = |a: f64, b: f64, c: f64| {
            let steps = 4000_u32;
            let term = |s: f64| {
                let y = (a - b) * s;
                let mean = if y.abs() < 1e-12 {
                    1.0
                } else {
                    -libm::expm1(-y) / y
                };
                s * libm::exp(-c * (1.0 - s) - b * s) * mean
            };
            let sum: f64 = (0..=steps)
                .map(|i| {
                    let weight = match i {
                        0 => 1.0,
                        _ if i == steps => 1.0,
                        _ if i % 2 == 1 => 4.0,
                        _ => 2.0,
                    };
                    weight * term(f64::from(i) / f64::from(steps))
                })
                .sum();
            sum / (3.0 * f64::from(steps))
        };
        let exposures = [0.0, 1e-9, 1e-6, 2e-5, 0.01, 0.010_001, 0.3, 1.0, 4.0];
        for a in exposures {
            for b in exposures {
                for c in exposures {
                    let got = second_difference(a, b, c);
                    assert!(
                        (got / near(a, b, c) - 1.0).abs() < 1e-10,
                        "{a} {b} {c}: {got:e}"
                    );
                }
            }
        }
    }

    /// Equal rates of both stages give the sigmoid `1 - (1 - e^-kt)^2` at a ratio of 2 only;
    /// at 2, `2 e^-k - e^-2k` is the same. A large ratio is one exponential.
    #[test]
    fn two_stages_at_their_limits() {
        for k in [0.01, 0.3, 1.0, 3.0] {
            let gone = -libm::expm1(-k);
            assert!((two_stage_left(k, 2.0) - (1.0 - gone * gone)).abs() < 1e-14);
            assert!((two_stage_left(k, 1e9) - libm::exp(-k)).abs() < 1e-8);
            assert!((two_stage_left(k, 1.0) - (1.0 + k) * libm::exp(-k)).abs() < 1e-14);
        }
    }

    /// At a ratio of 2 the factor has a closed form, `-ln(1 - sqrt(1 - e^-X))/X` (derived):
    /// 3.7, 1.97, 1.59 and 1.33 at X of 0.1, 0.5, 1 and 2.
    #[test]
    fn factors_of_published_rates() {
        for (single, want) in [(0.1, 3.7), (0.5, 1.97), (1.0, 1.59), (2.0, 1.33)] {
            let closed = -libm::log(1.0 - libm::sqrt(-libm::expm1(-single))) / single;
            let factor = two_stage_factor(single, 2.0, 0.0);
            assert!((factor / closed - 1.0).abs() < 1e-9, "{single}: {factor}");
            assert!((factor - want).abs() < 0.03, "{single}: {factor}");
        }
        assert!((two_stage_factor(1e-8, 2.0, 0.0) * 1e-8 / 1e-4 - 1.0).abs() < 1e-3);
    }

    /// Branches of 1.5 cm and logs of 7 cm of 22 species on the ground near Sydney (open survey
    /// of wood decay, all pieces; read): share of the mass left after 7, 13, 25, 37 and 59
    /// months. The form follows both with one free rate each.
    #[test]
    fn two_stages_follow_the_survey_of_sydney() {
        const MONTHS: [f64; 5] = [7.0, 13.0, 25.0, 37.0, 59.0];
        for seen in [
            [0.933, 0.841, 0.628, 0.465, 0.240],
            [0.961, 0.915, 0.718, 0.557, 0.368],
        ] {
            let rmse = |left: &dyn Fn(f64) -> f64| {
                let off = MONTHS
                    .iter()
                    .zip(seen)
                    .map(|(m, seen)| left(m / 12.0) - seen);
                libm::sqrt(off.map(|off| off * off).sum::<f64>() / 5.0)
            };
            let best = |left: &dyn Fn(f64, f64) -> f64| {
                (1..2000)
                    .map(|i| f64::from(i) * 1e-3)
                    .map(|k| rmse(&|years| left(k, years)))
                    .fold(f64::INFINITY, f64::min)
            };
            for ratio in [2.0, 3.5, 5.0] {
                let two = best(&|k, years| two_stage_left(k * years, ratio));
                assert!(two < 0.03, "{ratio}: {two}");
            }
            let one = best(&|k, years| libm::exp(-k * years));
            assert!(one > 0.03, "one stage: {one}");
        }
    }
}
