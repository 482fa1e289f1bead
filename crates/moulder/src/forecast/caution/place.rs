//! Where a bed stands: what carries it, what is beside it, what lies below.

use crate::bed::StandsOn;
use crate::fault::notice::{BURIED_SERVICES, Notice, WALL_CONTACT, WET_WEIGHT};
use crate::forecast::caution::fill::Fill;
use crate::quantity::amount::load;
use crate::quantity::height::reading;

/// The gap to a house wall that gardeners and builders advise in public forums; m.
const NEAREST_M: f64 = 0.2;
const FARTHEST_M: f64 = 0.6;

pub(super) fn cautions(fill: &Fill<'_>) -> Vec<Notice> {
    [wet_weight(fill), buried_services(fill), wall_contact(fill)]
        .into_iter()
        .flatten()
        .collect()
}

/// Anything that can give way calls for an engineer, whatever the weight.
fn wet_weight(fill: &Fill<'_>) -> Option<Notice> {
    let below = match fill.bed.stands_on? {
        StandsOn::Deck => "deck",
        StandsOn::Balcony => "balcony",
        StandsOn::Roof => "roof",
        StandsOn::Ground | StandsOn::Paving => return None,
    };
    let values = vec![
        ("below", below.to_owned()),
        ("load", load(fill.load_kg_per_m2(), fill.bed.units)),
    ];
    Some(Notice::new(WET_WEIGHT, None, values))
}

fn buried_services(fill: &Fill<'_>) -> Option<Notice> {
    let trench_m = fill.bed.trench_m;
    (trench_m > 0.0).then(|| {
        let values = vec![("trench", reading(trench_m, fill.bed.units))];
        Notice::new(BURIED_SERVICES, None, values)
    })
}

fn wall_contact(fill: &Fill<'_>) -> Option<Notice> {
    (fill.bed.near_wall == Some(true)).then(|| {
        let gap = |gap_m| reading(gap_m, fill.bed.units);
        let values = vec![("from", gap(NEAREST_M)), ("to", gap(FARTHEST_M))];
        Notice::new(WALL_CONTACT, None, values)
    })
}
