//! The nominal forecast of a bed.

use moulder::internals::bed::Bed;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::forecast::{Forecast, forecast};

use crate::trouble::Trouble;

/// The forecast of a bed that was read from the file of that name.
pub(crate) fn of(bed: &Bed, months: u32, name: &str) -> Result<Forecast, Trouble> {
    forecast(bed, months, &unwatched).map_err(|error| Trouble::of_error(name, &error))
}
