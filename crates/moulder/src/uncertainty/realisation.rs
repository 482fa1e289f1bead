//! Runs of one realisation of a bed.

use jiff::civil::Date;
use moulder_solve::schedule::StepSchedule;

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::progress::unwatched;
use crate::forecast::row::Month;
use crate::forecast::run::{Observation, rows};
use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::sample::Sample;

/// Most reductions, by a twentieth each, of a realisation without room in a mound.
const LESS_LIMIT: u32 = 40;

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
    observed(schedule, sample, months, &[]).map(|(months, _)| months)
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
}

fn observed(
    schedule: StepSchedule,
    sample: &Sample,
    months: u32,
    observations: &[Date],
) -> Result<(Vec<Month>, Vec<Observation>), Error> {
    until_it_fits(sample, &|sample| {
        let (bed, figures) = (sample.bed(), sample.figures());
        rows(bed, figures, months, schedule, observations, &unwatched)
            .map(|run| (run.months, run.observations))
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
