//! A daily series of the user's own, repeated where the run is longer.

use jiff::civil::Date;
use moulder_core::weather::Weather;

use super::{laid_out, under_sun};

/// One measured day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeriesDay {
    /// The day.
    pub date: Date,
    /// Daily high; degC.
    pub high_c: f64,
    /// Daily low, not above the high; degC.
    pub low_c: f64,
    /// Rain and melted snow, 0 or more; mm.
    pub rain_mm: f64,
}

/// Why a series gives no weather.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum SkyError {
    /// There is no day in it.
    Empty,
    /// A day is missing between the first and the last.
    Missing {
        /// The first day that is missing.
        date: Date,
    },
    /// A day stands twice, or after a later one.
    OutOfOrder {
        /// The day that stands where it should not.
        date: Date,
    },
    /// A day has no figure, a low above its high, or rain below 0.
    NotWeather {
        /// The day.
        date: Date,
    },
    /// The run goes beyond the series, which is too short to be repeated: less than
    /// a whole year.
    TooShort {
        /// The first day of the run that nothing is known of.
        date: Date,
    },
}

impl core::fmt::Display for SkyError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Empty => f.write_str("the weather series has no days; give at least one"),
            Self::Missing { date } => write!(
                f,
                "the weather series has a gap: {date} is the first day missing; fill it in"
            ),
            Self::OutOfOrder { date } => write!(
                f,
                "the weather series is out of order: {date} stands twice, or after a later day; sort it and keep one"
            ),
            Self::NotWeather { date } => write!(
                f,
                "the weather of {date} needs a high, a low that is not above it, and rain of 0 or more"
            ),
            Self::TooShort { date } => write!(
                f,
                "the weather series says nothing of {date}, and less than a whole year cannot be repeated; give more days"
            ),
        }
    }
}

impl core::error::Error for SkyError {}

/// Lays a daily series out on `days` days from the day of filling (1 day at least,
/// [`super::DAYS_LIMIT`] at most).
///
/// A day that the series covers has its own weather. Any other day, before or
/// after, has that of the same civil day in one of the series' whole years, which
/// come round in their order; on 29 February, where that year has none, that of the
/// 28th. Evapotranspiration is Hargreaves's.
///
/// # Errors
///
/// No days; a day missing, twice or out of order; a day that is no weather; a
/// series of less than a year where the run goes beyond it.
///
/// ```
/// use jiff::civil::date;
/// use moulder::internals::model::weather::{SeriesDay, SkyError, from_series};
///
/// let monday = SeriesDay { date: date(2026, 3, 2), high_c: 9.0, low_c: 1.0, rain_mm: 2.5 };
/// let thursday = SeriesDay { date: date(2026, 3, 5), ..monday };
/// let gap = from_series(&[monday, thursday], 52.2, date(2026, 3, 2), 2);
/// assert_eq!(gap, Err(SkyError::Missing { date: date(2026, 3, 3) }));
/// ```
pub fn from_series(
    rows: &[SeriesDay],
    latitude_deg: f64,
    filled: Date,
    days: u32,
) -> Result<Weather, SkyError> {
    let series = Series::checked(rows)?;
    let mut given = Vec::new();
    let mut date = filled;
    for _ in 0..days.clamp(1, super::DAYS_LIMIT) {
        given.push(series.on(date)?);
        date = date.tomorrow().unwrap_or(date);
    }
    Ok(laid_out(filled, days, given, |_, date, row| {
        let mean_c = 0.5 * (row.high_c + row.low_c);
        let half_swing_c = 0.5 * (row.high_c - row.low_c);
        under_sun(latitude_deg, date, mean_c, half_swing_c, row.rain_mm)
    }))
}

/// Rows of one day after the other, and how many whole years they make.
struct Series<'a> {
    rows: &'a [SeriesDay],
    first: Date,
    years: i16,
}

impl<'a> Series<'a> {
    fn checked(rows: &'a [SeriesDay]) -> Result<Self, SkyError> {
        let first = rows.first().ok_or(SkyError::Empty)?.date;
        let last = rows.last().ok_or(SkyError::Empty)?.date;
        let mut expected = Some(first);
        for row in rows {
            match expected {
                Some(date) if row.date > date => return Err(SkyError::Missing { date }),
                Some(date) if row.date == date => {}
                _ => return Err(SkyError::OutOfOrder { date: row.date }),
            }
            if !is_weather(row) {
                return Err(SkyError::NotWeather { date: row.date });
            }
            expected = row.date.tomorrow().ok();
        }
        // A year that begins on 1 January ends a civil year before its anniversary.
        let latest = last.year() - first.year() + 1;
        let years = (0..=latest)
            .rev()
            .find(|years| end_of_year(first, first.year() + years).is_some_and(|end| end <= last))
            .unwrap_or(0);
        Ok(Self { rows, first, years })
    }

    /// The row of a day, or of the same civil day in another year.
    fn on(&self, date: Date) -> Result<SeriesDay, SkyError> {
        if let Some(row) = self.row(date) {
            return Ok(row);
        }
        if self.years < 1 {
            return Err(SkyError::TooShort { date });
        }
        let turn = (date.year() - self.first.year()).rem_euclid(self.years);
        let year = self.first.year() + turn;
        let in_year = same_day(date, year);
        let found = if in_year < self.first {
            same_day(date, year + self.years)
        } else {
            in_year
        };
        self.row(found).ok_or(SkyError::TooShort { date })
    }

    fn row(&self, date: Date) -> Option<SeriesDay> {
        let after = self.first.until(date).ok()?.get_days();
        let index = usize::try_from(after).ok()?;
        self.rows.get(index).copied()
    }
}

fn is_weather(row: &SeriesDay) -> bool {
    [row.high_c, row.low_c, row.rain_mm]
        .iter()
        .all(|figure| figure.is_finite())
        && row.low_c <= row.high_c
        && row.rain_mm >= 0.0
}

/// The same civil day of another year; the 28th for a 29 February that is not.
fn same_day(date: Date, year: i16) -> Date {
    Date::new(year, date.month(), date.day())
        .or_else(|_| Date::new(year, date.month(), 28))
        .unwrap_or(date)
}

/// The last day of a whole number of years from `first`: the day before its
/// anniversary in `year`. After a 29 February, a common year ends with the 28th.
fn end_of_year(first: Date, year: i16) -> Option<Date> {
    match Date::new(year, first.month(), first.day()) {
        Ok(anniversary) => anniversary.yesterday().ok(),
        Err(_) => Date::new(year, first.month(), 28).ok(),
    }
}

#[cfg(test)]
mod tests {
    use super::{SeriesDay, SkyError, from_series};
    use jiff::civil::{Date, date};
    use proptest::prelude::{any, proptest};

    /// A series whose rain tells the day: year, month and day in one number.
    fn series(first: Date, days: usize) -> Vec<SeriesDay> {
        first
            .series(jiff::Span::new().days(1))
            .take(days)
            .map(|date| SeriesDay {
                date,
                high_c: 15.0,
                low_c: 5.0,
                rain_mm: written(date),
            })
            .collect()
    }

    fn written(date: Date) -> f64 {
        f64::from(date.year()) * 1e4 + f64::from(date.month()) * 1e2 + f64::from(date.day())
    }

    /// The day whose weather a day of the run has.
    #[track_caller]
    fn on(rows: &[SeriesDay], day: Date) -> f64 {
        let weather = from_series(rows, 50.0, day, 1).unwrap();
        assert!((weather.days()[0].mean_c - 10.0).abs() < 1e-12);
        assert!((weather.days()[0].half_swing_c - 5.0).abs() < 1e-12);
        weather.days()[0].rain_mm
    }

    #[track_caller]
    fn same(got: f64, want: Date) {
        assert!((got - written(want)).abs() < 1e-9, "{got}, not {want}");
    }

    #[test]
    fn days_within_are_their_own() {
        let rows = series(date(2026, 3, 14), 20);
        let weather = from_series(&rows, 52.2, date(2026, 3, 20), 14).unwrap();
        assert_eq!(weather.days().len(), 14);
        same(weather.days()[0].rain_mm, date(2026, 3, 20));
        same(weather.days()[13].rain_mm, date(2026, 4, 2));
        // Hargreaves for 10 degC and a swing of 10 near the equinox: about 2 mm.
        assert!((1.5..2.6).contains(&weather.days()[0].eto_mm));
    }

    #[test]
    fn whole_years_come_round_by_civil_day() {
        // Two years and a week, from spring to spring.
        let rows = series(date(2021, 3, 14), 730 + 7);
        same(on(&rows, date(2023, 3, 20)), date(2023, 3, 20));
        same(on(&rows, date(2023, 3, 21)), date(2021, 3, 21));
        same(on(&rows, date(2024, 1, 5)), date(2022, 1, 5));
        same(on(&rows, date(2024, 3, 13)), date(2022, 3, 13));
        same(on(&rows, date(2024, 3, 14)), date(2022, 3, 14));
        same(on(&rows, date(2025, 1, 5)), date(2023, 1, 5));
        same(on(&rows, date(2021, 3, 13)), date(2023, 3, 13));
        same(on(&rows, date(1999, 7, 1)), date(2021, 7, 1));
    }

    #[test]
    fn the_leap_day_is_found_or_stood_in_for() {
        let without = series(date(2021, 1, 1), 365);
        same(on(&without, date(2024, 2, 29)), date(2021, 2, 28));
        let with = series(date(2024, 1, 1), 366);
        same(on(&with, date(2028, 2, 29)), date(2024, 2, 29));
        same(on(&with, date(2025, 2, 28)), date(2024, 2, 28));
        same(on(&with, date(2025, 3, 1)), date(2024, 3, 1));
        // From a leap day to the eve of the next March is a year.
        let from_leap_day = series(date(2016, 2, 29), 366);
        same(on(&from_leap_day, date(2018, 2, 28)), date(2017, 2, 28));
        same(on(&from_leap_day, date(2018, 3, 1)), date(2016, 3, 1));
        same(on(&from_leap_day, date(2020, 2, 29)), date(2016, 2, 29));
    }

    #[test]
    fn faults_name_the_day() {
        let filled = date(2026, 3, 1);
        let whole = series(filled, 10);
        let fault = |rows: &[SeriesDay]| from_series(rows, 52.0, filled, 5).unwrap_err();
        assert_eq!(fault(&[]), SkyError::Empty);
        let mut gap = whole.clone();
        gap.drain(3..5);
        assert_eq!(
            fault(&gap),
            SkyError::Missing {
                date: date(2026, 3, 4)
            }
        );
        let mut twice = whole.clone();
        twice.insert(4, whole[3]);
        assert_eq!(
            fault(&twice),
            SkyError::OutOfOrder {
                date: date(2026, 3, 4)
            }
        );
        for spoil in [
            |row: &mut SeriesDay| row.high_c = f64::NAN,
            |row: &mut SeriesDay| row.low_c = row.high_c + 0.1,
            |row: &mut SeriesDay| row.rain_mm = -0.1,
        ] {
            let mut spoilt = whole.clone();
            spoil(&mut spoilt[6]);
            assert_eq!(
                fault(&spoilt),
                SkyError::NotWeather {
                    date: date(2026, 3, 7)
                }
            );
        }
        let beyond = from_series(&whole, 52.0, filled, 11).unwrap_err();
        assert_eq!(
            beyond,
            SkyError::TooShort {
                date: date(2026, 3, 11)
            }
        );
        assert!(beyond.to_string().contains("2026-03-11"));
    }

    #[test]
    fn a_day_short_of_a_year_is_not_repeated() {
        let rows = series(date(2021, 5, 1), 364);
        let beyond = from_series(&rows, 52.0, date(2021, 5, 1), 365);
        assert_eq!(
            beyond,
            Err(SkyError::TooShort {
                date: date(2022, 4, 30)
            })
        );
    }

    proptest! {
        /// A year or more covers every day there is, and gives the same civil day.
        #[test]
        fn a_year_covers_every_day(start in 0_i32..1500, more in 0_usize..900, on_day in -40_000_i32..40_000, latitude in any::<f64>()) {
            let first = date(2015, 1, 1) + jiff::Span::new().days(start);
            let rows = series(first, 366 + more);
            let day = date(2020, 1, 1) + jiff::Span::new().days(on_day);
            let weather = from_series(&rows, latitude, day, 1).unwrap();
            let month_day = weather.days()[0].rain_mm % 1e4;
            let stand_in = if day.month() == 2 && day.day() == 29 { 1.0 } else { 0.0 };
            let short = written(day) % 1e4 - month_day;
            assert!((0.0..=stand_in).contains(&short), "{day}: {month_day}");
        }
    }
}
