//! The kernel for BED20: exposure increments by a few fixed points per month. Every year is
//! like the first, so each month's step is computed once.
#![allow(
    clippy::inline_always,
    reason = "what is not inlined is not compiled for the level asked for"
)]

use core::array::from_fn;

use moulder_core::DAYS_PER_YEAR;
use moulder_core::law::decay::HumusStep;

use crate::kernel::Kernel;
use crate::layers::Layers;
use crate::problem::{LAYERS, MONTH_YEARS, MONTHS, POOLS, wave};
use crate::quadrature::Quadrature;

/// Points per month: two miss the accuracy, three leave about 1e-9.
const POINTS: usize = 3;
const MONTH_DAYS: f64 = DAYS_PER_YEAR / 12.0;

/// The annual wave at each point of a year, shared by all realisations.
pub(crate) struct Plain {
    weights: [f64; POINTS],
    /// By month of the year, point and layer.
    waves: [[[f64; LAYERS]; POINTS]; 12],
}

impl Plain {
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
}

impl Kernel for Plain {
    #[inline(always)]
    fn simulation<const L: usize>(
        &self,
        layers: &Layers<L>,
        spread: impl Fn(&[f64; LAYERS]) -> [f64; L],
        mut tell: impl FnMut(usize, &[f64; L]),
    ) {
        // The months of a year, filled in as they come.
        let still = HumusStep::begin(&layers.humus_per_day, &[0.0; L]);
        let still_pool = still.of_pool(&layers.pools[0], &[0.0; L]);
        let mut year = [(still, [still_pool; POOLS]); 12];
        for ((step, pool_steps), waves) in year.iter_mut().zip(&self.waves) {
            let mut days = [0.0; L];
            for (wave, weight) in waves.iter().zip(self.weights) {
                let factor = layers.factor(&spread(wave));
                for lane in 0..L {
                    days[lane] += weight * MONTH_DAYS * factor[lane];
                }
            }
            *step = HumusStep::begin(&layers.humus_per_day, &days);
            for (pool_step, pool) in pool_steps.iter_mut().zip(&layers.pools) {
                *pool_step = step.of_pool(pool, &days);
            }
        }
        let mut carbon = layers.start;
        let mut released = [0.0; L];
        for first in (0..MONTHS).step_by(12) {
            for (month, (step, pool_steps)) in (first..).zip(&year) {
                let mut step = *step;
                for (carbon, pool_step) in carbon.pools.iter_mut().zip(pool_steps) {
                    step.feed_again(carbon, pool_step);
                }
                step.finish(&mut carbon.humus, &mut released);
                tell(month, &carbon.total_kg());
            }
        }
    }
}
