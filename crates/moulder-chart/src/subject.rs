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
    /// Readings with a tape, in any order.
    pub readings: &'a [Reading],
    /// Days between the turns of months, for what a bed sinks fast: those of
    /// [`moulder::months::days`], or none.
    pub days: &'a [Day],
}

impl Subject<'_> {
    /// How its sink is spread over the days of its months.
    #[must_use]
    pub fn pace(&self) -> Pace {
        Pace::of(self.bed, self.forecast, self.days)
    }
}
