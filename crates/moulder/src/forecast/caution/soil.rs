//! Soil and compost, and what stops drainage.

use crate::fault::notice::{ALL_COMPOST, BLOCKED_BASE, Notice};
use crate::forecast::caution::fill::{Fill, is_compost};

/// Names of impermeable sheets.
const TIGHT: &[&str] = &[
    "plastic",
    "polythene",
    "foil",
    "lino",
    "linoleum",
    "carpet",
    "tarpaulin",
    "pond liner",
];
/// Above this share of the depth compost is too much (owners' rule of thumb: half).
const MOST: f64 = 0.5;

pub(super) fn cautions(fill: &Fill<'_>) -> Vec<Notice> {
    [all_compost(fill), blocked_base(fill)]
        .into_iter()
        .flatten()
        .collect()
}

/// Compost by its share of the depth; in a mixed layer, by its share of the dry mass.
fn all_compost(fill: &Fill<'_>) -> Option<Notice> {
    let (mut all_m, mut compost_m) = (0.0, 0.0);
    for (index, layer) in fill.layers.iter().enumerate() {
        let thickness_m = fill.thickness_m(index);
        let dry_kg: f64 = layer.iter().map(|arrival| arrival.dry_kg).sum();
        let compost = layer
            .iter()
            .filter(|arrival| is_compost(arrival.ingredient));
        let compost_kg: f64 = compost.map(|arrival| arrival.dry_kg).sum();
        all_m += thickness_m;
        compost_m += thickness_m * compost_kg / dry_kg.max(f64::MIN_POSITIVE);
    }
    (compost_m > MOST * all_m).then(|| Notice::new(ALL_COMPOST, None, Vec::new()))
}

fn blocked_base(fill: &Fill<'_>) -> Option<Notice> {
    let (layer, name) = fill.named(TIGHT)?;
    Some(Notice::new(BLOCKED_BASE, layer, vec![("what", name)]))
}
