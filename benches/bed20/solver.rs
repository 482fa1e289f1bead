//! The other side: the explicit methods of `ode_solvers` on vectors of fixed size, with dense
//! output at every month, the fastest that the library offers for these problems.

use moulder_core::math::elementary::{exp, ln};
use nalgebra::SVector;
use ode_solvers::dop_shared::{IntegrationError, Stats};
use ode_solvers::{Dop853, Dopri5, System};

use crate::problem::{
    Draw, HEAT_LIMIT_C, HEAT_PER_CO2, LAYERS, MONTH_YEARS, MONTHS, POOLS, Problem, REFERENCE_C,
    angle, carbon_kg, relative_depth,
};

const SLOTS: usize = POOLS + 1;
const QUANTITIES: usize = LAYERS * SLOTS;
/// Carbon of all pools, and last the elapsed years.
const WITH_TIME: usize = QUANTITIES + 1;

/// A method of `ode_solvers` with its tolerances.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Solver {
    pub(crate) method: Method,
    /// Relative tolerance.
    pub(crate) relative: f64,
    /// Absolute tolerance; kg.
    pub(crate) absolute: f64,
}

/// Explicit Runge-Kutta methods of Dormand and Prince.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Method {
    /// Of fifth order.
    Dopri5,
    /// Of eighth order.
    Dop853,
}

/// The rates of a bed, with all constants computed beforehand.
struct Bed<const HEATS: bool> {
    rates: [[f64; POOLS]; LAYERS],
    humification_coefficient: f64,
    humus_per_year: f64,
    steepness: f64,
    /// The factor's logarithm is `level + sine part sin + cosine part cos`.
    level: f64,
    sine_part: [f64; LAYERS],
    cosine_part: [f64; LAYERS],
}

impl<const HEATS: bool> Bed<HEATS> {
    fn new(draw: &Draw) -> Self {
        let steepness = 0.1 * ln(draw.q10);
        let swing = |layer: usize| steepness * draw.amplitude_c * libm::exp(-relative_depth(layer));
        Self {
            rates: core::array::from_fn(|layer| {
                core::array::from_fn(|pool| draw.rate_per_year(layer, pool))
            }),
            humification_coefficient: draw.humification_coefficient,
            humus_per_year: draw.humus_per_year,
            steepness,
            level: steepness * (draw.mean_c - REFERENCE_C),
            sine_part: core::array::from_fn(|layer| {
                swing(layer) * libm::cos(relative_depth(layer))
            }),
            cosine_part: core::array::from_fn(|layer| {
                -swing(layer) * libm::sin(relative_depth(layer))
            }),
        }
    }

    #[inline]
    fn rates(&self, years: f64, carbon: &[f64], out: &mut [f64]) {
        let (sine, cosine) = libm::sincos(angle(years));
        let mut factors = [0.0; LAYERS];
        for (layer, factor) in factors.iter_mut().enumerate() {
            *factor =
                exp(self.level + self.sine_part[layer] * sine + self.cosine_part[layer] * cosine);
        }
        if HEATS {
            let mut heats = [0.0; LAYERS];
            for (layer, heat) in heats.iter_mut().enumerate() {
                let carbon = &carbon[layer * SLOTS..][..SLOTS];
                let mut lost = 0.0;
                for (rate, carbon) in self.rates[layer].iter().zip(carbon) {
                    lost += rate * carbon;
                }
                let given_off = (1.0 - self.humification_coefficient) * lost
                    + self.humus_per_year * carbon[POOLS];
                *heat = HEAT_PER_CO2 * given_off * factors[layer];
            }
            for (factor, heat) in factors.iter_mut().zip(heats) {
                let warmer_c = HEAT_LIMIT_C * (1.0 - exp(-heat / HEAT_LIMIT_C));
                *factor *= exp(self.steepness * warmer_c);
            }
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
            out[first + POOLS] = self.humification_coefficient * lost - humus_loss;
        }
    }
}

impl<const HEATS: bool> System<f64, SVector<f64, QUANTITIES>> for Bed<HEATS> {
    fn system(
        &self,
        years: f64,
        carbon: &SVector<f64, QUANTITIES>,
        out: &mut SVector<f64, QUANTITIES>,
    ) {
        self.rates(years, carbon.as_slice(), out.as_mut_slice());
    }
}

/// Time is a state variable: `Dop853` of `ode_solvers` 0.6.2 is wrong for rates that depend on
/// time.
impl<const HEATS: bool> System<f64, SVector<f64, WITH_TIME>> for Bed<HEATS> {
    fn system(
        &self,
        _years: f64,
        carbon: &SVector<f64, WITH_TIME>,
        out: &mut SVector<f64, WITH_TIME>,
    ) {
        out[QUANTITIES] = 1.0;
        self.rates(carbon[QUANTITIES], carbon.as_slice(), out.as_mut_slice());
    }
}

impl Solver {
    /// Reference for BED20N, which has no closed form: within 2e-10 of ten times tighter
    /// tolerances on all realisations.
    pub(crate) const JUDGE: Self = Self {
        method: Method::Dop853,
        relative: 1e-10,
        absolute: 1e-10,
    };

    /// Computes total carbon at each month end, in kg, and returns the number of rate
    /// evaluations; `None` when the method gives up.
    pub(crate) fn totals_kg(
        self,
        problem: Problem,
        draw: &Draw,
        totals: &mut [f64; MONTHS],
    ) -> Option<u32> {
        match problem {
            Problem::Plain => self.solve::<false>(draw, totals),
            Problem::Heated => self.solve::<true>(draw, totals),
        }
    }

    fn solve<const HEATS: bool>(self, draw: &Draw, totals: &mut [f64; MONTHS]) -> Option<u32> {
        // A little beyond the last month: an output at the end of the span is extrapolated from
        // an earlier step.
        let end = 20.0 + 1e-6;
        let bed = Bed::<HEATS>::new(draw);
        let Self {
            method,
            relative,
            absolute,
        } = self;
        match method {
            Method::Dopri5 => {
                let start = start::<QUANTITIES>();
                let mut stepper =
                    Dopri5::new(bed, 0.0, end, MONTH_YEARS, start, relative, absolute);
                let stats = stepper.integrate();
                read(stats, stepper.y_out(), totals)
            }
            Method::Dop853 => {
                let start = start::<WITH_TIME>();
                let mut stepper =
                    Dop853::new(bed, 0.0, end, MONTH_YEARS, start, relative, absolute);
                let stats = stepper.integrate();
                read(stats, stepper.y_out(), totals)
            }
        }
    }
}

fn start<const N: usize>() -> SVector<f64, N> {
    let mut carbon = SVector::zeros();
    for layer in 0..LAYERS {
        for pool in 0..POOLS {
            carbon[layer * SLOTS + pool] = carbon_kg(layer, pool);
        }
    }
    carbon
}

fn read<const N: usize>(
    stats: Result<Stats, IntegrationError>,
    outputs: &[SVector<f64, N>],
    totals: &mut [f64; MONTHS],
) -> Option<u32> {
    let evaluations = stats.ok()?.num_eval;
    let outputs = outputs.get(1..=MONTHS)?;
    for (total, carbon) in totals.iter_mut().zip(outputs) {
        *total = carbon.as_slice()[..QUANTITIES].iter().sum();
    }
    Some(evaluations)
}
