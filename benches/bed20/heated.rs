//! The kernel for BED20N. Self-heating changes only the exposure of a step, so that is solved
//! for, one number per layer, by Gauss collocation at three points (order six; Kuntzmann 1961);
//! pools and humus then take the exact step of `moulder_core`.

use core::array::from_fn;

use moulder_core::DAYS_PER_YEAR;
use moulder_core::law::decay::HumusStep;
use moulder_core::math::elementary::exp;

use crate::layer::{Carbon, Kernel, Layer};
use crate::problem::{HEAT_LIMIT_C, HEAT_PER_CO2, LAYERS, MONTH_YEARS, MONTHS, wave};

const POINTS: usize = 3;
/// Powers of exposure in the heat of a step, which is short compared with fast decay.
const DEGREE: usize = 5;
const ROOT_15: f64 = 3.872_983_346_207_417;
const NODES: [f64; POINTS] = [0.5 - ROOT_15 / 10.0, 0.5, 0.5 + ROOT_15 / 10.0];
const WEIGHTS: [f64; POINTS] = [5.0 / 18.0, 4.0 / 9.0, 5.0 / 18.0];
/// Integrals from the start to each node.
const UP_TO: [[f64; POINTS]; POINTS] = [
    [
        5.0 / 36.0,
        2.0 / 9.0 - ROOT_15 / 15.0,
        5.0 / 36.0 - ROOT_15 / 30.0,
    ],
    [
        5.0 / 36.0 + ROOT_15 / 24.0,
        2.0 / 9.0,
        5.0 / 36.0 - ROOT_15 / 24.0,
    ],
    [
        5.0 / 36.0 + ROOT_15 / 30.0,
        2.0 / 9.0 + ROOT_15 / 15.0,
        5.0 / 36.0,
    ],
];

/// Steps of a month and iterations of each, from a month on: as fine as the most extreme of
/// 10,000 realisations needs, as the quick pool heats most and is soon gone.
const CUTS: [(usize, u32, u32); 5] = [(0, 16, 4), (1, 8, 4), (2, 4, 4), (6, 2, 3), (12, 1, 2)];

/// One step in time.
struct Span {
    days: f64,
    /// The annual wave by layer and point.
    waves: [[f64; POINTS]; LAYERS],
    rounds: u32,
    /// The month that ends with it, if any.
    ends: Option<usize>,
}

/// All steps of the forecast, shared by all realisations.
pub(crate) struct Heated {
    spans: Vec<Span>,
}

impl Heated {
    pub(crate) fn new() -> Self {
        let mut spans = Vec::new();
        let mut start = 0.0;
        for month in 0..MONTHS {
            let cut = CUTS.iter().rfind(|(from, ..)| *from <= month);
            let &(_, steps, rounds) = cut.expect("the first is for month 0");
            let years = MONTH_YEARS / f64::from(steps);
            for step in 1..=steps {
                let waves_of = |layer| NODES.map(|node| wave(start + years * node, layer));
                spans.push(Span {
                    days: years * DAYS_PER_YEAR,
                    waves: from_fn(waves_of),
                    rounds,
                    ends: (step == steps).then_some(month),
                });
                start += years;
            }
        }
        Self { spans }
    }
}

impl Kernel for Heated {
    fn simulation(&self, layer: &Layer, mut tell: impl FnMut(usize, f64)) {
        let mut carbon = layer.start;
        let mut released = 0.0;
        let mut by_heat = 1.0;
        for span in &self.spans {
            let days = exposure_days(layer, span, &carbon, &mut by_heat);
            let mut step = HumusStep::begin(layer.humus_per_day, days);
            step.feed_all(&mut carbon.pools, &layer.pools, days);
            step.finish(&mut carbon.humus, &mut released);
            if let Some(month) = span.ends {
                tell(month, carbon.total_kg());
            }
        }
    }
}

/// Exposure of a layer over a step; days at 15 degC. `by_heat` is the factor by which
/// self-heating raised the last step's exposure, and then this one's.
fn exposure_days(layer: &Layer, span: &Span, carbon: &Carbon, by_heat: &mut f64) -> f64 {
    let heat = Heat::of(layer, carbon);
    let unheated = span.waves[layer.index].map(|wave| layer.factor(wave));
    let mut speeds = unheated.map(|factor| span.days * *by_heat * factor);
    for _ in 0..span.rounds {
        let up_to = UP_TO.map(|weights| weighted(&weights, &speeds));
        speeds = from_fn(|point| {
            let warmth_c = unheated[point] * heat.after(up_to[point]);
            let warmer_c = HEAT_LIMIT_C * (1.0 - exp(-warmth_c / HEAT_LIMIT_C));
            span.days * unheated[point] * exp(layer.steepness * warmer_c)
        });
    }
    let days = weighted(&WEIGHTS, &speeds);
    *by_heat = days / (span.days * weighted(&WEIGHTS, &unheated));
    days
}

fn weighted(weights: &[f64; POINTS], speeds: &[f64; POINTS]) -> f64 {
    let parts = weights.iter().zip(speeds);
    parts.map(|(weight, speed)| weight * speed).sum()
}

/// Warming by decay below the limit, from the unheated decay factor and as powers of the
/// exposure from now on; degC.
struct Heat([f64; DEGREE + 1]);

impl Heat {
    fn of(layer: &Layer, carbon: &Carbon) -> Self {
        // Each derivative of the pools' loss is the previous one times the rates.
        let Carbon { pools, humus } = carbon;
        let (mut losses, mut humus) = (*pools, *humus);
        let mut scale = HEAT_PER_CO2 * DAYS_PER_YEAR;
        let mut power = 0.0;
        Self(from_fn(|_| {
            let mut lost = 0.0;
            for (loss, pool) in losses.iter_mut().zip(&layer.pools) {
                *loss *= pool.rate_per_day;
                lost += *loss;
                *loss = -*loss;
            }
            let made = layer.pools[0].humification_coefficient * lost;
            let humus_lost = layer.humus_per_day * humus;
            let term = scale * (lost - made + humus_lost);
            humus = made - humus_lost;
            power += 1.0;
            scale /= power;
            term
        }))
    }

    fn after(&self, days: f64) -> f64 {
        let terms = self.0.iter().rev();
        terms.fold(0.0, |sum, term| sum * days + term)
    }
}
