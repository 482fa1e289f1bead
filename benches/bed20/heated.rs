//! The kernel for BED20N. Self-heating changes only the exposure of a step, so that is solved
//! for, one number per layer, by Gauss collocation at three points (order six; Kuntzmann 1961);
//! pools and humus then take the exact step of `moulder_core`.
#![allow(
    clippy::inline_always,
    reason = "what is not inlined is not compiled for the level asked for"
)]

use core::array::from_fn;

use moulder_core::DAYS_PER_YEAR;
use moulder_core::law::decay::HumusStep;
use moulder_core::math::elementary::exp;

use crate::kernel::Kernel;
use crate::layers::{Carbon, Layers};
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

/// Subdivision of a month, and iterations per step.
struct Cut {
    /// First month it applies to.
    from: usize,
    steps: u32,
    /// Iterations that evaluate the warming at each point.
    rounds: u32,
    /// Iterations that only follow the slope of the warming.
    short_rounds: u32,
}

/// As fine as the most extreme of 10,000 realisations needs: the quick pool heats most and is
/// soon gone.
const CUTS: [Cut; 5] = [
    Cut::new(0, 16, 2, 2),
    Cut::new(1, 8, 2, 2),
    Cut::new(2, 4, 2, 2),
    Cut::new(6, 2, 1, 2),
    Cut::new(12, 1, 1, 1),
];

impl Cut {
    const fn new(from: usize, steps: u32, rounds: u32, short_rounds: u32) -> Self {
        Self {
            from,
            steps,
            rounds,
            short_rounds,
        }
    }
}

/// One quantity at each point of a step.
type AtPoints<const L: usize> = [[f64; L]; POINTS];

/// One step in time.
struct Span {
    days: f64,
    /// The annual wave by point and layer.
    waves: [[f64; LAYERS]; POINTS],
    cut: &'static Cut,
    /// The month that ends with it, if any.
    ends: Option<usize>,
    /// The month of the year, if the step is a whole month that repeats every year.
    like: Option<usize>,
}

/// All steps of the forecast, shared by all realisations.
pub(crate) struct Heated {
    spans: Vec<Span>,
}

impl Heated {
    pub(crate) fn new() -> Self {
        let [.., last] = &CUTS;
        let mut spans = Vec::new();
        let mut start = 0.0;
        for month in 0..MONTHS {
            let cut = CUTS.iter().rfind(|cut| cut.from <= month);
            let cut = cut.expect("the first is for month 0");
            let years = MONTH_YEARS / f64::from(cut.steps);
            for step in 1..=cut.steps {
                spans.push(Span {
                    days: years * DAYS_PER_YEAR,
                    waves: NODES.map(|node| from_fn(|layer| wave(start + years * node, layer))),
                    cut,
                    ends: (step == cut.steps).then_some(month),
                    like: (month >= last.from + 12).then_some(month % 12),
                });
                start += years;
            }
        }
        Self { spans }
    }
}

impl Kernel for Heated {
    #[inline(always)]
    fn simulation<const L: usize>(
        &self,
        layers: &Layers<L>,
        spread: impl Fn(&[f64; LAYERS]) -> [f64; L],
        mut tell: impl FnMut(usize, &[f64; L]),
    ) {
        let mut carbon = layers.start;
        let mut released = [0.0; L];
        let mut by_heat = [1.0; L];
        // Factors of the last twelve months.
        let mut year = [[[0.0; L]; POINTS]; 12];
        for span in &self.spans {
            let mut unheated = [[0.0; L]; POINTS];
            if let Some(month) = span.like {
                unheated = year[month];
            } else {
                for (unheated, wave) in unheated.iter_mut().zip(&span.waves) {
                    *unheated = layers.factor(&spread(wave));
                }
            }
            let days = exposure_days(layers, span, &unheated, &carbon, &mut by_heat);
            let mut step = HumusStep::begin(&layers.humus_per_day, &days);
            for (carbon, pool) in carbon.pools.iter_mut().zip(&layers.pools) {
                step.feed(carbon, pool, &days);
            }
            step.finish(&mut carbon.humus, &mut released);
            if let Some(month) = span.ends {
                year[month % 12] = unheated;
                tell(month, &carbon.total_kg());
            }
        }
    }
}

/// Exposure of layers over a step; days at 15 degC. `by_heat` is the factor by which
/// self-heating raised the last step's exposure, and then this one's.
#[inline(always)]
fn exposure_days<const L: usize>(
    layers: &Layers<L>,
    span: &Span,
    unheated: &AtPoints<L>,
    carbon: &Carbon<L>,
    by_heat: &mut [f64; L],
) -> [f64; L] {
    let heat = Heat::of(layers, carbon);
    let mut speeds = *unheated;
    for speed in &mut speeds {
        for lane in 0..L {
            speed[lane] *= span.days * by_heat[lane];
        }
    }
    let mut up_to = integrals(&speeds);
    let mut warmths = [[0.0; L]; POINTS];
    let mut slopes = [[0.0; L]; POINTS];
    let mut full = speeds;
    for _ in 0..span.cut.rounds {
        for point in 0..POINTS {
            for lane in 0..L {
                let warmth_c = unheated[point][lane] * heat.after(up_to[point][lane], lane);
                let cooler = exp(warmth_c * (-1.0 / HEAT_LIMIT_C));
                let warmer_c = HEAT_LIMIT_C - HEAT_LIMIT_C * cooler;
                warmths[point][lane] = warmth_c;
                slopes[point][lane] = layers.steepness[lane] * cooler;
                full[point][lane] =
                    span.days * unheated[point][lane] * exp(layers.steepness[lane] * warmer_c);
            }
        }
        up_to = integrals(&full);
    }
    for _ in 0..span.cut.short_rounds {
        for point in 0..POINTS {
            for lane in 0..L {
                let warmth_c = unheated[point][lane] * heat.after(up_to[point][lane], lane);
                let more_c = warmth_c - warmths[point][lane];
                let grown = slopes[point][lane] * more_c * (1.0 - more_c * (0.5 / HEAT_LIMIT_C));
                speeds[point][lane] = full[point][lane] * (1.0 + grown * (1.0 + 0.5 * grown));
            }
        }
        up_to = integrals(&speeds);
    }
    let days = whole(&speeds);
    let cold = whole(unheated);
    for lane in 0..L {
        by_heat[lane] = days[lane] / (span.days * cold[lane]);
    }
    days
}

/// Warming by decay below the limit, from the unheated decay factor and as powers of the
/// exposure from now on; degC.
struct Heat<const L: usize>([[f64; L]; DEGREE + 1]);

impl<const L: usize> Heat<L> {
    #[inline(always)]
    fn of(layers: &Layers<L>, carbon: &Carbon<L>) -> Self {
        let mut terms = [[0.0; L]; DEGREE + 1];
        // Each derivative of the pools' loss is the previous one times the rates.
        let mut losses = carbon.pools;
        let mut humus = carbon.humus;
        let mut scale = HEAT_PER_CO2 * DAYS_PER_YEAR;
        let mut power = 0.0;
        for term in &mut terms {
            let mut lost = [0.0; L];
            for (loss, pool) in losses.iter_mut().zip(&layers.pools) {
                for lane in 0..L {
                    loss[lane] *= pool.rate_per_day[lane];
                    lost[lane] += loss[lane];
                    loss[lane] = -loss[lane];
                }
            }
            for lane in 0..L {
                let made = layers.pools[0].humification_coefficient[lane] * lost[lane];
                let humus_lost = layers.humus_per_day[lane] * humus[lane];
                term[lane] = scale * (lost[lane] - made + humus_lost);
                humus[lane] = made - humus_lost;
            }
            power += 1.0;
            scale /= power;
        }
        Self(terms)
    }

    #[inline(always)]
    fn after(&self, days: f64, lane: usize) -> f64 {
        let mut sum = self.0[DEGREE][lane];
        for term in self.0[..DEGREE].iter().rev() {
            sum = sum * days + term[lane];
        }
        sum
    }
}

/// Integrals of these speeds up to each point.
#[inline(always)]
fn integrals<const L: usize>(speeds: &AtPoints<L>) -> AtPoints<L> {
    let mut up_to = [[0.0; L]; POINTS];
    for (up_to, weights) in up_to.iter_mut().zip(&UP_TO) {
        *up_to = weighted(weights, speeds);
    }
    up_to
}

/// The integral over the whole step.
#[inline(always)]
fn whole<const L: usize>(speeds: &AtPoints<L>) -> [f64; L] {
    weighted(&WEIGHTS, speeds)
}

#[inline(always)]
fn weighted<const L: usize>(weights: &[f64; POINTS], speeds: &AtPoints<L>) -> [f64; L] {
    let mut sum = [0.0; L];
    for (speed, weight) in speeds.iter().zip(weights) {
        for lane in 0..L {
            sum[lane] += weight * speed[lane];
        }
    }
    sum
}
