//! Difference in height between designs, month by month, under the same realisations.

use super::drawn_of_each;
use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::options::ForecastOptions;
use crate::forecast::progress::Progress;
use crate::numeric::interval::Interval;
use crate::numeric::tally::Tally;
use crate::text::limit::MONTHS_LIMIT;
use crate::uncertainty::discrepancy::DISCREPANCIES;
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::ensemble::run_ensemble;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::Realisation;

/// Width of the histogram bins of large ensembles; m.
const BIN_M: f64 = 1e-4;

/// By how much each bed after the first stands higher than the first, month by month after the
/// filling of each: 80 % intervals; m. One row a bed, from day zero on.
///
/// Shared uncertainty cancels within each realisation, so the intervals are narrower than those
/// of the beds; their model discrepancies are in proportion to their standard deviations.
///
/// # Errors
///
/// As [`compare`](super::compare).
///
/// ```
/// use moulder::{Bed, ForecastOptions, ensembles::height_differences, months::unwatched};
///
/// let options = ForecastOptions::default().months(2).ensemble_size(8);
/// let beds = [Bed::example(), Bed::example()];
/// let differences_m = height_differences(&beds, &options, &unwatched)?;
/// assert!(differences_m[0].iter().all(|m| m.lower == 0.0 && m.upper == 0.0));
/// # Ok::<(), moulder::Error>(())
/// ```
pub fn height_differences(
    beds: &[Bed],
    options: &ForecastOptions,
    progress: &Progress<'_>,
) -> Result<Vec<Vec<Interval>>, Error> {
    let (months, ensemble) = (options.months, Realisations::from(*options));
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    let uncertain = UncertainParameters::from_beds(beds);
    let others = beds.len().saturating_sub(1);
    let surfaces = ensemble.ensemble_size.saturating_mul(DISCREPANCIES);
    let row = || (0..=months).map(|_| Tally::of(surfaces, BIN_M));
    let mut tallies: Vec<Vec<Tally>> = (0..others).map(|_| row().collect()).collect();
    let drawn = drawn_of_each(beds, &uncertain, months, ensemble, progress)?;
    let one_realisation = |index: u32| -> Result<Vec<Realisation>, Error> {
        let drawn = drawn.iter().filter_map(|drawn| drawn.get(index as usize));
        let each = beds.iter().zip(drawn);
        each.map(|(bed, drawn)| Realisation::new(bed, &uncertain, (ensemble.seed, drawn), months))
            .collect()
    };
    run_ensemble(ensemble, progress, &one_realisation, &mut |realisations| {
        let Some((first, others)) = realisations.split_first() else {
            return;
        };
        for (tallies, other) in tallies.iter_mut().zip(others) {
            for (month, tally) in tallies.iter_mut().enumerate() {
                let height_m = |of: &Realisation| of.run.months[month].height_m;
                let higher_m = height_m(other) - height_m(first);
                let extras_m = other.extras_m[month].iter().zip(&first.extras_m[month]);
                tally.add_all(extras_m.map(|(extra_m, first_m)| higher_m - (extra_m - first_m)));
            }
        }
    })?;
    let intervals = |row: &Vec<Tally>| row.iter().map(Tally::band).collect();
    Ok(tallies.iter().map(intervals).collect())
}
