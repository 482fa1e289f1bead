//! When and how a bed is filled, and the limits of a forecast.

use crate::bed::{Amount, Firmness, Placement};
use crate::fault::notice::{LOOSE_MEASURE, NOT_A_PROMISE, Notice, PLANT_TOO_SOON, SPRING_FILL};
use crate::forecast::caution::fill::Fill;
use crate::forecast::row::Month;

/// First and last month of spring, north and south of the equator.
const SPRING: [(i8, i8); 2] = [(3, 5), (9, 11)];

/// Cautions on any forecast; the day of filling alone is none.
pub(super) fn of_forecast(rows: &[Month]) -> Vec<Notice> {
    let looks_ahead = rows.len() > 1;
    let promise = looks_ahead.then(|| Notice::new(NOT_A_PROMISE, None, Vec::new()));
    promise.into_iter().collect()
}

pub(super) fn cautions(fill: &Fill<'_>) -> Vec<Notice> {
    let mut found = Vec::new();
    if fill.bed.has_wood() {
        found.push(Notice::new(PLANT_TOO_SOON, None, Vec::new()));
        found.extend(spring(fill));
    }
    found.extend(loose_measure(fill));
    found
}

fn spring(fill: &Fill<'_>) -> Option<Notice> {
    let (first, last) = SPRING[usize::from(fill.bed.climate.latitude_deg < 0.0)];
    let month = fill.bed.filled.month();
    (first <= month && month <= last).then(|| Notice::new(SPRING_FILL, None, Vec::new()))
}

/// A thickness of a compacted layer, not given as before or after.
fn loose_measure(fill: &Fill<'_>) -> Option<Notice> {
    let unsaid = |layer: usize, put: usize| {
        let path = format!("/layer/{layer}/put/{put}/as");
        fill.bed.defaults.iter().any(|default| default.path == path)
    };
    let mut layers = fill.bed.layers.iter().enumerate();
    let (layer, _) = layers.find(|(index, layer)| {
        let mut put = layer.put.iter().enumerate();
        layer.firmness == Firmness::Compacted
            && put.any(|(place, put)| {
                matches!(put.amount, Amount::ThicknessM(_))
                    && put.placement == Placement::Loose
                    && unsaid(*index, place)
            })
    })?;
    Some(Notice::new(LOOSE_MEASURE, Some(layer), Vec::new()))
}
