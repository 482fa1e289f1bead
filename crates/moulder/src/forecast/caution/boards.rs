//! What holds the fill: boards, bags, and the slope of a mound.

use moulder_core::bed::shape::Shape;

use crate::bed::Boards;
use crate::fault::notice::{LONG_BOARDS, Notice, STEEP_MOUND, TALLER_THAN_WIDE, TREATED_TIMBER};
use crate::forecast::caution::fill::Fill;
use crate::quantity::height::reading;

/// Steeper slopes slide; degrees. Soil rests at 30-45 (general literature).
const STEEPEST_DEG: f64 = 45.0;
/// Boards longer than this bow out unless they are tied; m. Owners' reports: walls over
/// 1.5-2 m want a tie, boards of 3 m bowed.
const UNTIED_M: f64 = 2.0;
/// Lower boards hardly bow; m (our own closure).
const LOW_M: f64 = 0.4;
/// Words for timber that was treated.
const TREATED: &[&str] = &[
    "treated",
    "painted",
    "varnished",
    "tarred",
    "creosote",
    "creosoted",
    "sleeper",
    "railroad tie",
    "chipboard",
    "plywood",
    "mdf",
];

pub(super) fn cautions(fill: &Fill<'_>) -> Vec<Notice> {
    let mut found: Vec<Notice> = treated(fill);
    found.extend(steep(fill));
    found.extend(tall(fill));
    found.extend(long(fill));
    found
}

/// Boards given as treated, and fill named so.
fn treated(fill: &Fill<'_>) -> Vec<Notice> {
    let boards = match fill.bed.boards {
        Some(Boards::Treated) => Some("treated"),
        Some(Boards::Painted) => Some("painted"),
        Some(Boards::Tarred) => Some("tarred"),
        Some(Boards::Untreated | Boards::None) | None => None,
    };
    let boards = boards.map(|how| {
        Notice::new(
            TREATED_TIMBER,
            None,
            vec![("what", format!("{how} boards"))],
        )
    });
    let filled = fill
        .named(TREATED)
        .map(|(layer, name)| Notice::new(TREATED_TIMBER, layer, vec![("what", name)]));
    boards.into_iter().chain(filled).collect()
}

fn steep(fill: &Fill<'_>) -> Option<Notice> {
    let Shape::Mound { slope_deg, .. } = fill.bed.shape else {
        return None;
    };
    (slope_deg > STEEPEST_DEG).then(|| {
        let values = vec![("slope", format!("{slope_deg:.0}"))];
        Notice::new(STEEP_MOUND, None, values)
    })
}

fn tall(fill: &Fill<'_>) -> Option<Notice> {
    let rim_m = fill.bed.rim_m?;
    let (width_m, length_m) = fill.bed.shape.section_m(0.0);
    let width_m = width_m.min(length_m);
    (rim_m > width_m * (1.0 + 1e-9)).then(|| {
        let values = vec![
            ("rim", reading(rim_m, fill.bed.units)),
            ("width", reading(width_m, fill.bed.units)),
        ];
        Notice::new(TALLER_THAN_WIDE, None, values)
    })
}

fn long(fill: &Fill<'_>) -> Option<Notice> {
    let Shape::Box { width_m, length_m } = fill.bed.shape else {
        return None;
    };
    let longest_m = width_m.max(length_m);
    let bows =
        fill.bed.boards != Some(Boards::None) && fill.bed.rim_m? >= LOW_M && longest_m > UNTIED_M;
    bows.then(|| {
        let values = vec![("length", reading(longest_m, fill.bed.units))];
        Notice::new(LONG_BOARDS, None, values)
    })
}
