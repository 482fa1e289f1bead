//! Days on which a tape is held to a bed within a year, with what to expect: for a board beside it.
//!
//! ```
//! use moulder::{Bed, TopUpRequest, date, top_ups};
//! use moulder_words::board::marks;
//!
//! let bed = Bed::example();
//! let forecast = bed.forecast().months(13).ensemble_size(8).run()?;
//! let plans = top_ups(&[bed], &TopUpRequest::new("loamy topsoil").ensemble_size(8))?;
//! let marks = marks(&forecast, &plans[0], date(2026, 3, 14));
//! assert_eq!(marks[0].on, date(2026, 4, 11));
//! assert!(marks[0].expect.contains(" cm ("));
//! # Ok::<(), moulder::Error>(())
//! ```

use moulder::months::{Expected, month_day};
use moulder::{Date, Forecast, TopUps, Units, date};

use crate::answer::{horizons, order_by};
use crate::calendar::{FIRST_READING_WEEKS, WEEK};
use crate::figure::height::reading;
use crate::forecast::depths;

/// Months in which a quarter of the year begins.
const QUARTERS: [i8; 4] = [1, 4, 7, 10];
/// A quarter's day nearer than this to another is left out; d.
const APART_DAYS: i32 = 21;

/// A day on which a tape is held to a bed.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Mark {
    /// The day.
    pub on: Date,
    /// The depth below the rim, or the height of a mound, with its range: "32 cm (25 to 39)".
    pub expect: String,
    /// Whether an order rests on it.
    pub is_before_an_order: bool,
    /// Whether it is there as the beginning of a quarter of the year alone: the first to leave out
    /// where room is short.
    pub is_quarter: bool,
}

/// The days after a day and within a year: four weeks after filling, the quarters of the year, the
/// next turn of the season, a week before the first order, and a year on. The forecast is without
/// top-ups: so is what is expected.
#[must_use]
pub fn marks(forecast: &Forecast, topups: &TopUps, as_of: Date) -> Vec<Mark> {
    let as_of = as_of.max(forecast.filled);
    let end = month_day(as_of, 12);
    let first = topups.top_ups.first().filter(|first| first.bought > 0);
    let order = first.map(|first| {
        let on = order_by(topups, first).unwrap_or(first.date);
        on.saturating_sub(WEEK)
    });
    let settled = forecast.filled.saturating_add(FIRST_READING_WEEKS * WEEK);
    let mut days: Vec<Date> = horizons(as_of).into_iter().chain([settled]).collect();
    days.extend(order);
    let told = days.clone();
    for year in as_of.year()..=end.year() {
        for quarter in QUARTERS.map(|month| date(year, month, 1)) {
            let apart = |day: &Date| day.until(quarter).map_or(0, |span| span.get_days().abs());
            if days.iter().all(|day| apart(day) >= APART_DAYS) {
                days.push(quarter);
            }
        }
    }
    days.retain(|day| as_of < *day && *day <= end);
    days.sort_unstable();
    days.dedup();
    let marks = days.into_iter().filter_map(|on| {
        Some(Mark {
            on,
            expect: expect(&forecast.expected_on(on)?, forecast.units),
            is_before_an_order: order == Some(on),
            is_quarter: !told.contains(&on),
        })
    });
    marks.collect()
}

/// "32 cm (25 to 39)", "2 cm above (4 above to 1 below)".
fn expect(expected: &Expected, units: Units) -> String {
    let band = expected.below_rim_m.unwrap_or(expected.height_m);
    let side = if expected.below_rim_m.is_some() && reading(band.mean, units).starts_with('-') {
        " above"
    } else {
        ""
    };
    let range = depths(&band, band.mean, units);
    let range = range.map_or_else(String::new, |range| format!(" ({range})"));
    let told = reading(band.mean, units);
    format!("{}{side}{range}", told.trim_start_matches('-'))
}
