//! Notices of a forecast.

use crate::bed::{Bed, Layer};
use crate::fault::notice::{self, Notice};
use crate::forecast::caution::{cautions, thin_soil_later};
use crate::forecast::roots::growing_layers;
use crate::forecast::row::Month;
use crate::quantity::height::reading;

/// Every notice that the rows give rise to; `layers` include later additions.
pub(crate) fn notices(bed: &Bed, layers: &[Layer], rows: &[Month]) -> Vec<Notice> {
    let runs_thin = thin_soil(bed, layers, rows);
    runs_thin
        .or_else(|| thin_soil_later(bed, rows))
        .into_iter()
        .chain(steep_heap(bed, rows))
        .chain(airless_layers(rows))
        .chain(cautions(bed, rows))
        .collect()
}

/// Thinner growing soil is poor and dries out; m (gardeners ask for at least six inches over
/// wood; a third of that is little: common practice, no source).
const THIN_SOIL_M: f64 = 0.05;
/// Share of its thickness that growing soil may lose without a notice.
const LOST_SHARE: f64 = 0.5;

/// A warning for growing soil that becomes thin, most often by fines migration.
fn thin_soil(bed: &Bed, layers: &[Layer], rows: &[Month]) -> Option<Notice> {
    let index = bed.layers.iter().rposition(|layer| layer.grows)?;
    let roots = growing_layers(layers, bed.layers.len());
    let thickness_m = |row: &Month| -> f64 {
        let layers = roots.iter().filter_map(|index| row.layers.get(*index));
        layers.map(|layer| layer.thickness_m).sum()
    };
    let start_m = thickness_m(rows.first()?);
    let least_m = if start_m < THIN_SOIL_M {
        (1.0 - LOST_SHARE) * start_m
    } else {
        THIN_SOIL_M.max((1.0 - LOST_SHARE) * start_m)
    };
    let thin = rows.iter().find(|row| thickness_m(row) < least_m)?;
    let (then_m, end_m) = (thickness_m(thin), thickness_m(rows.last()?));
    Some(Notice::new(
        notice::GROWING_SOIL_RUNS_THIN,
        Some(index),
        vec![
            ("month", thin.month.to_string()),
            ("thickness", reading(then_m, bed.units)),
            ("at-first", reading(start_m, bed.units)),
            ("at-last", reading(end_m, bed.units)),
        ],
    ))
}

/// Airless days of a month above which a layer is noted.
const AIRLESS_DAYS: f64 = 14.0;

/// A note for each layer that is airless for weeks, with its months.
fn airless_layers(rows: &[Month]) -> Vec<Notice> {
    let count = rows.first().map_or(0, |row| row.layers.len());
    (0..count)
        .filter_map(|layer| {
            let airless = |row: &&Month| row.layers[layer].airless_days > AIRLESS_DAYS;
            let first = rows.iter().find(airless)?;
            Some(Notice::new(
                notice::AIRLESS_LAYER,
                Some(layer),
                vec![
                    ("first", first.month.to_string()),
                    ("months", rows.iter().filter(airless).count().to_string()),
                    ("of", rows.len().saturating_sub(1).to_string()),
                ],
            ))
        })
        .collect()
}

/// Steepest slope of loose soil and green waste; rise per run (soil rests at 30-45 degrees,
/// general literature; the middle of that).
const REST_SLOPE: f64 = 0.75;

/// How high above the rim loose material stays; m.
pub(crate) fn heap_stays_m(bed: &Bed) -> f64 {
    let (width_m, length_m) = bed.shape.section_m(0.0);
    0.5 * width_m.min(length_m) * REST_SLOPE
}

/// A warning for a heap above the rim that is steeper than loose material stays, on the day of
/// filling or after an addition.
fn steep_heap(bed: &Bed, rows: &[Month]) -> Option<Notice> {
    let heights_m = rows.iter().filter_map(|row| row.below_rim_m);
    let heaped_m = -heights_m.min_by(f64::total_cmp)?;
    let most_m = heap_stays_m(bed);
    (heaped_m > most_m).then(|| {
        Notice::new(
            notice::HEAP_WILL_NOT_STAY,
            None,
            vec![
                ("heaped", reading(heaped_m, bed.units)),
                ("most", reading(most_m, bed.units)),
            ],
        )
    })
}
