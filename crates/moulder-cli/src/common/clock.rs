//! Today, and days as they are typed: the only place where a clock is read.

use clap::Args;
use jiff::ZonedDateTime;
use moulder::Date;

/// Which day is today.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct ClockArguments {
    /// The day to take for today, as in 2026-09-14; by the clock of this computer if nothing
    /// is said
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(crate) today: Option<Date>,
}

impl ClockArguments {
    /// Today, by the clock and the zone of this computer unless another day was typed.
    pub(crate) fn today(self) -> Date {
        self.today.unwrap_or_else(|| ZonedDateTime::now().date())
    }
}

/// A day, as bed files write it.
pub(crate) fn day(text: &str) -> Result<Date, String> {
    let is_plain = text.len() == "2026-03-14".len()
        && text.bytes().enumerate().all(|(at, sign)| match at {
            4 | 7 => sign == b'-',
            _ => sign.is_ascii_digit(),
        });
    let date = is_plain.then(|| text.parse().ok()).flatten();
    date.ok_or_else(|| "write a day of the calendar, year first, as in 2026-03-14".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_written_year_first() {
        assert_eq!(day("2026-09-14"), Ok(moulder::date(2026, 9, 14)));
        for wrong in [
            "14-09-2026",
            "2026-9-14",
            "20260914",
            "2026-02-30",
            "2026-09-14T10:00",
            "today",
            "",
        ] {
            assert!(day(wrong).is_err(), "{wrong}");
        }
    }
}
