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
///
/// # Examples
///
/// ```
/// use moulder::internals::library::Library;
/// use moulder::internals::forecast::danger::dangers;
/// use moulder::internals::read::read_toml;
///
/// let text = r#"
/// format = 1
/// filled = 2026-03-14
/// climate = "Cambridge UK"
/// [bed]
/// shape = "round"
/// across = "1.2 m"
/// rim = "50 cm"
/// stands-on = "roof"
/// [[layer]]
/// put = [{ material = "loamy topsoil", amount = "45 cm" }]
/// "#;
/// let bed = read_toml(text, &Library::built_in())?;
/// assert_eq!(dangers(&bed)?[0].code, "wet-weight");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn dangers(bed: &Bed) -> Result<Vec<Notice>, Error> {
    let filled = forecast(bed, 0, &unwatched)?;
    Ok(among(filled.notices))
}

/// The dangers among notices.
pub(crate) fn among(mut notices: Vec<Notice>) -> Vec<Notice> {
    notices.retain(|notice| notice.severity == Severity::Danger);
    notices
}
