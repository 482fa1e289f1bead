//! What charts of one bed are drawn from.

use moulder::Bed;
use moulder::Forecast;
use moulder::months::Day;

use crate::plot::pace::Pace;
use crate::plot::reading::Reading;

/// What charts of one bed are drawn from.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The bed.
    pub bed: &'a Bed,
    /// Its forecast.
    pub forecast: &'a Forecast,
    /// Tape measure readings, in any order.
    pub readings: &'a [Reading],
    /// Heights on days within the months ([`moulder::months::days`]), or none.
    pub days: &'a [Day],
}

impl Subject<'_> {
    /// How its settlement is spread over the days of its months.
    #[must_use]
    pub fn pace(&self) -> Pace {
        Pace::of(self.bed, self.forecast, self.days)
    }
}
