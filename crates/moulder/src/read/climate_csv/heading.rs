//! The first line: the columns and their units.

use super::findings::Findings;
use super::table::Table;
use crate::fault::{FaultCode, Place};
use crate::text::suggestion::suggestions;

/// The heading of a monthly file.
pub(super) const MONTHLY: &str = "month,high_c,low_c,rain_mm";
/// The heading of a daily file.
pub(super) const DAILY: &str = "date,high_c,low_c,rain_mm";

/// The same in other units.
const MONTHLY_US: &str = "month,high_f,low_f,rain_in";
/// See [`MONTHLY_US`].
const DAILY_US: &str = "date,high_f,low_f,rain_in";

/// The key of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Label {
    /// A month of the year.
    Month,
    /// A day.
    Date,
}

/// The unit of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unit {
    Celsius,
    Fahrenheit,
    Millimetres,
    Inches,
}

/// A column of values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Column {
    /// Its name.
    pub(super) name: &'static str,
    /// Its index, from 0.
    pub(super) at: usize,
    /// Its unit.
    pub(super) unit: Unit,
}

/// The columns of a file.
pub(super) struct Heading {
    /// The key of a row.
    pub(super) label: Label,
    /// Index of its column, from 0.
    pub(super) label_at: usize,
    /// Columns of high, low and rain; a missing one is already reported.
    pub(super) figures: [Option<Column>; 3],
    /// Number of columns.
    pub(super) width: usize,
}

/// Names of the key columns.
const LABELS: [(&str, Label); 2] = [("month", Label::Month), ("date", Label::Date)];

/// Names of high, low and rain, each in two units.
const FIGURES: [[(&str, Unit); 2]; 3] = [
    [("high_c", Unit::Celsius), ("high_f", Unit::Fahrenheit)],
    [("low_c", Unit::Celsius), ("low_f", Unit::Fahrenheit)],
    [("rain_mm", Unit::Millimetres), ("rain_in", Unit::Inches)],
];

/// Reports a file without a heading.
pub(super) fn missing_heading(findings: &mut Findings, place: Place) {
    findings.add_with(
        FaultCode::BadSyntax,
        place,
        "",
        "",
        "the first line must name the columns",
        vec![MONTHLY.to_owned(), DAILY.to_owned()],
    );
}

impl Heading {
    /// Reads the heading; none when it has no key column.
    pub(super) fn read(findings: &mut Findings, table: &Table<'_>) -> Option<Self> {
        let row = &table.heading;
        let width = row.filled();
        let names: Vec<String> = row.cells().take(width).map(str::to_lowercase).collect();
        if !names.iter().any(|name| is_known(name)) {
            missing_heading(findings, table.place_in_heading(0));
            return None;
        }
        let mut meant: Vec<String> = Vec::new();
        let mut labels: Option<(&str, Label, usize)> = None;
        let mut figures: [Option<Column>; 3] = [None; 3];
        for (at, name) in names.iter().enumerate() {
            let label = LABELS.iter().find(|(label, _)| label == name);
            let figure = figures.iter_mut().zip(FIGURES).find_map(|(slot, known)| {
                let (name, unit) = known.into_iter().find(|(known, _)| known == name)?;
                Some((slot, Column { name, at, unit }))
            });
            let earlier = match (label, figure) {
                (Some(&(name, label)), _) => {
                    let earlier = labels.map(|(earlier, ..)| earlier);
                    labels = labels.or(Some((name, label, at)));
                    earlier
                }
                (None, Some((slot, column))) => {
                    let earlier = slot.map(|earlier| earlier.name);
                    *slot = slot.or(Some(column));
                    earlier
                }
                (None, None) => {
                    meant.extend(unknown_column(findings, table, at, name));
                    None
                }
            };
            if let Some(earlier) = earlier {
                repeated_column(findings, table, at, name, earlier);
            }
        }
        let not_meant = |names: &[&str]| !meant.iter().any(|name| names.contains(&name.as_str()));
        let examples = match labels {
            Some((_, Label::Date, _)) => [DAILY, DAILY_US],
            _ => [MONTHLY, MONTHLY_US],
        };
        let place = table.place_in_heading(0);
        for (slot, known) in figures.iter().zip(FIGURES) {
            let names = known.map(|(name, _)| name);
            if slot.is_none() && not_meant(&names) {
                missing_column(findings, place.clone(), names[0], &examples);
            }
        }
        let Some((_, label, label_at)) = labels else {
            if not_meant(&LABELS.map(|(name, _)| name)) {
                missing_column(findings, place, "month or date", &[MONTHLY, DAILY]);
            }
            return None;
        };
        Some(Self {
            label,
            label_at,
            figures,
            width,
        })
    }
}

fn is_known(name: &str) -> bool {
    all_names().any(|known| known == name)
}

fn all_names() -> impl Iterator<Item = &'static str> {
    let figures = FIGURES.into_iter().flatten().map(|(name, _)| name);
    LABELS.into_iter().map(|(name, _)| name).chain(figures)
}

/// Reports an unknown column; returns the names probably meant.
fn unknown_column(
    findings: &mut Findings,
    table: &Table<'_>,
    at: usize,
    name: &str,
) -> Vec<String> {
    let help = if findings.is_full() {
        Vec::new()
    } else {
        suggestions(name, all_names())
    };
    let expected = if help.is_empty() {
        "a weather file; leave that column out"
    } else {
        "a weather file"
    };
    findings.add_with(
        FaultCode::UnknownField,
        table.place_in_heading(at),
        "",
        name,
        expected,
        help.clone(),
    );
    help
}

/// Reports a column that repeats an earlier one, perhaps in another unit.
fn repeated_column(
    findings: &mut Findings,
    table: &Table<'_>,
    at: usize,
    name: &str,
    earlier: &str,
) {
    let place = table.place_in_heading(at);
    if name == earlier {
        findings.add(FaultCode::RepeatedKey, place, "", name, "");
    } else {
        let found = format!("the first line names {earlier} and {name}");
        let expected = "keep one of them";
        findings.add(FaultCode::DoesNotFit, place, "", found, expected);
    }
}

/// Reports a missing column.
fn missing_column(findings: &mut Findings, place: Place, name: &str, examples: &[&str]) {
    let help = examples.iter().map(|text| (*text).to_owned()).collect();
    findings.add_with(
        FaultCode::MissingField,
        place,
        "",
        "a weather file",
        name,
        help,
    );
}
