//! Cautions: what can spoil a bed or hurt someone, raised only where it applies.
//!
//! Each speaks of what the document says, or of what it cannot say; why, with the source, is
//! in [`crate::fault::guide`]. What could not be decided from the document is asked for once,
//! in a few short lines "before you fill".

mod before;
mod boards;
mod fill;
mod filling;
mod name;
mod nonwoody;
mod place;
mod soil;
mod wood;

use crate::bed::Bed;
use crate::fault::notice::Notice;
use crate::forecast::row::Month;
use fill::Fill;

/// Every caution that a bed calls for, by the rows of its forecast; day zero alone will do.
/// Nothing without a row.
pub(crate) fn cautions(bed: &Bed, rows: &[Month]) -> Vec<Notice> {
    let Some(fill) = Fill::new(bed, rows) else {
        return Vec::new();
    };
    let mut found = filling::of_forecast(rows);
    for part in [
        place::cautions,
        boards::cautions,
        wood::cautions,
        nonwoody::cautions,
        soil::cautions,
        filling::cautions,
        before::cautions,
    ] {
        found.extend(part(&fill));
    }
    found
}

#[cfg(test)]
mod tests;
