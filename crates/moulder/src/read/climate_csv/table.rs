//! The cells of a CSV text with their places.

use csv::{ReaderBuilder, StringRecord};

use super::findings::Findings;
use super::heading::{self, Heading};
use crate::fault::{FaultCode, Place};
use crate::text::limit;
use crate::text::work;
use crate::tree::Lines;

/// A CSV text, row by row.
pub(super) struct Table<'t> {
    text: &'t str,
    lines: Lines<'t>,
    /// The first row, which names the columns.
    pub(super) heading: Row,
    /// Where each of its cells begins; bytes.
    columns: Vec<usize>,
    /// The rows below it, up to the limit.
    pub(super) rows: Vec<Row>,
}

/// A row that is not empty.
pub(super) struct Row {
    record: StringRecord,
    /// Where it begins; bytes.
    at: usize,
}

impl Row {
    /// The cells, trimmed.
    pub(super) fn cells(&self) -> impl Iterator<Item = &str> {
        self.record.iter().map(str::trim)
    }

    /// One cell, trimmed; empty beyond the end.
    pub(super) fn cell(&self, column: usize) -> &str {
        self.record.get(column).unwrap_or("").trim()
    }

    /// Number of cells up to the last that is not empty.
    pub(super) fn filled(&self) -> usize {
        let last = self
            .cells()
            .enumerate()
            .filter(|(_, cell)| !cell.is_empty());
        last.last().map_or(0, |(column, _)| column + 1)
    }

    /// Number of cells.
    pub(super) fn width(&self) -> usize {
        self.record.len()
    }
}

impl<'t> Table<'t> {
    /// Reads a text; none when it has no rows.
    pub(super) fn read(findings: &mut Findings, text: &'t str) -> Option<Self> {
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        let mut heading = None;
        let mut rows = Vec::new();
        let mut over: Option<(Place, usize)> = None;
        let lines = Lines::of(text);
        let mut at = 0;
        for record in reader.records() {
            let Ok(record) = record else {
                let place = start_of_line(&lines, at);
                let expected = "from here on it is no table of commas";
                findings.add(FaultCode::BadSyntax, place, "", "", expected);
                return None;
            };
            let before = record.position().map_or(0, csv::Position::byte);
            at = start_of_row(text, usize::try_from(before).unwrap_or(usize::MAX));
            let row = Row { record, at };
            if row.filled() == 0 {
                continue;
            }
            if let Some(open) = row.record.iter().position(|cell| cell.contains('\n')) {
                let cell = lines.place(start_of_cell(text, &row, open));
                let expected = "a quotation mark is opened here and not closed in this line";
                findings.add(FaultCode::BadSyntax, cell, "", "", expected);
                return None;
            }
            if heading.is_none() {
                heading = Some(row);
            } else if rows.len() < limit::WEATHER_ROWS {
                rows.push(row);
            } else {
                let place = start_of_line(&lines, at);
                over.get_or_insert((place, rows.len())).1 += 1;
            }
        }
        if let Some((place, count)) = over {
            let expected = format!("at most {}", limit::WEATHER_ROWS);
            let found = format!("{count} rows");
            findings.add(FaultCode::TooMany, place, "", found, expected);
        }
        let Some(heading) = heading else {
            heading::missing_heading(findings, Place::Line { line: 1, column: 1 });
            return None;
        };
        let table = Self {
            text,
            lines,
            columns: starts_of_cells(text, &heading).collect(),
            heading,
            rows,
        };
        (!table.has_other_separators(findings)).then_some(table)
    }

    /// Where a cell begins; beyond the end of its row, the end.
    pub(super) fn place(&self, row: &Row, column: usize) -> Place {
        self.lines.place(start_of_cell(self.text, row, column))
    }

    /// Where a cell of the heading begins; beyond its end, the end.
    pub(super) fn place_in_heading(&self, column: usize) -> Place {
        let at = self.columns.get(column).or(self.columns.last());
        self.lines.place(at.copied().unwrap_or(self.heading.at))
    }

    /// Whether the columns are separated by something other than commas, which is reported.
    fn has_other_separators(&self, findings: &mut Findings) -> bool {
        let written: Vec<&str> = self.heading.cells().collect();
        let written = written.join(",");
        let (c, expected) = if written.contains(';') {
            (
                ';',
                "save it with commas between the columns, not semicolons; numbers need a point",
            )
        } else if written.contains('\t') {
            (
                '\t',
                "save it with commas between the columns, not tabs; numbers need a point",
            )
        } else {
            return false;
        };
        // The line in which some spreadsheets name the separator is not the heading.
        let help = if written.starts_with("sep=") {
            heading::MONTHLY.to_owned()
        } else {
            written.replace(c, ",")
        };
        let place = self.place_in_heading(0);
        findings.add_with(
            FaultCode::BadSyntax,
            place,
            "",
            written,
            expected,
            vec![help],
        );
        true
    }

    /// Whether numbers have decimal commas, so that each makes two cells; reported once, as the
    /// whole file is written that way.
    pub(super) fn has_decimal_commas(&self, findings: &mut Findings, heading: &Heading) -> bool {
        if heading.width < 2 {
            return false;
        }
        let apart = 2 * heading.width - 1;
        let whole = |cell: &str| {
            let digits = cell.strip_prefix(['-', '\u{2212}']).unwrap_or(cell);
            !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit())
        };
        let split = |row: &&Row| {
            let mut numbers = row.cells().enumerate().take(apart);
            row.filled() == apart
                && numbers.all(|(column, cell)| column == heading.label_at || whole(cell))
        };
        let Some(row) = self.rows.iter().find(split) else {
            return false;
        };
        let cells: Vec<&str> = row.cells().take(apart).collect();
        let (before, label_on) = cells.split_at(2 * heading.label_at);
        let (label, after) = label_on.split_at(1);
        let joined = |pairs: &[&str]| -> Vec<String> {
            pairs.chunks(2).map(|pair| pair.join(".")).collect()
        };
        let pointed = [joined(before), joined(label), joined(after)].concat();
        let place = self.place(row, 0);
        findings.add_with(
            FaultCode::DecimalComma,
            place,
            "",
            cells.join(","),
            "",
            vec![pointed.join(",")],
        );
        true
    }
}

/// The first byte of the next row: the position of the CSV reader is before the empty lines and
/// comments that it skips.
fn start_of_row(text: &str, from: usize) -> usize {
    let mut at = text.floor_char_boundary(from);
    loop {
        let rest = &text[at..];
        if rest.starts_with(['\n', '\r']) {
            at += 1;
        } else if rest.starts_with('#') {
            at += rest.find('\n').map_or(rest.len(), |newline| newline + 1);
        } else {
            return at;
        }
    }
}

/// Where each cell of a row begins, without leading space, and where the row ends; bytes.
fn starts_of_cells<'t>(text: &'t str, row: &Row) -> impl Iterator<Item = usize> + 't {
    let from = row.at;
    let mut chars = text.get(from..).unwrap_or("").char_indices();
    let (mut quoted, mut waits, mut ended) = (false, true, false);
    std::iter::from_fn(move || {
        while !ended {
            let Some((byte, c)) = chars.next() else {
                ended = true;
                return Some(text.len());
            };
            work::count(1);
            ended = !quoted && matches!(c, '\n' | '\r');
            let begins = waits && !matches!(c, ' ' | '\t');
            waits &= !begins;
            match c {
                '"' => quoted = !quoted,
                ',' if !quoted => waits = true,
                _ => {}
            }
            if ended || begins {
                return Some(from + byte);
            }
        }
        None
    })
}

/// Where a cell begins; beyond the end of its row, the end.
fn start_of_cell(text: &str, row: &Row, column: usize) -> usize {
    let starts = starts_of_cells(text, row).take(column + 1);
    starts.last().unwrap_or(row.at)
}

fn start_of_line(lines: &Lines<'_>, at: usize) -> Place {
    Place::Line {
        line: lines.line(at) + 1,
        column: 1,
    }
}
