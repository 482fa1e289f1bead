//! Cautions: what can spoil a bed or hurt someone, raised only where it applies.
//!
//! Each speaks of what the document says, or of what it cannot say; why, with the source, is
//! in [`crate::fault::guide`]. What could not be decided from the document is asked for once,
//! in a few short lines "before you fill".

mod before;
mod boards;
mod course;
mod fill;
mod name;
mod place;
mod soft;
mod soil;
mod wood;

use crate::bed::Bed;
use crate::fault::notice::Notice;
use crate::forecast::row::Month;
use fill::Fill;

/// Every caution that a bed calls for, by the rows of its forecast; day zero alone will do.
/// Nothing without a row.
pub(crate) fn cautions(bed: &Bed, rows: &[Month]) -> Vec<Notice> {
    let Some(fill) = Fill::of(bed, rows) else {
        return Vec::new();
    };
    let mut found = course::cautions(rows);
    for part in [
        place::cautions,
        boards::cautions,
        wood::cautions,
        soft::cautions,
        soil::cautions,
        course::of_filling,
        before::cautions,
    ] {
        found.extend(part(&fill));
    }
    found
}

#[cfg(test)]
mod tests;
