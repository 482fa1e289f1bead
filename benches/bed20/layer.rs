//! Our side: a bed layer by layer, by exact steps of pools and humus of `moulder_core`.

use core::array::from_fn;

use moulder_core::DAYS_PER_YEAR;
use moulder_core::law::decay::{Fate, Pool};
use moulder_core::math::elementary::{exp, ln};

use crate::problem::{Draw, LAYERS, MONTHS, POOLS, REFERENCE_C, carbon_kg};

/// A way to step a layer through a problem.
pub(crate) trait Kernel {
    /// Reports the carbon of the layer, humus included, at each month end; kg.
    fn simulation(&self, layer: &Layer, tell: impl FnMut(usize, f64));

    /// Computes the total carbon of a bed at each month end; kg.
    fn totals_kg(&self, draw: &Draw, totals: &mut [f64; MONTHS]) {
        *totals = [0.0; MONTHS];
        for index in 0..LAYERS {
            let layer = Layer::new(draw, index);
            self.simulation(&layer, |month, layer_kg| totals[month] += layer_kg);
        }
    }
}

/// Parameters of a layer.
pub(crate) struct Layer {
    pub(crate) index: usize,
    pub(crate) pools: [Pool; POOLS],
    pub(crate) humus_per_day: f64,
    /// Logarithm of the decay factor per 1 degC.
    pub(crate) steepness: f64,
    /// Logarithm of the factor at the mean temperature, and per unit of the wave.
    level: f64,
    swing: f64,
    pub(crate) start: Carbon,
}

/// Carbon in a layer; kg.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Carbon {
    pub(crate) pools: [f64; POOLS],
    pub(crate) humus: f64,
}

impl Layer {
    fn new(draw: &Draw, index: usize) -> Self {
        let steepness = 0.1 * ln(draw.q10);
        Self {
            index,
            pools: from_fn(|pool| Pool {
                fate: Fate::Decayed,
                rate_per_day: draw.rate_per_year(index, pool) / DAYS_PER_YEAR,
                humification_coefficient: draw.humification_coefficient,
                kept: 0.0,
            }),
            humus_per_day: draw.humus_per_year / DAYS_PER_YEAR,
            steepness,
            level: steepness * (draw.mean_c - REFERENCE_C),
            swing: steepness * draw.amplitude_c,
            start: Carbon {
                pools: from_fn(|pool| carbon_kg(index, pool)),
                humus: 0.0,
            },
        }
    }

    /// The decay factor at this value of the annual wave.
    pub(crate) fn factor(&self, wave: f64) -> f64 {
        exp(self.level + self.swing * wave)
    }
}

impl Carbon {
    /// Sum; kg.
    pub(crate) fn total_kg(&self) -> f64 {
        self.pools.iter().sum::<f64>() + self.humus
    }
}
