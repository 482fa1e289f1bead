//! Cautions: what can spoil a bed or hurt someone, raised only where it applies.
//!
//! Each is about what the document gives or leaves open; reasons and sources are in
//! [`crate::fault::guide`]. What the document leaves open is asked once, in a short list
//! "before you fill".

mod before;
mod boards;
mod feed;
mod fill;
mod filling;
mod name;
mod nonwoody;
mod place;
mod soil;
mod wood;

pub(crate) use wood::thin_soil_later;

use crate::bed::Bed;
use crate::fault::notice::Notice;
use crate::forecast::row::Month;
use fill::Fill;

/// Every caution that applies to a bed, from the rows of its forecast; day zero is enough.
/// Empty without a row.
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
        feed::cautions,
        before::cautions,
    ] {
        found.extend(part(&fill));
    }
    found
}

#[cfg(test)]
mod tests;
