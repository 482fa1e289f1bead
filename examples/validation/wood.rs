//! Shrinkage of wood.

use moulder_core::law::shrinkage::{Skeleton, WOOD_SHRINKAGE, shrunk, width_lost};

use crate::check::{Check, point};
use crate::source::{Source, read};
use crate::subject::Subject;

/// The figures are also in the test of `moulder_core`'s `shrinkage.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Shrinkage of wood",
        sources: vec![wood_handbook(), green_1989()],
    }
}

/// A wood: radial, tangential and volumetric shrinkage from green to oven dry; per cent.
type Wood = (&'static str, f64, f64, &'static str);

const WOODS: [Wood; 12] = [
    ("red alder", 4.4, 7.3, "12.6"),
    ("white ash", 4.9, 7.8, "13.3"),
    ("quaking aspen", 3.5, 6.7, "11.5"),
    ("American beech", 5.5, 11.9, "17.2"),
    ("paper birch", 6.3, 8.6, "16.2"),
    ("black cherry", 3.7, 7.1, "11.5"),
    ("black cottonwood", 3.6, 8.6, "12.4"),
    ("white oak", 5.6, 10.5, "16.3"),
    ("northern white cedar", 2.2, 4.9, "7.2"),
    ("western red cedar", 2.4, 5.0, "6.8"),
    ("coast Douglas fir", 4.8, 7.6, "12.4"),
    ("white fir", 3.3, 7.0, "9.8"),
];

/// Mean linear shrinkage of a wood, oven dry.
fn mean_loss(wood: &Wood) -> f64 {
    0.005 * (wood.1 + wood.2)
}

fn wood_handbook() -> Source {
    let mut checks: Vec<Check> = WOODS.iter().map(volume_lost).collect();
    let mean = WOODS.iter().map(mean_loss).sum::<f64>() / 12.0;
    // The mean of the twelve, 6.11 %, is computed from the table above.
    checks.push(
        point(
            "our middle over the twelve's mean",
            "1.00",
            WOOD_SHRINKAGE.best / mean,
        )
        .wider(0.03, "the middle is rounded"),
    );
    let spread = WOOD_SHRINKAGE.spread;
    let inside = (WOODS.iter().map(mean_loss))
        .filter(|loss| (spread.low..spread.high).contains(loss))
        .map(|_| 1.0);
    checks.push(
        point("of the twelve in our four in five", "9.6", inside.sum())
            .wider(2.0, "twelve woods are few"),
    );
    read(
        "Wood Handbook (FPL-GTR-190), table 4-3 (read in part): a piece narrowed both ways by \
         the mean of its radial and tangential shrinkage loses about the printed volume",
        checks,
    )
}

fn volume_lost(wood: &Wood) -> Check {
    let piece = Skeleton {
        envelope_m3: 1.0,
        gap_m3: 0.5,
    };
    let dry = shrunk(piece, 1.0, width_lost(0.0, mean_loss(wood)));
    point(
        format!("{}, volume lost, %", wood.0),
        wood.3,
        100.0 * (1.0 - dry.envelope_m3),
    )
    .wider(2.0, "two widths do not give the volume exactly")
}

fn green_1989() -> Source {
    let printed = ["3.96", "3.17", "2.58", "1.78"];
    let checks = [8.0, 12.0, 15.0, 19.0].into_iter().zip(printed);
    let checks = checks.map(|(percent, mean)| {
        point(
            format!("width lost at {percent} % moisture, %"),
            mean,
            100.0 * width_lost(percent / 100.0, WOOD_SHRINKAGE.best),
        )
        .wider(0.5, "lumber of other woods than our middle")
    });
    read(
        "Green 1989, FPL-RP-489, abstract: width 6.031 - 0.215 M and thickness 5.062 - 0.181 M \
         per cent, here their mean",
        checks.collect(),
    )
}
