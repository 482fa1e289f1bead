//! The kernel for BED20: exposure increments by a few fixed points per month. Every year is
//! like the first, so each month's step is computed once.

use core::array::from_fn;

use moulder_core::DAYS_PER_YEAR;
use moulder_core::law::decay::HumusStep;

use crate::layer::{Kernel, Layer};
use crate::problem::{LAYERS, MONTH_YEARS, MONTHS, wave};
use crate::quadrature::Quadrature;

/// Points per month: two miss the accuracy, three leave about 1e-9.
const POINTS: usize = 3;
const MONTH_DAYS: f64 = DAYS_PER_YEAR / 12.0;

/// The annual wave at each point of a year, shared by all realisations.
pub(crate) struct Plain {
    weights: [f64; POINTS],
    /// By layer, month of the year and point.
    waves: [[[f64; POINTS]; 12]; LAYERS],
}

impl Plain {
    pub(crate) fn new() -> Self {
        let quadrature = Quadrature::gauss(u32::try_from(POINTS).expect("a few points"));
        let at = |point: usize| quadrature.points[point];
        let waves_of = |layer| {
            let mut start = 0.0;
            from_fn(|_| {
                let month = from_fn(|point| wave(start + MONTH_YEARS * at(point).0, layer));
                start += MONTH_YEARS;
                month
            })
        };
        Self {
            weights: from_fn(|point| at(point).1),
            waves: from_fn(waves_of),
        }
    }
}

impl Kernel for Plain {
    fn simulation(&self, layer: &Layer, mut tell: impl FnMut(usize, f64)) {
        let year = self.waves[layer.index].map(|waves| {
            let mut days = 0.0;
            for (wave, weight) in waves.into_iter().zip(self.weights) {
                days += weight * MONTH_DAYS * layer.factor(wave);
            }
            let step = HumusStep::begin(layer.humus_per_day, days);
            let pool_steps = layer.pools.each_ref().map(|pool| step.of_pool(pool, days));
            (step, pool_steps)
        });
        let mut carbon = layer.start;
        let mut released = 0.0;
        for (month, (step, pool_steps)) in (0..MONTHS).zip(year.iter().cycle()) {
            let mut step = *step;
            for (carbon, pool_step) in carbon.pools.iter_mut().zip(pool_steps) {
                step.feed_again(carbon, pool_step);
            }
            step.finish(&mut carbon.humus, &mut released);
            tell(month, carbon.total_kg());
        }
    }
}
