//! One bed on both paths, with halved steps, and with the second judge.

use std::time::Instant;

use moulder::internals::forecast::calendar::days_to_month;
use moulder::internals::model::compile::compile;
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder_core::bed::stack::Stack;
use moulder_core::bed::state::State;
use moulder_solve::implicit;
use moulder_solve::reference::{Reference, ReferenceError, Tolerance, integrate};
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::Simulation;
use moulder_solve::snapshot::Snapshot;
use moulder_solve::split::Split;

use crate::beds::Case;

/// A deviation and its limit.
pub(crate) struct Limit {
    pub(crate) name: &'static str,
    pub(crate) most: f64,
}

const fn limit(name: &'static str, most: f64) -> Limit {
    Limit { name, most }
}

/// Deviations, in the order of [`Outcome::found`].
pub(crate) const LIMITS: [Limit; 13] = [
    limit("height, mm", 1.0),
    limit("carbon, %", 0.1),
    limit("temperature of layers, degC", 0.5),
    limit("water, %", 1.0),
    limit("nitrogen, % of all", 0.3),
    limit("nitrogen the crop took, %", 6.0),
    limit("height, halved steps, mm", 0.3),
    limit("judges: height, mm", 0.1),
    limit("judges: carbon, %", 0.01),
    limit("judges: temperature, degC", 0.02),
    limit("judges: water, %", 0.1),
    limit("judges: nitrogen, % of all", 0.05),
    limit("judges: nitrogen the crop took, %", 0.3),
];

/// Number of deviations from one pair of snapshots.
const DEVIATIONS: usize = 6;
/// Index of halved steps among them; the judges come after it.
const HALVED: usize = DEVIATIONS;

/// Layers thinner than this are left out of the temperature comparison; m.
const THIN_M: f64 = 0.01;

/// The result for a bed.
#[derive(Clone)]
pub(crate) struct Outcome {
    /// The largest deviation over all months, in the order of [`LIMITS`].
    pub(crate) found: [Option<f64>; LIMITS.len()],
    /// Why a path gave up, if one did.
    gave_up: Option<String>,
    pub(crate) years: f64,
    pub(crate) fast_seconds: f64,
    pub(crate) reference_seconds: f64,
}

impl Outcome {
    /// What exceeds its limit, if anything.
    pub(crate) fn complaint(&self) -> Option<String> {
        let outside: Vec<String> = LIMITS
            .iter()
            .zip(&self.found)
            .filter_map(|(limit, found)| {
                let off = (*found)?;
                let is_within = off <= limit.most;
                // NaN exceeds it too.
                (!is_within).then(|| format!("{} {off:.4}", limit.name))
            })
            .chain(self.gave_up.clone())
            .collect();
        (!outside.is_empty()).then(|| outside.join("; "))
    }
}

/// Compares one bed.
pub(crate) fn compare(case: &Case) -> Outcome {
    let day_of = |month| days_to_month(case.bed.filled(), month);
    let days: Vec<f64> = (1..=case.months).map(day_of).collect();
    let mut outcome = Outcome {
        found: [None; LIMITS.len()],
        gave_up: None,
        years: f64::from(case.months) / 12.0,
        fast_seconds: 0.0,
        reference_seconds: 0.0,
    };
    let weather = weather_for(&case.bed, day_of(case.months));
    let compiled = match compile(&case.bed, weather, Figures::nominal()) {
        Ok(compiled) => compiled,
        Err(no_room) => {
            outcome.gave_up = Some(no_room.to_string());
            return outcome;
        }
    };
    let (stack, start) = (&compiled.stack, &compiled.state);
    let begun = Instant::now();
    let fast = simulated(stack, start, &days, StepSchedule::default());
    outcome.fast_seconds = begun.elapsed().as_secs_f64();
    let refined = simulated(stack, start, &days, StepSchedule::default().refined());
    let begun = Instant::now();
    let reference = match exact(stack, start, &days) {
        Ok(reference) => snapshots(stack, &days, &reference.states),
        Err(error) => {
            outcome.gave_up = Some(error.to_string());
            return outcome;
        }
    };
    outcome.reference_seconds = begun.elapsed().as_secs_f64();
    for (month, ((fast, refined), exact)) in fast.iter().zip(&refined).zip(&reference).enumerate() {
        let off = deviations(fast, exact);
        if case.is_shown {
            println!("month {:3}: {off:.4?}", month + 1);
        }
        for (index, off) in off.into_iter().enumerate() {
            outcome.raise(index, off);
        }
        outcome.raise(HALVED, 1e3 * (fast.height_m - refined.height_m).abs());
    }
    if case.judged_months > 0 {
        let days = &days[..days.len().min(case.judged_months as usize)];
        match implicit::integrate(stack, start, days, Tolerance::new(1e-6)) {
            Ok(judged) => {
                let judged = snapshots(stack, days, &judged.states);
                for (judged, exact) in judged.iter().zip(&reference) {
                    for (index, off) in deviations(judged, exact).into_iter().enumerate() {
                        outcome.raise(HALVED + 1 + index, off);
                    }
                }
            }
            Err(error) => outcome.gave_up = Some(format!("the second judge: {error}")),
        }
    }
    outcome
}

impl Outcome {
    fn raise(&mut self, index: usize, off: f64) {
        let before = self.found[index].unwrap_or(0.0);
        self.found[index] = Some(if off > before || off.is_nan() {
            off
        } else {
            before
        });
    }
}

/// The reference path, or the second judge where a process is too fast for it, as in sheets
/// that have almost decayed.
fn exact(stack: &Stack, start: &State, days: &[f64]) -> Result<Reference, ReferenceError> {
    match integrate(stack, start, days, Tolerance::new(1e-7)) {
        Err(ReferenceError::Stiff { .. } | ReferenceError::TooManySteps { .. }) => {
            implicit::integrate(stack, start, days, Tolerance::new(1e-5))
        }
        other => other,
    }
}

fn simulated(stack: &Stack, start: &State, days: &[f64], schedule: StepSchedule) -> Vec<Snapshot> {
    let mut simulation = Simulation::new(stack, start.clone(), schedule);
    let months = days.iter().map(|day| {
        simulation.advance_to(*day);
        simulation.snapshot()
    });
    months.collect()
}

fn snapshots(stack: &Stack, days: &[f64], states: &[State]) -> Vec<Snapshot> {
    let at = |(day, state): (&f64, &State)| Snapshot::take(stack, state, &Split::default(), *day);
    days.iter().zip(states).map(at).collect()
}

/// Height in mm, carbon in %, temperature of layers in degC, water in %, the nitrogen of each
/// store in % of the total, crop uptake of nitrogen in %.
fn deviations(one: &Snapshot, exact: &Snapshot) -> [f64; DEVIATIONS] {
    let percent = |one: f64, exact: f64| 100.0 * (one / exact.max(1e-9) - 1.0).abs();
    let layers = one.layers.iter().zip(&exact.layers);
    let temperature_c = layers
        .filter(|(_, exact)| exact.thickness_m > THIN_M)
        .map(|(one, exact)| (one.temperature_c - exact.temperature_c).abs());
    let temperature_c = largest(&temperature_c.collect::<Vec<f64>>());
    let places: [fn(&Snapshot) -> f64; 4] = [
        Snapshot::organic_nitrogen_kg,
        Snapshot::mineral_nitrogen_kg,
        |snapshot| snapshot.nitrogen_leached_kg,
        |snapshot| snapshot.nitrogen_cropped_kg,
    ];
    let all_kg: f64 = places.iter().map(|of| of(exact)).sum();
    [
        1e3 * (one.height_m - exact.height_m).abs(),
        percent(one.carbon_kg(), exact.carbon_kg()),
        temperature_c,
        percent(one.water_kg(), exact.water_kg()),
        largest(&places.map(|of| 100.0 * (of(one) - of(exact)).abs() / all_kg)),
        percent(one.nitrogen_cropped_kg, exact.nitrogen_cropped_kg),
    ]
}

/// The largest of some deviations; NaN is larger than any.
fn largest(offs: &[f64]) -> f64 {
    offs.iter().fold(0.0, |most, &off| {
        if off > most || off.is_nan() {
            off
        } else {
            most
        }
    })
}
