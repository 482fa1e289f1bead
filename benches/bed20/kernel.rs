//! Our side: increments of exposure by a few fixed points a month, then the exact
//! step of pools and humus of `moulder_core`, with layers side by side: one layer of
//! many draws, or all layers of one bed.
//!
//! Every year is like the first, so each month's step is worked out once.
#![allow(
    clippy::inline_always,
    reason = "what is not inlined is not compiled for the level asked for"
)]

use core::array::from_fn;

use moulder_core::DAYS_PER_YEAR;
use moulder_core::decay::{HumusStep, Pool};
use moulder_core::elementary::{exp, ln};

use crate::level::{Level, Work};
use crate::problem::{Draw, LAYERS, MONTH_YEARS, MONTHS, POOLS, REFERENCE_C, carbon_kg, wave};
use crate::quadrature::Quadrature;

/// Points a month: two miss the accuracy, three leave some 1e-9.
const POINTS: usize = 3;
const MONTH_DAYS: f64 = DAYS_PER_YEAR / 12.0;

/// The yearly wave at every point of a year, which all draws share.
pub(crate) struct Kernel {
    weights: [f64; POINTS],
    /// By month of the year, point and layer.
    waves: [[[f64; LAYERS]; POINTS]; 12],
}

impl Kernel {
    pub(crate) fn new() -> Self {
        let quadrature = Quadrature::gauss(u32::try_from(POINTS).expect("a few points"));
        let at = |point: usize| quadrature.points[point];
        let mut start = 0.0;
        Self {
            weights: from_fn(|point| at(point).1),
            waves: from_fn(|_| {
                let month =
                    from_fn(|p| from_fn(|layer| wave(start + MONTH_YEARS * at(p).0, layer)));
                start += MONTH_YEARS;
                month
            }),
        }
    }

    /// Total carbon of `L` draws at each month end; kg.
    pub(crate) fn totals_of_draws_kg<const L: usize>(
        &self,
        level: Level,
        draws: &[Draw; L],
        totals: &mut [[f64; L]; MONTHS],
    ) {
        level.run(OfDraws {
            kernel: self,
            draws,
            totals,
        });
    }

    /// Total carbon of one bed at each month end; kg.
    pub(crate) fn totals_of_bed_kg(&self, level: Level, draw: &Draw, totals: &mut [f64; MONTHS]) {
        level.run(OfBed {
            kernel: self,
            draw,
            totals,
        });
    }
}

/// A layer of each of many draws, layer by layer.
struct OfDraws<'a, const L: usize> {
    kernel: &'a Kernel,
    draws: &'a [Draw; L],
    totals: &'a mut [[f64; L]; MONTHS],
}

impl<const L: usize> Work for OfDraws<'_, L> {
    #[inline(always)]
    fn run(self) {
        let Self {
            kernel,
            draws,
            totals,
        } = self;
        *totals = [[0.0; L]; MONTHS];
        for layer in 0..LAYERS {
            let wave = |month: usize, point: usize| [kernel.waves[month][point][layer]; L];
            let layers = Layers::new(&draws.each_ref().map(|draw| (draw, layer)));
            layers.march(&kernel.weights, wave, |month, layers_kg| {
                for lane in 0..L {
                    totals[month][lane] += layers_kg[lane];
                }
            });
        }
    }
}

/// All layers of one bed.
struct OfBed<'a> {
    kernel: &'a Kernel,
    draw: &'a Draw,
    totals: &'a mut [f64; MONTHS],
}

impl Work for OfBed<'_> {
    #[inline(always)]
    fn run(self) {
        let layers = Layers::<LAYERS>::new(&from_fn(|layer| (self.draw, layer)));
        let wave = |month: usize, point: usize| self.kernel.waves[month][point];
        layers.march(&self.kernel.weights, wave, |month, layers_kg| {
            // From the top down, as for many draws.
            self.totals[month] = layers_kg.iter().fold(0.0, |sum, layer_kg| sum + layer_kg);
        });
    }
}

/// Layers side by side.
struct Layers<const L: usize> {
    pools: [Pool<L>; POOLS],
    humus_per_day: [f64; L],
    /// The factor's logarithm is the level and the swing times the wave.
    level: [f64; L],
    swing: [f64; L],
    /// Carbon that pools start with; kg.
    start: [[f64; L]; POOLS],
}

// Loops, as closures over arrays are not always compiled into the function that calls:
// they would miss its processor level.
impl<const L: usize> Layers<L> {
    #[inline(always)]
    fn new(of: &[(&Draw, usize); L]) -> Self {
        let pool = Pool {
            rate_per_day: [0.0; L],
            humified: [0.0; L],
            kept: [0.0; L],
        };
        let mut layers = Self {
            pools: [pool; POOLS],
            humus_per_day: [0.0; L],
            level: [0.0; L],
            swing: [0.0; L],
            start: [[0.0; L]; POOLS],
        };
        for (lane, (draw, layer)) in of.iter().enumerate() {
            let steepness = 0.1 * ln(draw.q10);
            layers.level[lane] = steepness * (draw.mean_c - REFERENCE_C);
            layers.swing[lane] = steepness * draw.amplitude_c;
            layers.humus_per_day[lane] = draw.humus_per_year / DAYS_PER_YEAR;
            for pool in 0..POOLS {
                let of_pool = &mut layers.pools[pool];
                of_pool.rate_per_day[lane] = draw.rate_per_year(*layer, pool) / DAYS_PER_YEAR;
                of_pool.humified[lane] = draw.humified;
                layers.start[pool][lane] = carbon_kg(*layer, pool);
            }
        }
        layers
    }

    /// Tells the carbon of each layer, humus included, at each month end; kg.
    #[inline(always)]
    fn march(
        &self,
        weights: &[f64; POINTS],
        wave: impl Fn(usize, usize) -> [f64; L],
        mut tell: impl FnMut(usize, &[f64; L]),
    ) {
        let still = HumusStep::begin(&self.humus_per_day, &[0.0; L]);
        let mut steps = [still; 12];
        let mut pool_steps = [[still.of_pool(&self.pools[0], &[0.0; L]); POOLS]; 12];
        for month in 0..12 {
            let mut days = [0.0; L];
            for (point, weight) in weights.iter().enumerate() {
                let wave = wave(month, point);
                for lane in 0..L {
                    let factor = exp(self.level[lane] + self.swing[lane] * wave[lane]);
                    days[lane] += weight * MONTH_DAYS * factor;
                }
            }
            steps[month] = HumusStep::begin(&self.humus_per_day, &days);
            for pool in 0..POOLS {
                pool_steps[month][pool] = steps[month].of_pool(&self.pools[pool], &days);
            }
        }
        let mut carbon = self.start;
        let mut humus = [0.0; L];
        let mut released = [0.0; L];
        for first in (0..MONTHS).step_by(12) {
            for month in 0..12 {
                let mut step = steps[month];
                for (carbon, pool) in carbon.iter_mut().zip(&pool_steps[month]) {
                    step.feed_again(carbon, pool);
                }
                step.finish(&mut humus, &mut released);
                let mut total = humus;
                for lane in 0..L {
                    let first = carbon[0][lane] + carbon[1][lane];
                    let last = carbon[2][lane] + carbon[3][lane];
                    total[lane] += first + last;
                }
                tell(first + month, &total);
            }
        }
    }
}
