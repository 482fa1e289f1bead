//! The other side: `Dopri5` of `ode_solvers` on vectors of fixed size, with dense
//! output at every month: the fastest way that the library offers for this problem.

use moulder_core::elementary::{exp, ln};
use nalgebra::SVector;
use ode_solvers::{Dopri5, System};

use crate::problem::{
    Draw, LAYERS, MONTH_YEARS, MONTHS, POOLS, REFERENCE_C, angle, carbon_kg, relative_depth,
};

const SLOTS: usize = POOLS + 1;
const QUANTITIES: usize = LAYERS * SLOTS;
type Carbon = SVector<f64, QUANTITIES>;

/// How far a step may be off.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tolerance {
    /// As a share.
    pub(crate) relative: f64,
    /// kg.
    pub(crate) absolute: f64,
}

/// The rates of a bed, with everything that is constant worked out beforehand.
struct Bed {
    rates: [[f64; POOLS]; LAYERS],
    humified: f64,
    humus_per_year: f64,
    /// The factor's logarithm is `level + sine part sin + cosine part cos`.
    level: f64,
    sine_part: [f64; LAYERS],
    cosine_part: [f64; LAYERS],
}

impl Bed {
    fn new(draw: &Draw) -> Self {
        let steepness = 0.1 * ln(draw.q10);
        let swing = |layer: usize| steepness * draw.amplitude_c * libm::exp(-relative_depth(layer));
        Self {
            rates: core::array::from_fn(|layer| {
                core::array::from_fn(|pool| draw.rate_per_year(layer, pool))
            }),
            humified: draw.humified,
            humus_per_year: draw.humus_per_year,
            level: steepness * (draw.mean_c - REFERENCE_C),
            sine_part: core::array::from_fn(|layer| {
                swing(layer) * libm::cos(relative_depth(layer))
            }),
            cosine_part: core::array::from_fn(|layer| {
                -swing(layer) * libm::sin(relative_depth(layer))
            }),
        }
    }
}

impl System<f64, Carbon> for Bed {
    fn system(&self, years: f64, carbon: &Carbon, out: &mut Carbon) {
        let (sine, cosine) = libm::sincos(angle(years));
        let mut factors = [0.0; LAYERS];
        for (layer, factor) in factors.iter_mut().enumerate() {
            *factor =
                exp(self.level + self.sine_part[layer] * sine + self.cosine_part[layer] * cosine);
        }
        for (layer, factor) in factors.into_iter().enumerate() {
            let first = layer * SLOTS;
            let mut lost = 0.0;
            for pool in 0..POOLS {
                let loss = self.rates[layer][pool] * factor * carbon[first + pool];
                out[first + pool] = -loss;
                lost += loss;
            }
            let humus_loss = self.humus_per_year * factor * carbon[first + POOLS];
            out[first + POOLS] = self.humified * lost - humus_loss;
        }
    }
}

/// Works out total carbon at each month end, in kg, and returns how many times the
/// rates were worked out; `None` when the method gives up.
pub(crate) fn totals_kg(
    draw: &Draw,
    tolerance: Tolerance,
    totals: &mut [f64; MONTHS],
) -> Option<u32> {
    let mut carbon = Carbon::zeros();
    for layer in 0..LAYERS {
        for pool in 0..POOLS {
            carbon[layer * SLOTS + pool] = carbon_kg(layer, pool);
        }
    }
    // A little beyond the last month: an output that falls on the end of the span is
    // extrapolated from an earlier step.
    let end = 20.0 + 1e-6;
    let mut stepper = Dopri5::new(
        Bed::new(draw),
        0.0,
        end,
        MONTH_YEARS,
        carbon,
        tolerance.relative,
        tolerance.absolute,
    );
    let stats = stepper.integrate().ok()?;
    let outputs = stepper.y_out().get(1..=MONTHS)?;
    for (total, carbon) in totals.iter_mut().zip(outputs) {
        *total = carbon.sum();
    }
    Some(stats.num_eval)
}
