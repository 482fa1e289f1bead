//! The forecast of a case: its settlement over everything that the case leaves open.

use moulder::internals::bed::EditBed as _;
use moulder::internals::bed::{Amount, Bed};
use moulder::internals::fault::error::Error;
use moulder::internals::fault::error::NoRoom;
use moulder::internals::model::compile::compile;
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder_core::bed::shape::Shape;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::Simulation;
use moulder_solve::snapshot::Snapshot;

use crate::draws::{Drawn, drawn};
use crate::files::CaseBed;
use crate::observed::{Case, Reading, Unit};
use crate::range::Range;

/// Mean length of a month of the Gregorian calendar; days.
const MONTH_DAYS: f64 = 365.2425 / 12.0;

/// The class whose readings are the thickness of the top layer.
const TOP_LAYER_CLASS: &str = "surface_layer";

/// The forecast of one reading, in the unit of the reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Told {
    /// The 80 % interval of the realisations, and their median.
    pub(crate) drawn: Drawn,
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
            let bed = scaled(&bed.bed, scale, is_top_layer_read(case));
            let compiled = compile(&bed, weather_for(&bed, 1.0), Figures::nominal())?;
            let simulation =
                Simulation::new(&compiled.stack, compiled.state, StepSchedule::default());
            heights_cm.push(100.0 * height_m(case, &simulation.snapshot(0)));
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
    let drawn = drawn(case, beds, draws)?;
    Ok(lines
        .into_iter()
        .zip(drawn)
        .map(|(line, drawn)| Told {
            drawn,
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

/// The same bed `scale` times as high; a mound is scaled in width and length too. Where only
/// the top layer is read, it alone is scaled.
pub(crate) fn scaled(bed: &Bed, scale: f64, is_top_layer: bool) -> Bed {
    let mut bed = bed.clone();
    let mut foot = 1.0;
    if let Shape::Mound {
        width_m, length_m, ..
    } = bed.edit().shape
    {
        *width_m *= scale;
        *length_m *= scale;
        foot = scale * scale;
    }
    let first = if is_top_layer {
        bed.layers().len() - 1
    } else {
        0
    };
    for ingredient in bed.edit().layers[first..]
        .iter_mut()
        .flat_map(|l| &mut l.put)
    {
        match &mut ingredient.amount {
            Amount::ThicknessM(m) => *m *= scale,
            Amount::VolumeM3(much) | Amount::WetMassKg(much) | Amount::DryMassKg(much) => {
                *much *= scale * foot;
            }
        }
    }
    bed
}

/// A settlement on a day, and its parts.
#[derive(Debug, Clone, Copy)]
struct Sink {
    sink: f64,
    shares: [f64; 4],
}

/// The settlements of one bed in the nominal run, at the middle month of each reading.
fn sinks(case: &Case, bed: &Bed) -> Result<Vec<Sink>, NoRoom> {
    let months: Vec<f64> = case
        .readings
        .iter()
        .map(|reading| reading.months.middle())
        .collect();
    let last = months.iter().copied().fold(0.0, f64::max);
    let compiled = compile(bed, weather_for(bed, last * MONTH_DAYS), Figures::nominal())?;
    let mut simulation = Simulation::new(
        &compiled.stack,
        compiled.state.clone(),
        StepSchedule::default(),
    );
    let start = simulation.snapshot(0);
    let mut order: Vec<usize> = (0..months.len()).collect();
    order.sort_by(|a, b| months[*a].total_cmp(&months[*b]));
    let mut days = vec![start.clone(); months.len()];
    for index in order {
        simulation.advance_to(months[index] * MONTH_DAYS);
        days[index] = simulation.snapshot(0);
    }
    let readings = case.readings.iter().zip(&days);
    Ok(readings
        .map(|(reading, day)| sink(case, reading, &start, day))
        .collect())
}

fn sink(case: &Case, reading: &Reading, start: &Snapshot, now: &Snapshot) -> Sink {
    let start_m = height_m(case, start);
    let settlement_m = start_m - height_m(case, now);
    let split = &now.split;
    let parts = [
        split.mechanical_m[0],
        split.fines_migration_m[0],
        split.nonwoody_decay_m[0],
        split.wood_decay_m[0],
    ];
    Sink {
        sink: match reading.unit {
            Unit::Cm => 100.0 * settlement_m,
            Unit::Percent => 100.0 * settlement_m / start_m,
        },
        shares: parts.map(|part_m| part_m / split.sum_m(0)),
    }
}

pub(crate) fn is_top_layer_read(case: &Case) -> bool {
    case.class == TOP_LAYER_CLASS
}

/// The height that a case reads.
fn height_m(case: &Case, day: &Snapshot) -> f64 {
    match day.layers.last() {
        Some(top) if is_top_layer_read(case) => top.thickness_m,
        _ => day.height_m,
    }
}
