//! Dangers: notices that come before anything else.

use crate::bed::Bed;
use crate::fault::error::Error;
use crate::fault::notice::{Notice, Severity};
use crate::forecast::forecast;
use crate::forecast::progress::unwatched;

/// Notices on what may hurt someone or something, known as soon as the bed is filled,
/// acknowledged ones included. They are part of every answer about the bed.
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
