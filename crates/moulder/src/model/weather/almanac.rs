//! Position of a run in the calendar.

use jiff::civil::Date;

/// Months of a year.
const YEAR: i32 = 12;

/// Day of the season, 1 to 365, of a date: the day of a common year, so that seasons have the
/// same dates in every year. 29 February counts as the 28th.
pub(crate) fn day_of_season(date: Date) -> u16 {
    let day = date.day_of_year().unsigned_abs();
    let from_leap_day_on = date.in_leap_year() && (date.month(), date.day()) >= (2, 29);
    day - u16::from(from_leap_day_on)
}

/// Month of a run, counted from that of filling, which is 0.
pub(super) fn months_after(filled: Date, date: Date) -> i32 {
    let years = i32::from(date.year()) - i32::from(filled.year());
    years * YEAR + i32::from(date.month()) - i32::from(filled.month())
}

/// Month of the year of a month of a run, 0 for January.
pub(super) fn month_of_year(filled: Date, month: i32) -> i32 {
    (i32::from(filled.month()) - 1 + month).rem_euclid(YEAR)
}

/// A unique number for each month of a run and of the year before it: by month of the year and
/// years since filling, not by civil year. The first September of every run has the same.
pub(super) fn number(filled: Date, month: i32) -> u32 {
    let years = month.div_euclid(YEAR) + 1;
    (years * YEAR + month_of_year(filled, month)).unsigned_abs()
}

#[cfg(test)]
mod tests {
    use super::{day_of_season, months_after, number};
    use jiff::civil::{Date, date};

    #[test]
    fn the_seasons_come_on_the_same_dates() {
        for year in [1900, 2000, 2026, 2027, 2028, 9999] {
            let days = [(1, 1, 1), (2, 28, 59), (3, 1, 60), (12, 31, 365)];
            for (month, day, of_season) in days {
                assert_eq!(day_of_season(date(year, month, day)), of_season, "{year}");
            }
        }
        assert_eq!(day_of_season(date(2028, 2, 29)), 59);
    }

    #[test]
    fn months_have_numbers_by_season_and_years_passed() {
        let (spring, autumn) = (date(2026, 3, 14), date(2031, 10, 2));
        let of = |filled: Date, on: Date| number(filled, months_after(filled, on));
        assert_eq!(of(spring, spring), 14);
        assert_eq!(of(spring, date(2027, 2, 1)), 13);
        assert_eq!(of(spring, date(2027, 3, 1)), 26);
        assert_eq!(of(autumn, date(2032, 3, 1)), 14);
        // The year before it has numbers too, and no two months share one.
        let mut numbers: Vec<u32> = (-12..600).map(|month| number(autumn, month)).collect();
        numbers.sort_unstable();
        numbers.dedup();
        assert_eq!(numbers.len(), 612);
        assert!(of(Date::MIN, Date::MAX) < 240_000);
    }
}
