//! How much higher one design stands than another, month by month, under the same draws.

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::progress::Progress;
use crate::numeric::interval::Interval;
use crate::numeric::tally::Tally;
use crate::text::limit::MONTHS_LIMIT;
use crate::uncertainty::draws::Realisations;
use crate::uncertainty::draws::run_ensemble;
use crate::uncertainty::parameter::UncertainParameters;
use crate::uncertainty::realisation::months_of_draw;

/// Width of the bins in which many draws are counted; m.
const BIN_M: f64 = 1e-4;

/// How much higher each bed after the first stands than the first, so many months after the
/// filling of each: where four in five draws lie; m. A row a bed, from day zero on.
///
/// What two beds share falls out of the difference, draw by draw, so that its range is
/// narrower than those of the beds; the laws are off by the same share in all of them.
///
/// # Errors
///
/// As [`compare`](super::compare).
pub fn height_differences(
    beds: &[Bed],
    months: u32,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Vec<Vec<Interval>>, Error> {
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    let uncertain = UncertainParameters::of_all(beds);
    let others = beds.len().saturating_sub(1);
    let row = || (0..=months).map(|_| Tally::of(ensemble.ensemble_size, BIN_M));
    let mut tallies: Vec<Vec<Tally>> = (0..others).map(|_| row().collect()).collect();
    let one_realisation = |number: u32| -> Result<Vec<Vec<f64>>, Error> {
        let heights = beds.iter().map(|bed| {
            let rows = months_of_draw(bed, &uncertain, ensemble.seed, number, months)?;
            Ok(rows.iter().map(|row| row.height_m).collect())
        });
        heights.collect()
    };
    run_ensemble(ensemble, progress, &one_realisation, &mut |heights| {
        let Some((first, others)) = heights.split_first() else {
            return;
        };
        for (tallies, other) in tallies.iter_mut().zip(others) {
            for ((tally, height_m), first_m) in tallies.iter_mut().zip(other).zip(first) {
                tally.add(height_m - first_m);
            }
        }
    })?;
    let intervals = |row: &Vec<Tally>| row.iter().map(Tally::band).collect();
    Ok(tallies.iter().map(intervals).collect())
}
