//! Our side: increments of exposure by a few fixed points a month, then the exact
//! step of pools and humus of `moulder_core`, with `L` draws side by side.

use moulder_core::DAYS_PER_YEAR;
use moulder_core::decay::{HumusStep, Pool};
use moulder_core::elementary::{exp, ln};

use crate::problem::{Draw, LAYERS, MONTH_YEARS, MONTHS, POOLS, REFERENCE_C, carbon_kg, wave};
use crate::quadrature::Quadrature;

/// Points a month: two miss the accuracy, three leave some 1e-9.
const POINTS: usize = 3;
const MONTH_DAYS: f64 = DAYS_PER_YEAR / 12.0;

/// The yearly wave at every point of a year, which all draws share.
pub(crate) struct Kernel {
    weights: [f64; POINTS],
    /// By layer, month of the year and point.
    waves: [[[f64; POINTS]; 12]; LAYERS],
}

impl Kernel {
    pub(crate) fn new() -> Self {
        let quadrature = Quadrature::gauss(u32::try_from(POINTS).expect("a few points"));
        let at = |point: usize| quadrature.points[point];
        let mut waves = [[[0.0; POINTS]; 12]; LAYERS];
        for (layer, year) in waves.iter_mut().enumerate() {
            let mut start = 0.0;
            for month in year {
                *month = core::array::from_fn(|p| wave(start + MONTH_YEARS * at(p).0, layer));
                start += MONTH_YEARS;
            }
        }
        Self {
            weights: core::array::from_fn(|p| at(p).1),
            waves,
        }
    }

    /// Total carbon of `L` draws at each month end; kg.
    pub(crate) fn totals_kg<const L: usize>(
        &self,
        draws: &[Draw; L],
        totals: &mut [[f64; L]; MONTHS],
    ) {
        *totals = [[0.0; L]; MONTHS];
        let humus_per_day = draws.map(|draw| draw.humus_per_year / DAYS_PER_YEAR);
        for layer in 0..LAYERS {
            let year_days = self.year_days(draws, layer);
            let pools: [Pool<L>; POOLS] = core::array::from_fn(|pool| Pool {
                rate_per_day: draws.map(|draw| draw.rate_per_year(layer, pool) / DAYS_PER_YEAR),
                humified: draws.map(|draw| draw.humified),
                kept: [0.0; L],
            });
            let mut carbon: [[f64; L]; POOLS] =
                core::array::from_fn(|pool| [carbon_kg(layer, pool); L]);
            let mut humus = [0.0; L];
            let mut released = [0.0; L];
            for (total, days) in totals.iter_mut().zip(year_days.iter().cycle()) {
                let mut step = HumusStep::begin(&humus_per_day, days);
                for (carbon, pool) in carbon.iter_mut().zip(&pools) {
                    step.feed(carbon, pool, days);
                }
                step.finish(&mut humus, &mut released);
                for lane in 0..L {
                    let pools_kg =
                        (carbon[0][lane] + carbon[1][lane]) + (carbon[2][lane] + carbon[3][lane]);
                    total[lane] += pools_kg + humus[lane];
                }
            }
        }
    }

    /// Exposure of a layer in each month of a year; days at 15 degC.
    fn year_days<const L: usize>(&self, draws: &[Draw; L], layer: usize) -> [[f64; L]; 12] {
        let steepness = draws.map(|draw| 0.1 * ln(draw.q10));
        let mut year = [[0.0; L]; 12];
        for (days, waves) in year.iter_mut().zip(&self.waves[layer]) {
            for (wave, weight) in waves.iter().zip(self.weights) {
                for lane in 0..L {
                    let temperature_c = draws[lane].mean_c + draws[lane].amplitude_c * wave;
                    days[lane] +=
                        weight * MONTH_DAYS * exp(steepness[lane] * (temperature_c - REFERENCE_C));
                }
            }
        }
        year
    }
}
