//! Layers side by side: one layer of many realisations, or all layers of one bed.
#![allow(
    clippy::inline_always,
    reason = "what is not inlined is not compiled for the level asked for"
)]

use moulder_core::DAYS_PER_YEAR;
use moulder_core::law::decay::{Fate, Pool};
use moulder_core::math::elementary::{exp, ln};

use crate::problem::{Draw, POOLS, REFERENCE_C, carbon_kg};

/// Parameters of layers, one per lane.
pub(crate) struct Layers<const L: usize> {
    pub(crate) pools: [Pool<L>; POOLS],
    pub(crate) humus_per_day: [f64; L],
    /// Logarithm of the decay factor per 1 degC.
    pub(crate) steepness: [f64; L],
    /// Logarithm of the factor at the mean temperature, and per unit of the wave.
    level: [f64; L],
    swing: [f64; L],
    pub(crate) start: Carbon<L>,
}

/// Carbon in layers; kg.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Carbon<const L: usize> {
    pub(crate) pools: [[f64; L]; POOLS],
    pub(crate) humus: [f64; L],
}

// Loops, no closures over arrays: those are not always inlined.
impl<const L: usize> Layers<L> {
    #[inline(always)]
    pub(crate) fn new(of: &[(&Draw, usize); L]) -> Self {
        let pool = Pool {
            fate: Fate::Decayed,
            rate_per_day: [0.0; L],
            humification_coefficient: [0.0; L],
            kept: [0.0; L],
        };
        let mut layers = Self {
            pools: [pool; POOLS],
            humus_per_day: [0.0; L],
            steepness: [0.0; L],
            level: [0.0; L],
            swing: [0.0; L],
            start: Carbon {
                pools: [[0.0; L]; POOLS],
                humus: [0.0; L],
            },
        };
        for (lane, (draw, layer)) in of.iter().enumerate() {
            let steepness = 0.1 * ln(draw.q10);
            layers.steepness[lane] = steepness;
            layers.level[lane] = steepness * (draw.mean_c - REFERENCE_C);
            layers.swing[lane] = steepness * draw.amplitude_c;
            layers.humus_per_day[lane] = draw.humus_per_year / DAYS_PER_YEAR;
            for pool in 0..POOLS {
                let of_pool = &mut layers.pools[pool];
                of_pool.rate_per_day[lane] = draw.rate_per_year(*layer, pool) / DAYS_PER_YEAR;
                of_pool.humification_coefficient[lane] = draw.humification_coefficient;
                layers.start.pools[pool][lane] = carbon_kg(*layer, pool);
            }
        }
        layers
    }

    /// The decay factor at this value of the annual wave.
    #[inline(always)]
    pub(crate) fn factor(&self, wave: &[f64; L]) -> [f64; L] {
        let mut factor = [0.0; L];
        for lane in 0..L {
            factor[lane] = exp(self.level[lane] + self.swing[lane] * wave[lane]);
        }
        factor
    }
}

impl<const L: usize> Carbon<L> {
    /// Sum over a layer; kg.
    #[inline(always)]
    pub(crate) fn total_kg(&self) -> [f64; L] {
        let mut total = self.humus;
        let [a, b, c, d] = &self.pools;
        for lane in 0..L {
            total[lane] += (a[lane] + b[lane]) + (c[lane] + d[lane]);
        }
        total
    }
}
