//! The nominal forecast of a bed.

use moulder::internals::bed::Bed;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::forecast::{Forecast, forecast};
use moulder::internals::quantity::units::Units;

use crate::trouble::Trouble;

/// The forecast of a bed that was read from the file of that name.
pub(crate) fn of(bed: &Bed, months: u32, name: &str) -> Result<Forecast, Trouble> {
    forecast(bed, months, &unwatched).map_err(|error| Trouble::of_error(name, &error))
}

/// The unit of a heading ("in in" would be a riddle).
pub(crate) const fn unit_in_words(units: Units) -> &'static str {
    match units {
        Units::Metric => "cm",
        Units::Us | Units::UkGarden => "inches",
    }
}
