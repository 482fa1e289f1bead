//! 80 % intervals of the initial heap.

use serde::{Deserialize, Serialize};

use super::{LEVEL_M, Overfill, heaped};
use crate::bed::Bed;
use crate::fault::error::Error;
use crate::forecast::calendar::days_to_month;
use crate::forecast::progress::Progress;
use crate::forecast::trajectory;
use crate::library::material::Material;
use crate::model::weather::over_a_bed;
use crate::numeric::interval::Interval;
use crate::numeric::tally::Tally;
use crate::topup::planner::Heights;
use crate::topup::realisation::{realised_material, uncertain};
use crate::uncertainty::discrepancy::Discrepancy;
use crate::uncertainty::discrepancy_prior::DiscrepancyPrior;
use crate::uncertainty::ensemble::Realisations;
use crate::uncertainty::ensemble::run_ensemble;
use crate::uncertainty::realisation::until_it_fits;
use crate::uncertainty::sample::Sample;

/// Most forecasts of a realisation: a secant from the nominal answer converges at once.
const MOST_ROUNDS: u32 = 8;
/// Tolerance of the level in a realisation; m (finer than a tape measure).
const DRAW_LEVEL_M: f64 = 4.0 * LEVEL_M;

/// 80 % intervals.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct OverfillIntervals {
    /// Additional thickness on the day of filling; m. Zero in a realisation that ends above the
    /// rim without one.
    pub more_m: Interval,
    /// The same as loose volume; m3.
    pub more_m3: Interval,
    /// Height above the rim on that day; m, negative below it.
    pub above_rim_m: Interval,
}

/// Of one realisation: loose volume, thickness, and height above the rim.
struct Heap {
    more_m3: f64,
    more_m: f64,
    above_rim_m: f64,
}

/// The intervals of [`overfill`](super::overfill), from its nominal answer. None without
/// realisations.
///
/// # Errors
///
/// As [`overfill`](super::overfill), too many realisations, or [`Error::Stopped`].
pub fn overfill_intervals(
    bed: &Bed,
    material: &Material,
    nominal: &Overfill,
    ensemble: Realisations,
    progress: &Progress<'_>,
) -> Result<Option<OverfillIntervals>, Error> {
    if ensemble.ensemble_size == 0 {
        return Ok(None);
    }
    let uncertain = uncertain(core::slice::from_ref(bed), &[material]);
    let prior = DiscrepancyPrior::of(bed);
    let mut tallies = [1e-5, 1e-4, 1e-4].map(|width| Tally::of(ensemble.ensemble_size, width));
    run_ensemble(
        ensemble,
        progress,
        &|number| {
            let sample = Sample::new(bed, &uncertain, ensemble.seed, number);
            let material = realised_material(bed, material, &uncertain, ensemble.seed, number);
            let discrepancy = Discrepancy::new(&prior, ensemble.seed, number, nominal.months);
            until_it_fits(&sample, &|sample| {
                heap(sample, &material, nominal, &discrepancy)
            })
        },
        &mut |heap: &Heap| {
            let figures = [heap.more_m3, heap.more_m, heap.above_rim_m];
            for (tally, figure) in tallies.iter_mut().zip(figures) {
                tally.add(figure);
            }
        },
    )?;
    let [more_m3, more_m, above_rim_m] = tallies.map(|tally| tally.band());
    Ok(Some(OverfillIntervals {
        more_m,
        more_m3,
        above_rim_m,
    }))
}

/// The heap of one realisation, with that discrepancy.
fn heap(
    sample: &Sample,
    material: &Material,
    nominal: &Overfill,
    discrepancy: &Discrepancy,
) -> Result<Heap, Error> {
    let (bed, figures) = (sample.bed(), sample.figures());
    let rim_m = bed.rim_m.unwrap_or_default() + bed.trench_m;
    let weather = over_a_bed(bed, days_to_month(bed.filled, nominal.months), figures);
    let below_m = |more_m3: f64| -> Result<[f64; 2], Error> {
        let bed = heaped(bed, material, more_m3);
        let mut heights = Heights::new(discrepancy);
        trajectory::run(
            &bed,
            weather.clone(),
            figures,
            nominal.months,
            figures.schedule(),
            &mut heights,
        )?;
        Ok([rim_m - heights.start_m(), rim_m - heights.end_m()])
    };
    let [start_m, end_m] = below_m(0.0)?;
    let mut heap = Heap {
        more_m3: 0.0,
        more_m: 0.0,
        above_rim_m: -start_m,
    };
    if end_m < LEVEL_M {
        return Ok(heap);
    }
    // Secant method from nothing and the nominal answer: the final height is almost linear in
    // the volume.
    let (mut low_m3, mut low_below_m) = (0.0, end_m);
    let mut more_m3 = nominal.more_m3;
    for _ in 0..MOST_ROUNDS {
        let [first_m, last_m] = below_m(more_m3)?;
        heap = Heap {
            more_m3,
            more_m: start_m - first_m,
            above_rim_m: -first_m,
        };
        // No slope to go by.
        if last_m.abs() < DRAW_LEVEL_M || (low_below_m - last_m).abs() < 1e-9 {
            break;
        }
        let next_m3 = low_m3 + (more_m3 - low_m3) * low_below_m / (low_below_m - last_m);
        (low_m3, low_below_m) = (more_m3, last_m);
        more_m3 = next_m3.max(0.0);
    }
    Ok(heap)
}
