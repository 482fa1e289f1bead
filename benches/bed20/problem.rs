//! Two reference problems of five layers of four pools and humus, 20 years of months, under an
//! annual temperature wave: BED20, and BED20N with self-heating. All figures are invented for
//! timing.

use core::f64::consts::TAU;

/// Layers of the bed.
pub(crate) const LAYERS: usize = 5;
/// Carbon pools of a layer.
pub(crate) const POOLS: usize = 4;
/// Months of the forecast.
pub(crate) const MONTHS: usize = 240;
/// One month; years.
pub(crate) const MONTH_YEARS: f64 = 1.0 / 12.0;
/// Allowed relative deviation of total carbon at any month.
pub(crate) const ACCURACY: f64 = 1e-6;
/// Temperature at which the decay factor is 1; degC.
pub(crate) const REFERENCE_C: f64 = 15.0;

/// Warming of a layer per CO2-C at the unheated rates, below the limit; degC per kg/yr.
pub(crate) const HEAT_PER_CO2: f64 = 12.0 / 10.0;
/// Upper limit of the warming of a layer; degC.
pub(crate) const HEAT_LIMIT_C: f64 = 40.0;

/// Which of the two problems.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Problem {
    /// BED20, which is linear.
    Plain,
    /// BED20N, with self-heating.
    Heated,
}

const DEPTH_M: [f64; LAYERS] = [0.1, 0.3, 0.5, 0.7, 0.9];
const DAMPING_M: f64 = 1.8;
const COLDEST_TO_MEAN_YEARS: f64 = 0.3;
/// Rate factor of each layer.
pub(crate) const RATE_FACTOR: [f64; LAYERS] = [1.0, 1.2, 0.9, 0.7, 0.5];
const CARBON_KG: [f64; POOLS] = [4.0, 8.0, 10.0, 6.0];
const CARBON_FACTOR: [f64; LAYERS] = [0.6, 0.9, 1.1, 1.2, 1.3];

/// Initial carbon of a pool; kg.
pub(crate) fn carbon_kg(layer: usize, pool: usize) -> f64 {
    CARBON_KG[pool] * CARBON_FACTOR[layer]
}

/// A layer's depth in damping depths: damping and phase lag of the annual wave.
pub(crate) fn relative_depth(layer: usize) -> f64 {
    DEPTH_M[layer] / DAMPING_M
}

/// Phase of the annual wave at the surface.
pub(crate) fn angle(years: f64) -> f64 {
    TAU * (years - COLDEST_TO_MEAN_YEARS)
}

/// The annual wave in a layer, for a surface amplitude of 1.
pub(crate) fn wave(years: f64, layer: usize) -> f64 {
    let depth = relative_depth(layer);
    libm::exp(-depth) * libm::sin(angle(years) - depth)
}

/// One bed: the numbers that vary between realisations.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Draw {
    /// Rates of the pools in a layer of factor 1; 1/yr.
    pub(crate) base_per_year: [f64; POOLS],
    /// Share of decayed carbon that becomes humus.
    pub(crate) humification_coefficient: f64,
    /// Rate of humus; 1/yr.
    pub(crate) humus_per_year: f64,
    /// Decay factor per 10 degC (Q10).
    pub(crate) q10: f64,
    /// Annual mean temperature; degC.
    pub(crate) mean_c: f64,
    /// Surface amplitude of the annual wave; degC.
    pub(crate) amplitude_c: f64,
}

impl Draw {
    /// The nominal values.
    pub(crate) const NOMINAL: Self = Self {
        base_per_year: [6.0, 0.8, 0.15, 0.03],
        humification_coefficient: 0.2,
        humus_per_year: 0.02,
        q10: 2.2,
        mean_c: 10.0,
        amplitude_c: 8.0,
    };

    /// `count` realisations: the nominal one, then seeded ones.
    pub(crate) fn batch(count: usize) -> Vec<Self> {
        let mut normal = Normal::new(20);
        let mut draws = vec![Self::NOMINAL];
        draws.resize_with(count, || {
            let mut draw = Self::NOMINAL;
            for base in &mut draw.base_per_year {
                *base *= libm::exp(0.25 * normal.next());
            }
            draw.humification_coefficient *= libm::exp(0.15 * normal.next());
            draw.humus_per_year *= libm::exp(0.30 * normal.next());
            draw.q10 = (draw.q10 + 0.2 * normal.next()).clamp(1.5, 3.0);
            draw.mean_c += 1.5 * normal.next();
            draw.amplitude_c += normal.next();
            draw
        });
        draws
    }

    /// Rate of a pool; 1/yr.
    pub(crate) fn rate_per_year(&self, layer: usize, pool: usize) -> f64 {
        self.base_per_year[pool] * RATE_FACTOR[layer]
    }
}

/// Standard normal numbers: Knuth's 64-bit congruential generator through the transform of Box
/// & Muller.
struct Normal(u64);

impl Normal {
    fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// In (0, 1].
    fn uniform(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let top = u32::try_from(self.0 >> 32).expect("32 bits are left");
        (f64::from(top) + 1.0) / (f64::from(u32::MAX) + 1.0)
    }

    fn next(&mut self) -> f64 {
        let radius = libm::sqrt(-2.0 * libm::log(self.uniform()));
        radius * libm::cos(TAU * self.uniform())
    }
}
