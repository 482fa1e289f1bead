//! Tape measure readings.

use moulder::Bed;
use moulder_words::fit::usual_give_or_take_m;

use crate::plot::calendar::Calendar;

/// A tape measure reading of the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When: months since filling, a day being its part of the month it lies in.
    pub month: f64,
    /// Height of the surface over the ground beside the bed; m.
    pub height_m: f64,
    /// Half of its 80 % interval; m.
    pub plus_minus_m: f64,
}

impl Reading {
    /// Those in a bed's document, with the default interval where none is given.
    #[must_use]
    pub fn all_of(bed: &Bed) -> Vec<Self> {
        let calendar = Calendar::new(bed.filled(), bed.climate().latitude_deg);
        let usual_m = usual_give_or_take_m();
        let reading = |read: &moulder::filled::Reading| Self {
            month: calendar.months_to(read.on),
            height_m: read.height_m,
            plus_minus_m: read.give_or_take_m.unwrap_or(usual_m),
        };
        bed.readings().iter().map(reading).collect()
    }
}
