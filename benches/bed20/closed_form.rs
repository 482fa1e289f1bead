//! Reference solution for both sides: pools as exponentials of the integral of the temperature
//! factor, humus by the exact formula, since all pools of a layer share one factor.
//!
//! It uses no code of either side: its functions are those of `libm`.

use crate::problem::{Draw, LAYERS, MONTH_YEARS, MONTHS, POOLS, REFERENCE_C, carbon_kg, wave};
use crate::quadrature::Quadrature;

/// Points per month: far more than the integral needs for 1e-12.
const POINTS: u32 = 64;

/// The annual wave at each point of a year.
pub(crate) struct ClosedForm {
    quadrature: Quadrature,
    /// By layer, month of the year and point.
    waves: [[Vec<f64>; 12]; LAYERS],
}

impl ClosedForm {
    pub(crate) fn new() -> Self {
        let quadrature = Quadrature::gauss(POINTS);
        let waves = core::array::from_fn(|layer| {
            let mut start = 0.0;
            core::array::from_fn(|_| {
                let at = |(node, _): &(f64, f64)| wave(start + MONTH_YEARS * node, layer);
                let month = quadrature.points.iter().map(at).collect();
                start += MONTH_YEARS;
                month
            })
        });
        Self { quadrature, waves }
    }

    /// Total carbon at each month end; kg.
    pub(crate) fn totals_kg(&self, draw: &Draw) -> Vec<f64> {
        let mut totals = vec![0.0; MONTHS];
        for layer in 0..LAYERS {
            let increments: [f64; 12] = core::array::from_fn(|month| {
                let waves = &self.waves[layer][month];
                let factors = self
                    .quadrature
                    .points
                    .iter()
                    .zip(waves)
                    .map(|(point, wave)| {
                        let temperature_c = draw.mean_c + draw.amplitude_c * wave;
                        point.1 * libm::pow(draw.q10, (temperature_c - REFERENCE_C) / 10.0)
                    });
                MONTH_YEARS * factors.sum::<f64>()
            });
            let mut exposure = 0.0;
            for (total, increment) in totals.iter_mut().zip(increments.iter().cycle()) {
                exposure += increment;
                *total += layer_kg(draw, layer, exposure);
            }
        }
        totals
    }
}

/// Carbon of a layer, humus included, after an exposure of that many years at 15 degC; kg.
fn layer_kg(draw: &Draw, layer: usize, exposure: f64) -> f64 {
    let humus_left = libm::exp(-draw.humus_per_year * exposure);
    (0..POOLS)
        .map(|pool| {
            let rate = draw.rate_per_year(layer, pool);
            let faster = rate - draw.humus_per_year;
            let mean = if libm::fabs(faster) * exposure < 1e-12 {
                exposure
            } else {
                -libm::expm1(-faster * exposure) / faster
            };
            let humus = draw.humification_coefficient * rate * humus_left * mean;
            carbon_kg(layer, pool) * (libm::exp(-rate * exposure) + humus)
        })
        .sum()
}

/// Largest relative deviation of `totals` from `exact`.
pub(crate) fn off_by(totals: &[f64], exact: &[f64]) -> f64 {
    assert_eq!(totals.len(), exact.len(), "one total a month");
    let off = |(total, exact): (&f64, &f64)| (total / exact - 1.0).abs();
    // NaN counts as an infinite deviation.
    let far = |off: f64| if off.is_nan() { f64::INFINITY } else { off };
    totals
        .iter()
        .zip(exact)
        .map(off)
        .map(far)
        .fold(0.0, f64::max)
}
