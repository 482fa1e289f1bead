//! Daily files: a record of weather, and its normals.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::Normals;
use super::figure::{Figure, read_row};
use super::findings::Findings;
use super::heading::{Column, Heading};
use super::table::Table;
use crate::fault::FaultCode;
use crate::library::weather_record::{MeasuredDay, WeatherRecord};
use crate::text::limit;
use crate::text::month::MONTHS;

/// Least days from the first to the last.
const LEAST_DAYS: u32 = 365;

/// Of this many days of a calendar month, one may be missing.
const ONE_MISSING_IN: u32 = 10;

/// Mean length of each month; days.
const LENGTHS: [f64; 12] = [
    31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0,
];

/// Sum and count of the values of a calendar month.
#[derive(Debug, Clone, Copy, Default)]
struct Gathered {
    sum: f64,
    count: u32,
}

/// High, low and rain of each day, by date.
pub(super) type Days = BTreeMap<Date, [Figure; 3]>;

/// The days of the file; none after a fault.
pub(super) fn read(findings: &mut Findings, table: &Table<'_>, heading: &Heading) -> Option<Days> {
    let mut days: BTreeMap<Date, Option<[Figure; 3]>> = BTreeMap::new();
    let mut unread = false;
    for row in &table.rows {
        let written = row.cell(heading.label_at);
        let date = date(written);
        let figures = read_row(findings, table, heading, row, date.map(|_| written));
        let Some(date) = date else {
            findings.add(
                FaultCode::NotADate,
                table.place(row, heading.label_at),
                "/date",
                written,
                "",
            );
            unread = true;
            continue;
        };
        if days.insert(date, figures).is_some() {
            findings.add(
                FaultCode::RepeatedKey,
                table.place(row, heading.label_at),
                "/date",
                written,
                "",
            );
        }
    }
    if unread {
        return None;
    }
    // What could not be read would be counted as missing.
    let readable = |figures: Option<[Figure; 3]>| {
        figures.filter(|figures| !figures.contains(&Figure::Unreadable))
    };
    let days = days.into_iter();
    days.map(|(date, figures)| Some((date, readable(figures)?)))
        .collect()
}

/// The days as a record.
pub(super) fn record(
    findings: &mut Findings,
    table: &Table<'_>,
    heading: &Heading,
    days: &Days,
) -> Option<WeatherRecord> {
    let span = days.keys().next().zip(days.keys().next_back());
    let held = span.map_or(0, |(first, last)| {
        days_by_month(*first, *last).iter().sum::<u32>()
    });
    if usize::try_from(held).is_ok_and(|held| held > limit::WEATHER_ROWS) {
        findings.add(
            FaultCode::TooBig,
            table.place_in_heading(heading.label_at),
            "/date",
            format!("{held} days from the first to the last"),
            format!("at most {}", limit::WEATHER_ROWS),
        );
        return None;
    }
    let days = days.iter().map(|(date, figures)| {
        let [high_c, low_c, rain_mm] = figures.map(Figure::measured);
        let day = MeasuredDay {
            high_c,
            low_c,
            rain_mm,
        };
        (*date, day)
    });
    let record = WeatherRecord::new(days);
    if record.is_none() {
        findings.add(
            FaultCode::WrongLength,
            table.place_in_heading(heading.label_at),
            "/date",
            "no day with a figure",
            "one day at least",
        );
    }
    record
}

/// The normals of the days; none when they are too few or have too many gaps.
pub(super) fn normals(
    findings: &mut Findings,
    table: &Table<'_>,
    heading: &Heading,
    days: &Days,
) -> Option<Normals> {
    let span = days.keys().next().zip(days.keys().next_back());
    let expected = span.map_or([0; 12], |(first, last)| days_by_month(*first, *last));
    let held: u32 = expected.iter().sum();
    if held < LEAST_DAYS {
        findings.add(
            FaultCode::WrongLength,
            table.place_in_heading(heading.label_at),
            "/date",
            match held {
                1 => "1 day".to_owned(),
                held => format!("{held} days from the first to the last"),
            },
            format!("a year at least, {LEAST_DAYS} days"),
        );
        return None;
    }
    let gathered = gather(days);
    has_enough(findings, table, heading, &expected, &gathered).then(|| {
        let mean = |gathered: Gathered| gathered.sum / f64::from(gathered.count);
        let [high, low, rain] = gathered.map(|months| months.map(mean));
        let rain = std::array::from_fn(|month| rain[month] * LENGTHS[month]);
        [high, low, rain]
    })
}

/// A date written as in 2026-03-14.
fn date(written: &str) -> Option<Date> {
    let shape = written.bytes().enumerate().all(|(at, byte)| match at {
        4 | 7 => byte == b'-',
        _ => byte.is_ascii_digit(),
    });
    if !shape || written.len() != 10 {
        return None;
    }
    let (year, month, day) = (&written[..4], &written[5..7], &written[8..]);
    Date::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?).ok()
}

/// Calendar month of a day, from 0.
fn month_of(date: Date) -> usize {
    usize::from(date.month().unsigned_abs().clamp(1, 12) - 1)
}

/// Days of each calendar month between two days, inclusive.
fn days_by_month(first: Date, last: Date) -> [u32; 12] {
    let mut counts = [0; 12];
    let mut from = first;
    while from <= last {
        let to = from.last_of_month().min(last);
        counts[month_of(from)] += u32::from((to.day() - from.day()).unsigned_abs()) + 1;
        match to.tomorrow() {
            Ok(next) => from = next,
            Err(_) => break,
        }
    }
    counts
}

/// Sums and counts of high, low and rain by calendar month.
fn gather(days: &Days) -> [[Gathered; 12]; 3] {
    let mut gathered = [[Gathered::default(); 12]; 3];
    for (date, figures) in days {
        for (figure, months) in figures.iter().zip(&mut gathered) {
            if let Some(value) = figure.measured() {
                let month = &mut months[month_of(*date)];
                month.sum += value;
                month.count += 1;
            }
        }
    }
    gathered
}

/// Whether every calendar month has enough days; reports those that have not.
fn has_enough(
    findings: &mut Findings,
    table: &Table<'_>,
    heading: &Heading,
    expected: &[u32; 12],
    gathered: &[[Gathered; 12]; 3],
) -> bool {
    let mut enough = true;
    for (month, (name, expected)) in MONTHS.iter().zip(expected).enumerate() {
        let most = expected / ONE_MISSING_IN;
        let missing = [0, 1, 2].map(|figure| expected - gathered[figure][month].count);
        // Days without a row miss every variable: reported once.
        let alike = missing.iter().all(|count| *count == missing[0]);
        let reported: &[Option<Column>] = if alike { &[None] } else { &heading.figures };
        for (column, missing) in reported.iter().zip(missing) {
            if missing <= most {
                continue;
            }
            enough = false;
            let (at, what) = column.map_or((heading.label_at, "figures"), |column| {
                (column.at, column.name)
            });
            findings.add(
                FaultCode::DoesNotFit,
                table.place_in_heading(at),
                &column.map_or("/date".to_owned(), |column| format!("/{}", column.name)),
                format!("of {expected} days in {name}, {missing} have no {what}"),
                format!("at most {most} may be missing"),
            );
        }
    }
    enough
}

#[cfg(test)]
#[expect(
    clippy::float_cmp,
    reason = "figures come back as written, or by exact sums"
)]
mod tests {
    use super::{date, days_by_month};
    use crate::fault::{FaultCode, Place};
    use crate::read::climate_csv::read_csv;

    /// A series of that many days.
    fn series(first: &str, days: usize, row: impl Fn(usize, &str) -> Option<String>) -> String {
        let mut day = date(first).unwrap();
        let mut text = "date,high_c,low_c,rain_mm\n".to_owned();
        for number in 0..days {
            if let Some(row) = row(number, &day.to_string()) {
                text.push_str(&row);
                text.push('\n');
            }
            day = day.tomorrow().unwrap();
        }
        text
    }

    /// A series of that many equal days.
    fn alike(first: &str, days: usize) -> String {
        series(first, days, |_, date| Some(format!("{date},12,4,2")))
    }

    #[test]
    fn a_year_is_enough_and_a_day_less_is_not() {
        let climate = read_csv(&alike("2021-07-05", 365), "here", 50.0).unwrap();
        assert_eq!(climate.high_c, [12.0; 12]);
        assert_eq!(climate.rain_mm[0], 62.0);
        assert_eq!(climate.rain_mm[1], 56.5);
        let faults = read_csv(&alike("2021-07-05", 364), "here", 50.0).unwrap_err();
        assert_eq!(faults.as_slice()[0].code, FaultCode::WrongLength);
    }

    #[test]
    fn the_order_of_days_does_not_matter() {
        let text = series("2019-12-01", 500, |number, date| {
            Some(format!("{date},{},4,{}", 10 + number % 7, number % 3))
        });
        let (heading, rows) = text.split_once('\n').unwrap();
        let turned: Vec<&str> = rows.lines().rev().collect();
        let turned = format!("{heading}\n{}", turned.join("\n"));
        assert_eq!(
            read_csv(&text, "here", 50.0).unwrap(),
            read_csv(&turned, "here", 50.0).unwrap()
        );
    }

    #[test]
    fn one_day_in_ten_may_be_missing_and_no_more() {
        let with = |most: usize| {
            series("2021-01-01", 365, |_, date| {
                let in_june = date.strip_prefix("2021-06-");
                let day: Option<usize> = in_june.and_then(|day| day.parse().ok());
                let missing = day.is_some_and(|day| day <= most);
                Some(format!("{date},12,4,{}", if missing { "NA" } else { "3" }))
            })
        };
        let climate = read_csv(&with(3), "here", 50.0).unwrap();
        assert!((climate.rain_mm[5] - 90.0).abs() < 1e-9, "{climate:?}");
        let faults = read_csv(&with(4), "here", 50.0).unwrap_err();
        let [fault] = faults.as_slice() else {
            panic!("{faults}");
        };
        assert_eq!(fault.found, "of 30 days in June, 4 have no rain_mm");
        let rain = Place::Line {
            line: 1,
            column: 19,
        };
        assert_eq!(fault.place, rain);
    }

    #[test]
    fn days_without_a_row_are_reported_once_a_month() {
        let text = series("2020-01-01", 731, |_, date| {
            (!date.ends_with("-05-11") && !date.contains("-08-1")).then(|| format!("{date},9,1,0"))
        });
        let faults = read_csv(&text, "here", 50.0).unwrap_err();
        let [fault] = faults.as_slice() else {
            panic!("{faults}");
        };
        assert_eq!(fault.found, "of 62 days in August, 20 have no figures");
        assert_eq!(fault.expected, "at most 6 may be missing");
    }

    #[test]
    fn days_are_counted_by_calendar_month() {
        let of = |text: &str| date(text).unwrap();
        let counts = days_by_month(of("2019-12-30"), of("2021-02-03"));
        assert_eq!(
            counts,
            [62, 32, 31, 30, 31, 30, 31, 31, 30, 31, 30, 33],
            "2020 is a leap year"
        );
        let ends = days_by_month(of("0000-01-01"), of("9999-12-31"));
        assert_eq!(ends.iter().sum::<u32>(), 3_652_425);
    }

    #[test]
    fn days_are_written_in_one_way() {
        assert!(date("2024-02-29").is_some());
        for written in [
            "2023-02-29",
            "2024-2-9",
            "14/03/2026",
            "20240301",
            "2024-03-01T00:00",
            "",
            "２024-1-1",
            "2024-00-10",
            "+024-01-01",
        ] {
            assert_eq!(date(written), None, "{written}");
        }
    }
}
