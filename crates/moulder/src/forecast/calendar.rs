//! Calendar dates of the months of a forecast.

use jiff::civil::Date;
use jiff::{Span, ToSpan};

use crate::fault::error::Error;
use crate::text::limit::MONTHS_LIMIT;

/// The same day of the month `month` months later, or the last day of that month.
///
/// ```
/// use moulder::{date, months::month_day};
///
/// assert_eq!(month_day(date(2026, 1, 31), 1), date(2026, 2, 28));
/// ```
#[must_use]
pub fn month_day(filled: Date, month: u32) -> Date {
    let months: Span = i64::from(month).months();
    filled.saturating_add(months)
}

/// The first month that ends on that day or later.
///
/// # Errors
///
/// The day lies beyond the longest forecast.
pub fn months_to(filled: Date, on: Date) -> Result<u32, Error> {
    let month = (0..=MONTHS_LIMIT).find(|month| month_day(filled, *month) >= on);
    month.ok_or_else(|| Error::ReadingAfterEnd {
        on,
        end: month_day(filled, MONTHS_LIMIT),
    })
}

/// Days from filling to the row of a month.
#[must_use]
pub fn days_to_month(filled: Date, month: u32) -> f64 {
    let days = filled
        .until(month_day(filled, month))
        .map_or(0, |span| span.get_days());
    f64::from(days)
}

#[cfg(test)]
mod tests {
    use super::{days_to_month, month_day};
    use jiff::civil::date;

    #[test]
    fn months_end_on_their_last_day() {
        let filled = date(2026, 1, 31);
        assert_eq!(month_day(filled, 1), date(2026, 2, 28));
        assert_eq!(month_day(filled, 2), date(2026, 3, 31));
        assert!((days_to_month(filled, 12) - 365.0).abs() < 1e-12);
        assert!((days_to_month(filled, 1200) - 36524.0).abs() < 1e-12);
    }
}
