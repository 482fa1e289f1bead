//! One value of a row, in the unit of its column.

use super::findings::Findings;
use super::heading::{Column, Heading, Label, Unit};
use super::table::{Row, Table};
use crate::fault::FaultCode;
use crate::read::field::Range;

/// Marks of a missing value, in lower case.
const MISSING: [&str; 4] = ["", "na", "-", "---"];

/// The value of a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Figure {
    /// A number; degC or mm.
    Measured(f64),
    /// A missing value.
    Missing,
    /// Unreadable, and already reported.
    Unreadable,
}

impl Figure {
    /// The number, if there is one; degC or mm.
    pub(super) fn measured(self) -> Option<f64> {
        match self {
            Self::Measured(value) => Some(value),
            Self::Missing | Self::Unreadable => None,
        }
    }
}

/// High, low and rain of a row, each checked; none when the row does not fit the heading.
///
/// `about` is the month or the date in words.
pub(super) fn read_row(
    findings: &mut Findings,
    table: &Table<'_>,
    heading: &Heading,
    row: &Row,
    about: Option<&str>,
) -> Option<[Figure; 3]> {
    let held = row.width().min(row.filled().max(heading.width));
    if held != heading.width {
        findings.add(
            FaultCode::WrongLength,
            table.place(row, 0),
            "/row",
            if held == 1 {
                "1 value".to_owned()
            } else {
                format!("{held} values")
            },
            format!("{}, as the first line does", heading.width),
        );
        return None;
    }
    let figures = heading.figures.map(|column| {
        column.map_or(Figure::Unreadable, |column| {
            read(findings, table, heading.label, row, column)
        })
    });
    if let ([Figure::Measured(high), Figure::Measured(low), _], Some(column), Some(about)) =
        (figures, heading.figures[1], about)
        && low > high
    {
        let written = heading.figures.map(|column| {
            let written = column.map_or("", |column| row.cell(column.at));
            written.to_owned()
        });
        findings.add(
            FaultCode::DoesNotFit,
            table.place(row, column.at),
            &format!("/{}", column.name),
            format!(
                "the low of {about} is {} and its high is {}",
                written[1], written[0]
            ),
            "a low cannot lie above the high",
        );
    }
    Some(figures)
}

fn read(
    findings: &mut Findings,
    table: &Table<'_>,
    label: Label,
    row: &Row,
    column: Column,
) -> Figure {
    let written = row.cell(column.at);
    if MISSING.contains(&written.to_lowercase().as_str()) {
        return Figure::Missing;
    }
    let range = plausible_range(column.unit, label);
    let (code, expected, help) = match number(written) {
        Ok(value) if range.holds(value) => return Figure::Measured(in_metric(value, column.unit)),
        Ok(_) => (FaultCode::OutOfRange, range.in_words, Vec::new()),
        Err((code, help)) => (code, "a number", help),
    };
    findings.add_with(
        code,
        table.place(row, column.at),
        &format!("/{}", column.name),
        written,
        expected,
        help,
    );
    Figure::Unreadable
}

/// A plain decimal number, or what is wrong with it and what may be written instead.
fn number(written: &str) -> Result<f64, (FaultCode, Vec<String>)> {
    if let Some(value) = plain(written) {
        return Ok(value);
    }
    let pointed = written.replacen(',', ".", 1);
    let joined = written.replace(',', "");
    let after_comma = written.split_once(',').map_or(0, |(_, after)| after.len());
    // "1,234" may be either; "0,234" and "12,34" can only be decimals.
    let thousands = after_comma == 3 && !written.trim_start_matches('-').starts_with('0');
    match (plain(&pointed), plain(&joined)) {
        (Some(_), Some(_)) if thousands => {
            Err((FaultCode::ThousandsSeparator, vec![joined, pointed]))
        }
        (Some(_), _) => Err((FaultCode::DecimalComma, vec![pointed])),
        (None, Some(_)) => Err((FaultCode::ThousandsSeparator, vec![joined])),
        (None, None) => Err((FaultCode::BadQuantity, Vec::new())),
    }
}

/// Digits with an optional sign and point; no other number that Rust would parse.
fn plain(written: &str) -> Option<f64> {
    let (negative, digits) = match written.strip_prefix(['-', '\u{2212}']) {
        Some(digits) => (true, digits),
        None => (false, written.strip_prefix('+').unwrap_or(written)),
    };
    if !digits
        .bytes()
        .all(|byte| byte.is_ascii_digit() || byte == b'.')
    {
        return None;
    }
    let value: f64 = digits.parse().ok()?;
    Some(if negative { -value } else { value })
}

/// Plausible range of a value, in its own unit. Temperatures and monthly rain have those of a bed
/// file; the wettest day on record had 1825 mm (memory).
fn plausible_range(unit: Unit, label: Label) -> Range {
    let (low, high, in_words) = match (unit, label) {
        (Unit::Celsius, _) => (-60.0, 60.0, "a temperature from -60 to 60 degrees Celsius"),
        (Unit::Fahrenheit, _) => (
            -76.0,
            140.0,
            "a temperature from -76 to 140 degrees Fahrenheit",
        ),
        (Unit::Millimetres, Label::Month) => {
            (0.0, 3000.0, "a number of millimetres from 0 to 3000")
        }
        (Unit::Millimetres, Label::Date) => (0.0, 2000.0, "a number of millimetres from 0 to 2000"),
        (Unit::Inches, Label::Month) => (0.0, 118.0, "a number of inches from 0 to 118"),
        (Unit::Inches, Label::Date) => (0.0, 78.0, "a number of inches from 0 to 78"),
    };
    Range {
        low,
        high,
        in_words,
    }
}

/// Degrees Celsius or millimetres.
fn in_metric(value: f64, unit: Unit) -> f64 {
    match unit {
        Unit::Celsius | Unit::Millimetres => value,
        Unit::Fahrenheit => (value - 32.0) / 1.8,
        Unit::Inches => value * 25.4,
    }
}

#[cfg(test)]
mod tests {
    use super::{in_metric, number, plain, plausible_range};
    use crate::fault::FaultCode;
    use crate::read::climate_csv::heading::{Label, Unit};

    #[test]
    fn plain_numbers_are_read() {
        for (written, value) in [
            ("7", 7.0),
            ("-0.5", -0.5),
            ("+3.25", 3.25),
            ("\u{2212}4.", -4.0),
            (".5", 0.5),
        ] {
            assert_eq!(number(written), Ok(value), "{written}");
        }
        for written in [
            "inf", "NaN", "1e3", "0x1", "", ".", "-", "1.2.3", "5 C", "٣",
        ] {
            assert_eq!(plain(written), None, "{written}");
        }
    }

    #[test]
    fn refused_numbers_suggest_a_correction() {
        use FaultCode::{BadQuantity, DecimalComma, ThousandsSeparator};
        for (written, code, help) in [
            ("7,7", DecimalComma, vec!["7.7"]),
            ("-12,34", DecimalComma, vec!["-12.34"]),
            ("0,125", DecimalComma, vec!["0.125"]),
            ("1,234", ThousandsSeparator, vec!["1234", "1.234"]),
            ("1,234.5", ThousandsSeparator, vec!["1234.5"]),
            ("warm", BadQuantity, vec![]),
            ("1 234", BadQuantity, vec![]),
        ] {
            let help = help.into_iter().map(str::to_owned).collect();
            assert_eq!(number(written), Err((code, help)), "{written}");
        }
    }

    #[test]
    fn both_units_have_the_same_range() {
        for label in [Label::Month, Label::Date] {
            for (metric, other, within) in [
                (Unit::Celsius, Unit::Fahrenheit, 1e-9),
                (Unit::Millimetres, Unit::Inches, 25.4),
            ] {
                let (metric_range, other_range) = (
                    plausible_range(metric, label),
                    plausible_range(other, label),
                );
                for (end, other_end) in [
                    (metric_range.low, other_range.low),
                    (metric_range.high, other_range.high),
                ] {
                    assert!((end - in_metric(other_end, other)).abs() < within);
                }
            }
        }
    }
}
