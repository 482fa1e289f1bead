//! The forecast of a case: its settlement over everything that the case leaves open.

use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::fault::error::NoRoom;
use moulder::internals::library::calibration::Calibration;
use moulder::internals::model::compile::compile;
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::Simulation;
use moulder_solve::snapshot::Snapshot;

use crate::draws::{Open, Pool, drawn};
use crate::files::CaseBed;
use crate::observed::{Case, Reading, Unit};
use crate::range::Range;
use crate::scaled::scaled;

/// Mean length of a month of the Gregorian calendar; days.
const MONTH_DAYS: f64 = 365.2425 / 12.0;

/// The forecast of one reading, in the unit of the reading.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Told {
    /// The realisations.
    pub(crate) pool: Pool,
    /// The nominal run of the central bed at the middle height and month.
    pub(crate) line: f64,
    /// Shares of settling, fines migration, decay of non-woody material and wood decay in the
    /// nominal settlement.
    pub(crate) shares: [f64; 4],
}

/// Heights of the beds of a case on the day of filling, of the top layer where that was read:
/// the central one, and from the lowest to the highest; cm.
///
/// # Errors
///
/// A mound without room for its layers.
pub(crate) fn heights_cm(case: &Case, beds: &[CaseBed]) -> Result<(f64, Range), NoRoom> {
    let mut heights_cm = Vec::new();
    for bed in beds.iter().filter(|bed| bed.id == case.id) {
        for scale in scales(case.height_cm) {
            let bed = scaled(&bed.bed, scale, case);
            let compiled = compile(&bed, weather_for(&bed, 1.0), Figures::nominal())?;
            let simulation =
                Simulation::new(&compiled.stack, compiled.state, StepSchedule::default());
            heights_cm.push(100.0 * height_m(case, &simulation.snapshot()));
        }
    }
    let range = Range {
        low: heights_cm.iter().copied().fold(f64::INFINITY, f64::min),
        high: heights_cm.iter().copied().fold(0.0, f64::max),
    };
    Ok((heights_cm.first().copied().unwrap_or_default(), range))
}

/// Forecasts the readings of a case, in their order, with that many realisations of each of its
/// beds. Its central bed comes first.
///
/// # Errors
///
/// A mound without room for its layers.
pub(crate) fn told(case: &Case, beds: &[CaseBed], draws: u32) -> Result<Vec<Told>, Error> {
    let Some(middle) = beds.iter().find(|bed| bed.id == case.id) else {
        return Ok(Vec::new());
    };
    let lines = sinks(case, &middle.bed)?;
    let pools = drawn(case, beds, draws, Open::Spread, Calibration::kept())?;
    Ok(lines
        .into_iter()
        .zip(pools)
        .map(|(line, pool)| Told {
            pool,
            line: line.sink,
            shares: line.shares,
        })
        .collect())
}

/// The heights to try, as multiples of the bed's own, which is the midpoint.
fn scales(height_cm: Option<Range>) -> Vec<f64> {
    match height_cm {
        Some(cm) if !cm.is_one_figure() => vec![1.0, cm.low / cm.middle(), cm.high / cm.middle()],
        _ => vec![1.0],
    }
}

/// A settlement on a day, and its parts.
#[derive(Debug, Clone, Copy)]
struct Sink {
    sink: f64,
    shares: [f64; 4],
}

/// The settlements of one bed in the nominal run, between the middle months of each reading.
fn sinks(case: &Case, bed: &Bed) -> Result<Vec<Sink>, NoRoom> {
    let ages: Vec<f64> = case
        .readings
        .iter()
        .flat_map(|reading| [reading.from_months.middle(), reading.months.middle()])
        .collect();
    let last = ages.iter().copied().fold(0.0, f64::max);
    let compiled = compile(bed, weather_for(bed, last * MONTH_DAYS), Figures::nominal())?;
    let mut simulation = Simulation::new(
        &compiled.stack,
        compiled.state.clone(),
        StepSchedule::default(),
    );
    let mut order: Vec<usize> = (0..ages.len()).collect();
    order.sort_by(|a, b| ages[*a].total_cmp(&ages[*b]));
    let mut days = vec![simulation.snapshot(); ages.len()];
    for index in order {
        if ages[index] > 0.0 {
            simulation.advance_to(ages[index] * MONTH_DAYS);
            days[index] = simulation.snapshot();
        }
    }
    let readings = case.readings.iter().zip(days.chunks_exact(2));
    Ok(readings
        .map(|(reading, days)| sink(case, reading, &days[0], &days[1]))
        .collect())
}

fn sink(case: &Case, reading: &Reading, before: &Snapshot, now: &Snapshot) -> Sink {
    let before_m = height_m(case, before);
    let settlement_m = before_m - height_m(case, now);
    let parts = |day: &Snapshot| {
        let split = &day.split;
        [
            split.mechanical_m,
            split.fines_migration_m,
            split.nonwoody_decay_m,
            split.wood_decay_m,
        ]
    };
    let (earlier, later) = (parts(before), parts(now));
    let parts: [f64; 4] = core::array::from_fn(|part| later[part] - earlier[part]);
    let sum_m: f64 = parts.iter().sum();
    Sink {
        sink: match reading.unit {
            Unit::Cm => 100.0 * settlement_m,
            Unit::Percent => 100.0 * settlement_m / before_m,
        },
        shares: parts.map(|part_m| part_m / sum_m),
    }
}

/// The height that a case reads.
fn height_m(case: &Case, day: &Snapshot) -> f64 {
    match day.layers.last() {
        Some(top) if case.is_top_layer_read => top.thickness_m,
        _ => day.height_m,
    }
}
