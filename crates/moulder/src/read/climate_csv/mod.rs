//! The user's own climate from a CSV file of months or of days.
//!
//! The first line names the columns, in any order; lines that begin with `#` are comments.
//!
//! - Months: `month,high_c,low_c,rain_mm` and a row for each of the twelve.
//! - Days: `date,high_c,low_c,rain_mm`, dates as in 2026-03-14, at least a year. An empty cell,
//!   `NA`, `-` or `---` is a missing value, and so is a day without a row: of all the days of a
//!   calendar month, over all years, at most one in ten may be missing. Highs and lows are means
//!   over the days; rain is the mean over the days times the length of the month.
//!
//! `high_f`, `low_f` and `rain_in` may replace `high_c`, `low_c` and `rain_mm`. The limit of one
//! day in ten and the plausible ranges are our judgement.

mod daily;
mod figure;
mod findings;
mod heading;
mod monthly;
mod table;

use crate::fault::{FaultCode, Faults, Place};
use crate::library::climates::Climate;
use crate::library::weather_record::WeatherRecord;
use crate::read::to_read;
use crate::text::limit;
use crate::text::sign::first_hidden;
use crate::tree::without_mark;
use findings::Findings;
use heading::{Heading, Label};
use table::Table;

/// Latitudes; degrees.
const LATITUDES: std::ops::RangeInclusive<f64> = -90.0..=90.0;

/// Twelve months each of high, low and rain; degC and mm.
type Normals = [[f64; 12]; 3];

/// Reads a monthly or daily file and gives the climate of a place.
///
/// `name` is the name of the place, `latitude_deg` its latitude in degrees from -90 to 90, south
/// negative. The text may have a byte order mark and any line ends, and at most 4 MiB
/// ([`limit::WEATHER_BYTES`]) and 40,000 rows ([`limit::WEATHER_ROWS`]).
///
/// # Errors
///
/// Every fault, placed by line and column; an invalid name or latitude is placed by a pointer.
/// Beyond [`limit::FAULTS_LISTED`] they are only counted.
pub fn read_csv(text: &str, name: &str, latitude_deg: f64) -> Result<Climate, Faults> {
    let mut findings = Findings::default();
    check_place(&mut findings, name, latitude_deg);
    read_with(findings, text, |findings, table, heading| {
        let normals = match heading.label {
            Label::Month => monthly::read(findings, table, heading),
            Label::Date => daily::read(findings, table, heading)
                .and_then(|days| daily::normals(findings, table, heading, &days)),
        };
        let [high_c, low_c, rain_mm] = normals?;
        Some(Climate {
            name: name.trim().to_owned(),
            latitude_deg,
            high_c,
            low_c,
            rain_mm,
            estimate: None,
        })
    })
}

/// Reads a daily file, of however many days, as a record.
///
/// # Errors
///
/// As [`read_csv`]; a file of months.
pub fn read_record(text: &str) -> Result<WeatherRecord, Faults> {
    read_with(
        Findings::default(),
        text,
        |findings, table, heading| match heading.label {
            Label::Month => {
                let place = table.place_in_heading(heading.label_at);
                let found = "a file of months";
                findings.add(
                    FaultCode::WrongKind,
                    place,
                    "/month",
                    found,
                    "days, under \"date\"",
                );
                None
            }
            Label::Date => {
                let days = daily::read(findings, table, heading)?;
                daily::record(findings, table, heading, &days)
            }
        },
    )
}

/// Whether the first line names a column of dates.
#[must_use]
pub fn holds_days(text: &str) -> bool {
    let mut lines = without_mark(text).lines();
    let heading = lines.find(|line| !line.trim().is_empty() && !line.starts_with('#'));
    heading.is_some_and(|line| line.to_lowercase().contains("date"))
}

/// What is read of a file with a readable heading, if there is no fault.
fn read_with<T>(
    mut findings: Findings,
    text: &str,
    read: impl FnOnce(&mut Findings, &Table<'_>, &Heading) -> Option<T>,
) -> Result<T, Faults> {
    let taken = if text.len() > limit::WEATHER_BYTES {
        findings.add(
            FaultCode::TooBig,
            Place::Line { line: 1, column: 1 },
            "",
            format!("{} kB", text.len().div_ceil(1024)),
            format!("at most {} kB", limit::WEATHER_BYTES / 1024),
        );
        None
    } else {
        let table = Table::read(&mut findings, without_mark(text));
        table.and_then(|table| {
            let heading = Heading::read(&mut findings, &table)?;
            if table.has_decimal_commas(&mut findings, &heading) {
                return None;
            }
            read(&mut findings, &table, &heading)
        })
    };
    match (findings.into_faults(), taken) {
        (None, Some(taken)) => Ok(taken),
        (Some(faults), _) => Err(faults),
        (None, None) => unreachable!("nothing is missing without a fault"),
    }
}

/// Checks the name and the latitude.
fn check_place(findings: &mut Findings, name: &str, latitude_deg: f64) {
    let pointer = |pointer: &str| Place::Pointer {
        pointer: pointer.to_owned(),
    };
    let length = name.chars().count();
    if length > limit::NAME_CHARACTERS {
        findings.add(
            FaultCode::TooLong,
            pointer("/name"),
            "/name",
            format!("{length} characters"),
            format!("at most {} characters", limit::NAME_CHARACTERS),
        );
    } else if let Some(expected) = to_read(name, first_hidden(name)) {
        findings.add(
            FaultCode::BadText,
            pointer("/name"),
            "/name",
            name.to_owned(),
            expected,
        );
    }
    if !LATITUDES.contains(&latitude_deg) {
        findings.add(
            FaultCode::OutOfRange,
            pointer("/latitude"),
            "/latitude",
            latitude_deg.to_string(),
            "a number of degrees from -90 to 90",
        );
    }
}

#[cfg(test)]
#[expect(
    clippy::float_cmp,
    reason = "figures come back as written, or by exact sums"
)]
mod tests {
    use super::{holds_days, read_csv, read_record};
    use crate::fault::{FaultCode, Place};
    use crate::text::limit;

    /// Twelve rows under a heading, one for each month.
    fn twelve(heading: &str, row: impl Fn(u8) -> String) -> String {
        (1..=12).fold(format!("{heading}\n"), |text, month| {
            text + &row(month) + "\n"
        })
    }

    fn good() -> String {
        twelve("month,high_c,low_c,rain_mm", |month| {
            format!("{month},{}.5,-3,48.6", month + 6)
        })
    }

    fn codes(text: &str) -> Vec<FaultCode> {
        let faults = read_csv(text, "here", 50.0).unwrap_err();
        faults.iter().map(|fault| fault.code).collect()
    }

    #[test]
    fn months_are_read_in_any_order_and_by_name() {
        let mut lines: Vec<String> = good().lines().map(str::to_owned).collect();
        lines[1..].reverse();
        let text = lines.join("\n").replace("\n3,", "\n mar ,");
        let climate = read_csv(&text, " Here ", -33.0).unwrap();
        assert_eq!(climate.name, "Here");
        assert_eq!(climate.high_c[0], 7.5);
        assert_eq!(climate.high_c[11], 18.5);
        assert_eq!(climate, read_csv(&good(), "Here", -33.0).unwrap());
    }

    #[test]
    fn other_units_and_another_order_of_columns() {
        let text = twelve("Rain_in,low_f,high_f,month", |month| {
            format!("2,32,50,{month}")
        });
        let climate = read_csv(&text, "here", 40.0).unwrap();
        assert_eq!(climate.high_c, [10.0; 12]);
        assert_eq!(climate.low_c, [0.0; 12]);
        assert!((climate.rain_mm[4] - 50.8).abs() < 1e-9);
    }

    #[test]
    fn csv_variants_are_accepted() {
        let plain = read_csv(&good(), "here", 50.0).unwrap();
        let crlf = format!("\u{feff}{}", good().replace('\n', "\r\n"));
        let quoted = good().replace(",-3,", ",\"-3\",");
        let notes = format!("# from our own gauge, \"2020\n\n{}\n,,,\n", good());
        let blanks = good().replace('\n', ",,\n");
        let minus = good().replace('-', "\u{2212}");
        for text in [crlf, quoted, notes, blanks, minus] {
            assert_eq!(read_csv(&text, "here", 50.0).unwrap(), plain, "{text}");
        }
    }

    #[test]
    fn places_count_empty_lines() {
        let text = format!("# note\r\n\r\n{}", good().replace('\n', "\r\n\r\n"));
        let text = text.replace("4,10.5", "4,\"x\"");
        let faults = read_csv(&text, "here", 50.0).unwrap_err();
        // The heading is in line 3, and April four rows of two lines below.
        let expected = Place::Line {
            line: 11,
            column: 3,
        };
        assert_eq!(faults.as_slice()[0].place, expected, "{faults}");
    }

    /// However few days there are, and whatever is missing.
    #[test]
    fn days_are_a_record() {
        let text = "# ours\n\nDate,rain_in,low_f,high_f\n2026-03-15,1,32,\n2026-03-14,NA,-,50\n";
        let record = read_record(text).unwrap();
        let (first, last) = (record.on(record.first()), record.on(record.last()));
        assert_eq!(
            (first.high_c, first.low_c, first.rain_mm),
            (Some(10.0), None, None)
        );
        assert_eq!((last.high_c, last.low_c), (None, Some(0.0)));
        assert!(last.rain_mm.is_some_and(|mm| (mm - 25.4).abs() < 1e-12));
        assert!(holds_days(text) && !holds_days(&good()) && !holds_days(""));
        let codes = |text: &str| -> Vec<FaultCode> {
            let faults = read_record(text).unwrap_err();
            faults.iter().map(|fault| fault.code).collect()
        };
        assert_eq!(codes(&good()), [FaultCode::WrongKind]);
        assert_eq!(
            codes("date,high_c,low_c,rain_mm\n"),
            [FaultCode::WrongLength]
        );
        assert_eq!(
            codes("date,high_c,low_c,rain_mm\n2026-02-30,1,0,0\n2026-03-01,1,0,99999\n"),
            [FaultCode::NotADate, FaultCode::OutOfRange]
        );
        let far = "date,high_c,low_c,rain_mm\n0000-01-01,5,1,0\n9999-12-31,5,1,0\n";
        assert_eq!(codes(far), [FaultCode::TooBig]);
        let twice = "date,high_c,low_c,rain_mm\n2026-03-01,5,1,0\n2026-03-01,5,1,0\n";
        assert_eq!(codes(twice), [FaultCode::RepeatedKey]);
    }

    #[test]
    fn name_and_latitude_are_checked() {
        let text = good().replace("4,10.5", "4,x");
        let faults = read_csv(&text, "\u{202e}", f64::NAN).unwrap_err();
        let codes: Vec<FaultCode> = faults.iter().map(|fault| fault.code).collect();
        assert_eq!(
            codes,
            [
                FaultCode::BadText,
                FaultCode::OutOfRange,
                FaultCode::BadQuantity
            ]
        );
        let long = "n".repeat(limit::NAME_CHARACTERS + 1);
        let faults = read_csv(&good(), &long, -90.5).unwrap_err();
        assert_eq!(faults.as_slice()[0].code, FaultCode::TooLong);
        assert_eq!(faults.as_slice()[1].code, FaultCode::OutOfRange);
    }

    #[test]
    fn limits_are_kept() {
        assert_eq!(
            codes(&" ".repeat(limit::WEATHER_BYTES + 1)),
            [FaultCode::TooBig]
        );
        let rows = "5,20,10,30\n".repeat(limit::WEATHER_ROWS + 1);
        let text = format!("month,high_c,low_c,rain_mm\n{rows}");
        let faults = read_csv(&text, "here", 50.0).unwrap_err();
        assert_eq!(faults.as_slice().len(), limit::FAULTS_LISTED);
        // Each row but the first is a repetition, one is too many, and eleven months are missing.
        let all = faults.as_slice().len() + faults.unlisted();
        assert_eq!(all, limit::WEATHER_ROWS - 1 + 1 + 1);
        assert!(faults.iter().any(|fault| fault.code == FaultCode::TooMany));
    }

    #[test]
    fn other_files_are_refused() {
        for text in ["", "\u{feff}\u{feff}", "\n\n", "# only a note", "\u{feff}é"] {
            assert_eq!(codes(text), [FaultCode::BadSyntax], "{text:?}");
        }
        assert_eq!(
            codes("1,7.7,1.9,48.6\n2,8,2,40\n"),
            [FaultCode::BadSyntax],
            "no heading"
        );
        let open = good().replace("\n4,10.5,", "\n4,\"10.5,");
        let faults = read_csv(&open, "here", 50.0).unwrap_err();
        assert_eq!(faults.as_slice()[0].code, FaultCode::BadSyntax);
        let quote = Place::Line { line: 5, column: 3 };
        assert_eq!(faults.as_slice()[0].place, quote);
        assert_eq!(
            codes("sep=;\nmonth;high_c;low_c;rain_mm\n"),
            [FaultCode::BadSyntax]
        );
        assert_eq!(
            codes("month\thigh_c\tlow_c\train_mm\n"),
            [FaultCode::BadSyntax]
        );
    }

    /// Any cut or change of a good file gives a climate or faults.
    #[test]
    fn broken_files_never_panic() {
        let text = format!("\u{feff}{}", good().replace("10.5", "\"10,5é"));
        for (at, _) in text.char_indices() {
            for changed in [
                text[..at].to_owned(),
                text[at..].to_owned(),
                format!("{}\"{}", &text[..at], &text[at..]),
                format!("{}\u{feff}\n#{}", &text[..at], &text[at..]),
                format!("{};,é\r{}", &text[..at], &text[at..]),
            ] {
                if let Err(faults) = read_csv(&changed, "here", 50.0) {
                    assert!(!faults.to_string().is_empty());
                }
            }
        }
    }
}
