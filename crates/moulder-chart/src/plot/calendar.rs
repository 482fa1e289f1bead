//! Days, years and seasons along an axis of months since filling.

use moulder::Date;
use moulder::months::month_day;
use moulder_words::forecast::MONTHS;

/// Latitude of the tropics, where no seasons are drawn; degrees (obliquity of the ecliptic,
/// 23.44).
const TROPIC_DEG: f64 = 23.44;

/// A bed's calendar: the day of filling, and the hemisphere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Calendar {
    filled: Date,
    latitude_deg: f64,
}

/// A season of three whole months.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Season {
    /// March to May in the north.
    Spring,
    /// June to August in the north.
    Summer,
    /// September to November in the north.
    Autumn,
    /// December to February in the north.
    Winter,
}

impl Season {
    /// Its name.
    #[must_use]
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Spring => "spring",
            Self::Summer => "summer",
            Self::Autumn => "autumn",
            Self::Winter => "winter",
        }
    }
}

/// Something that lasts, in months since filling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stretch<T> {
    /// What it is.
    pub what: T,
    /// When it begins.
    pub from: f64,
    /// When it ends.
    pub to: f64,
}

impl Calendar {
    /// Of a bed filled on that day, at that latitude (degrees, south negative).
    #[must_use]
    pub(crate) const fn new(filled: Date, latitude_deg: f64) -> Self {
        Self {
            filled,
            latitude_deg,
        }
    }

    /// Months from filling to a day: whole at the days of the forecast's rows, linear between
    /// them; negative before.
    #[must_use]
    pub(crate) fn months_to(&self, day: Date) -> f64 {
        let years = i32::from(day.year()) - i32::from(self.filled.year());
        let count = years * 12 + i32::from(day.month()) - i32::from(self.filled.month());
        let Ok(count) = u32::try_from(count) else {
            // Before filling only the beginning of a season or year is asked for.
            return f64::from(days(self.filled, day)) / 30.44;
        };
        let month = if month_day(self.filled, count) > day {
            count.saturating_sub(1)
        } else {
            count
        };
        let (from, to) = (
            month_day(self.filled, month),
            month_day(self.filled, month + 1),
        );
        f64::from(month) + f64::from(days(from, day)) / f64::from(days(from, to).max(1))
    }

    /// The seasons in the months from filling to `last`, cut to these; none in the tropics.
    #[must_use]
    pub(crate) fn seasons(&self, last: f64) -> Vec<Stretch<Season>> {
        if self.latitude_deg.abs() < TROPIC_DEG {
            return Vec::new();
        }
        let north = [
            Season::Winter,
            Season::Spring,
            Season::Summer,
            Season::Autumn,
        ];
        let mut seasons = Vec::new();
        // The quarter of the year that holds the day of filling begins in the third
        // month of some quarter: December, March, June, September.
        let (mut year, mut month) = quarter(self.filled);
        loop {
            let next = if month == 12 {
                (year + 1, 3)
            } else {
                (year, month + 3)
            };
            let (Some(begin), Some(end)) = (first_of(year, month), first_of(next.0, next.1)) else {
                return seasons;
            };
            let from = self.months_to(begin).max(0.0);
            if from >= last {
                return seasons;
            }
            let turn = if self.latitude_deg < 0.0 { 2 } else { 0 };
            let at = usize::try_from(month / 3).unwrap_or(0) % 4;
            seasons.push(Stretch {
                what: north[(at + turn) % 4],
                from,
                to: self.months_to(end).min(last),
            });
            (year, month) = next;
        }
    }

    /// The calendar years from filling to `last`, cut to these.
    #[must_use]
    pub(crate) fn years(&self, last: f64) -> Vec<Stretch<i16>> {
        let mut years = Vec::new();
        let mut year = self.filled.year();
        loop {
            let (Some(begin), Some(end)) = (first_of(year, 1), first_of(year + 1, 1)) else {
                return years;
            };
            let from = self.months_to(begin).max(0.0);
            if from >= last {
                return years;
            }
            years.push(Stretch {
                what: year,
                from,
                to: self.months_to(end).min(last),
            });
            year += 1;
        }
    }

    /// The first days of months from filling to `last`, with the month's name.
    #[must_use]
    pub(crate) fn month_starts(&self, last: f64) -> Vec<(f64, &'static str)> {
        let mut starts = Vec::new();
        let (mut year, mut month) = (self.filled.year(), self.filled.month());
        while let Some(first) = first_of(year, month) {
            let at = self.months_to(first);
            if at > last {
                break;
            }
            if at >= 0.0 {
                let name = usize::try_from(month - 1)
                    .ok()
                    .and_then(|at| MONTHS.get(at));
                starts.push((at, name.copied().unwrap_or_default()));
            }
            (year, month) = if month == 12 {
                (year + 1, 1)
            } else {
                (year, month + 1)
            };
        }
        starts
    }
}

/// Days from filling to the row of a month.
pub(crate) fn days_to_month(filled: Date, month: u32) -> f64 {
    f64::from(days(filled, month_day(filled, month)))
}

fn days(from: Date, to: Date) -> i32 {
    from.until(to).map_or(0, |span| span.get_days())
}

fn first_of(year: i16, month: i8) -> Option<Date> {
    Date::new(year, month, 1).ok()
}

/// The month in which the season of a day begins: 3, 6, 9 or 12.
fn quarter(day: Date) -> (i16, i8) {
    match day.month() {
        1 | 2 => (day.year() - 1, 12),
        month => (day.year(), month / 3 * 3),
    }
}

#[cfg(test)]
mod tests {
    use super::Calendar;
    use super::Season::{Autumn, Spring, Summer, Winter};
    use moulder::date;

    #[test]
    fn months_are_whole_on_the_days_of_rows_and_even_between() {
        let calendar = Calendar::new(date(2026, 3, 14), 52.2);
        assert!((calendar.months_to(date(2026, 9, 14)) - 6.0).abs() < 1e-12);
        assert!((calendar.months_to(date(2026, 3, 29)) - 15.0 / 31.0).abs() < 1e-12);
    }

    #[test]
    fn seasons_turn_with_the_half_of_the_earth() {
        let filled = date(2026, 1, 31);
        let names = |latitude| {
            let seasons = Calendar::new(filled, latitude).seasons(12.0);
            seasons.iter().map(|season| season.what).collect::<Vec<_>>()
        };
        assert_eq!(names(52.0), [Winter, Spring, Summer, Autumn, Winter]);
        assert_eq!(names(-37.0), [Summer, Autumn, Winter, Spring, Summer]);
        assert!(names(1.3).is_empty());
    }

    #[test]
    fn stretches_follow_each_other_without_a_gap() {
        let calendar = Calendar::new(date(2026, 12, 31), -37.0);
        let seasons = calendar.seasons(30.0);
        assert!(seasons[0].from.abs() < 1e-12);
        assert!((seasons.last().unwrap().to - 30.0).abs() < 1e-12);
        for pair in seasons.windows(2) {
            assert!((pair[0].to - pair[1].from).abs() < 1e-12 && pair[0].to > pair[0].from);
        }
        let years = calendar.years(1200.0);
        assert_eq!((years[0].what, years.len()), (2026, 101));
    }

    #[test]
    fn rows_of_the_forecast_lie_on_whole_months() {
        let calendar = Calendar::new(date(2026, 1, 31), 52.0);
        for (day, months) in [(date(2026, 2, 28), 1.0), (date(2026, 3, 31), 2.0)] {
            assert!((calendar.months_to(day) - months).abs() < 1e-12);
        }
    }
}
