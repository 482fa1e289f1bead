//! Runs of one realisation of a bed.

use jiff::civil::Date;
use moulder_solve::schedule::StepSchedule;

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::forecast;
use crate::forecast::progress::unwatched;
use crate::forecast::row::Month;
use crate::forecast::run::{Observation, SimulatedMonths, rows};
use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::drawn::Drawn;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::sample::Sample;

/// Most reductions, by a twentieth each, of a realisation without room in a mound.
const LESS_LIMIT: u32 = 40;

/// A realisation of a bed, with its discrepancies.
pub(crate) struct Realisation {
    /// By the laws.
    pub(crate) run: SimulatedMonths,
    /// Additional settlement at each end of a month, with each discrepancy; m.
    pub(crate) extras_m: Vec<Vec<f64>>,
}

impl Realisation {
    /// That of so many months.
    ///
    /// # Errors
    ///
    /// As [`months_of_sample`].
    pub(crate) fn new(
        bed: &Bed,
        uncertain: &UncertainParameters,
        (seed, drawn): (u64, &Drawn),
        months: u32,
    ) -> Result<Self, Error> {
        let sample = Sample::new(bed, uncertain, seed, drawn.number);
        let run = observed(sample.figures().schedule(), &sample, months, &[])?;
        Ok(Self::of_run(run, bed, (seed, drawn), months))
    }

    /// That run with its discrepancies.
    pub(crate) fn of_run(
        run: SimulatedMonths,
        bed: &Bed,
        (seed, drawn): (u64, &Drawn),
        months: u32,
    ) -> Self {
        let discrepancies = drawn.discrepancies(bed, seed, months);
        let extras_m = Discrepancy::extras_m(&discrepancies, &run.months);
        Self { run, extras_m }
    }
}

/// Whether a mound has room for its layers over so many months. Realisations without room are
/// reduced until they fit; the bed as told is refused.
///
/// # Errors
///
/// A mound without room for its layers, or too many months.
pub(crate) fn has_room(bed: &Bed, months: u32) -> Result<(), Error> {
    if bed.shape.peak_m().is_some() {
        forecast(bed, months, &unwatched)?;
    }
    Ok(())
}

/// Months of a sample of a bed under its own weather, without discrepancy.
///
/// # Errors
///
/// Too many months, or a mound without room for its layers even after reduction.
pub fn months_of_sample(sample: &Sample, months: u32) -> Result<Vec<Month>, Error> {
    months_with_observations(sample, months, &[]).map(|(months, _)| months)
}

/// The same with other time steps.
///
/// # Errors
///
/// As [`months_of_sample`].
pub fn months_of_sample_by(
    schedule: StepSchedule,
    sample: &Sample,
    months: u32,
) -> Result<Vec<Month>, Error> {
    observed(schedule, sample, months, &[]).map(|run| run.months)
}

/// The same, with observations on those dates, each once and in order.
///
/// # Errors
///
/// As [`months_of_sample`].
pub(crate) fn months_with_observations(
    sample: &Sample,
    months: u32,
    observations: &[Date],
) -> Result<(Vec<Month>, Vec<Observation>), Error> {
    observed(sample.figures().schedule(), sample, months, observations)
        .map(|run| (run.months, run.observations))
}

fn observed(
    schedule: StepSchedule,
    sample: &Sample,
    months: u32,
    observations: &[Date],
) -> Result<SimulatedMonths, Error> {
    until_it_fits(sample, &|sample| {
        let (bed, figures) = (sample.bed(), sample.figures());
        rows(bed, figures, months, schedule, observations, &unwatched)
    })
}

/// Runs a sample, with a twentieth less of everything as long as it finds no room.
///
/// # Errors
///
/// Those of the run, and no room even after reduction.
pub(crate) fn until_it_fits<T>(
    sample: &Sample,
    run: &dyn Fn(&Sample) -> Result<T, Error>,
) -> Result<T, Error> {
    let mut done = run(sample);
    let mut less = None;
    for _ in 0..LESS_LIMIT {
        if !matches!(done, Err(Error::NoRoom(_))) {
            break;
        }
        let next = less.unwrap_or_else(|| sample.clone()).with_less();
        done = run(&next);
        less = Some(next);
    }
    done
}

/// Months of a realisation of a bed, with discrepancy.
///
/// # Errors
///
/// As [`months_of_sample`].
pub fn months_of_realisation(
    bed: &Bed,
    uncertain: &UncertainParameters,
    seed: u64,
    number: u32,
    months: u32,
) -> Result<Vec<Month>, Error> {
    let sample = Sample::new(bed, uncertain, seed, number);
    let mut rows = months_of_sample(&sample, months)?;
    Discrepancy::new(&DiscrepancyPrior::of(bed), seed, number, months).apply(&mut rows);
    Ok(rows)
}
