//! Where the heap that makes a bed level in time lies.

use schemars::JsonSchema;
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
use crate::uncertainty::draws::Realisations;
use crate::uncertainty::draws::run_ensemble;
use crate::uncertainty::realisation::until_it_fits;
use crate::uncertainty::sample::Sample;

/// Forecasts that a draw takes at most: a straight line from the middle's answer comes
/// near at once.
const MOST_ROUNDS: u32 = 8;
/// How close to level is level in a draw; m (a tape reads no finer).
const DRAW_LEVEL_M: f64 = 4.0 * LEVEL_M;

/// Where four in five draws lie.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub struct OverfillIntervals {
    /// How much more to lay on when it is filled; m. Nothing in a draw that ends above the
    /// rim by itself.
    pub more_m: Interval,
    /// The same as loose volume; m3.
    pub more_m3: Interval,
    /// How far it then stands above the rim at the start; m, negative below it.
    pub above_rim_m: Interval,
}

/// What one draw needs: loose volume, its rise, and the height above the rim.
struct Heap {
    more_m3: f64,
    more_m: f64,
    above_rim_m: f64,
}

/// The bands of [`overfill`](super::overfill), around its answer. Without draws none.
///
/// # Errors
///
/// As [`overfill`](super::overfill), too many draws, or a progress that stops it.
pub fn overfill_bands(
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
    let mut tallies = [1e-5, 1e-4, 1e-4].map(|width| Tally::of(ensemble.ensemble_size, width));
    run_ensemble(
        ensemble,
        progress,
        &|number| {
            let sample = Sample::of(bed, &uncertain, ensemble.seed, number);
            let material = realised_material(bed, material, &uncertain, ensemble.seed, number);
            let discrepancy = Discrepancy::new(ensemble.seed, number, nominal.months);
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

/// The heap that one draw needs, with laws that are off by that.
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
    // The secant between nothing and the last try: what is laid on ends higher almost in
    // a straight line.
    let (mut low_m3, mut low_below_m) = (0.0, end_m);
    let mut more_m3 = nominal.more_m3;
    for _ in 0..MOST_ROUNDS {
        let [first_m, last_m] = below_m(more_m3)?;
        heap = Heap {
            more_m3,
            more_m: start_m - first_m,
            above_rim_m: -first_m,
        };
        // Where more makes no difference there is no line to go by.
        if last_m.abs() < DRAW_LEVEL_M || (low_below_m - last_m).abs() < 1e-9 {
            break;
        }
        let next_m3 = low_m3 + (more_m3 - low_m3) * low_below_m / (low_below_m - last_m);
        (low_m3, low_below_m) = (more_m3, last_m);
        more_m3 = next_m3.max(0.0);
    }
    Ok(heap)
}
