//! Dangers of a bed: notices that stand before anything else that is said of it.

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fault::notice::{Notice, Severity};
use crate::forecast::forecast;
use crate::forecast::progress::unwatched;

/// What of a bed may hurt someone or something, known as soon as it is filled; what its
/// document acknowledges as well, marked as such. They are of every answer about the bed,
/// whatever was asked.
///
/// # Errors
///
/// A mound without room for its layers.
pub fn dangers(bed: &Bed) -> Result<Vec<Notice>, Error> {
    let filled = forecast(bed, 0, &unwatched)?;
    Ok(among(filled.notices))
}

/// The dangers among notices.
pub(crate) fn among(mut notices: Vec<Notice>) -> Vec<Notice> {
    notices.retain(|notice| notice.severity == Severity::Danger);
    notices
}
