//! The cells of a CSV text with their places.

use csv::{ReaderBuilder, StringRecord};

use super::findings::Findings;
use super::heading::{self, Heading};
use crate::fault::{FaultCode, Place};
use crate::text::limit;

/// A CSV text, row by row.
pub(super) struct Table<'t> {
    text: &'t str,
    /// The first row, which names the columns.
    pub(super) heading: Row,
    /// The rows below it, no more than a reader takes.
    pub(super) rows: Vec<Row>,
}

/// One row that holds something.
pub(super) struct Row {
    record: StringRecord,
    /// Where it begins; bytes from the start of the text.
    at: usize,
    /// The line it begins in, from 1.
    line: usize,
}

impl Row {
    /// The cells, without the space around them.
    pub(super) fn cells(&self) -> impl Iterator<Item = &str> {
        self.record.iter().map(str::trim)
    }

    /// One cell, without the space around it; empty beyond the end.
    pub(super) fn cell(&self, column: usize) -> &str {
        self.record.get(column).unwrap_or("").trim()
    }

    /// How many cells there are up to the last that holds something.
    pub(super) fn filled(&self) -> usize {
        let last = self
            .cells()
            .enumerate()
            .filter(|(_, cell)| !cell.is_empty());
        last.last().map_or(0, |(column, _)| column + 1)
    }

    /// How many cells there are.
    pub(super) fn width(&self) -> usize {
        self.record.len()
    }
}

impl<'t> Table<'t> {
    /// Reads a text; nothing when no rows can be made out.
    pub(super) fn read(findings: &mut Findings, text: &'t str) -> Option<Self> {
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        let mut heading = None;
        let mut rows = Vec::new();
        let mut over: Option<(Place, usize)> = None;
        let (mut counted_to, mut line) = (0, 1);
        for record in reader.records() {
            let Ok(record) = record else {
                let place = Place::Line { line, column: 1 };
                let expected = "from here on it is no table of commas";
                findings.add(FaultCode::BadSyntax, place, "", "", expected, Vec::new());
                return None;
            };
            let before = record.position().map_or(0, csv::Position::byte);
            let at = start_of_row(text, usize::try_from(before).unwrap_or(usize::MAX));
            line += newlines(text, counted_to, at);
            counted_to = at;
            let row = Row { record, at, line };
            if row.filled() == 0 {
                continue;
            }
            if let Some(open) = row.record.iter().position(|cell| cell.contains('\n')) {
                let cell = Self::place_in(text, &row, open);
                let expected = "a quotation mark is opened here and not closed in this line";
                findings.add(FaultCode::BadSyntax, cell, "", "", expected, Vec::new());
                return None;
            }
            if heading.is_none() {
                heading = Some(row);
            } else if rows.len() < limit::WEATHER_ROWS {
                rows.push(row);
            } else {
                let place = Place::Line { line, column: 1 };
                over.get_or_insert((place, rows.len())).1 += 1;
            }
        }
        if let Some((place, count)) = over {
            let expected = format!("at most {}", limit::WEATHER_ROWS);
            let found = format!("{count} rows");
            findings.add(FaultCode::TooMany, place, "", found, expected, Vec::new());
        }
        let Some(heading) = heading else {
            heading::none(findings, Place::Line { line: 1, column: 1 });
            return None;
        };
        let table = Self {
            text,
            heading,
            rows,
        };
        (!table.has_other_separators(findings)).then_some(table)
    }

    /// Where a cell stands; beyond the end of its row, the end.
    pub(super) fn place(&self, row: &Row, column: usize) -> Place {
        Self::place_in(self.text, row, column)
    }

    fn place_in(text: &str, row: &Row, column: usize) -> Place {
        let rest = text.get(row.at..).unwrap_or("");
        let (mut left, mut quoted, mut at) = (column, false, rest.len());
        for (byte, sign) in rest.char_indices() {
            let end = !quoted && matches!(sign, '\n' | '\r');
            if end || (left == 0 && !matches!(sign, ' ' | '\t')) {
                at = byte;
                break;
            }
            match sign {
                '"' => quoted = !quoted,
                ',' if !quoted => left -= 1,
                _ => {}
            }
        }
        let before = &rest[..at];
        let start = before.rfind('\n').map_or(0, |newline| newline + 1);
        Place::Line {
            line: row.line + newlines(before, 0, at),
            column: before[start..].chars().count() + 1,
        }
    }

    /// Whether the columns are parted by something other than commas; if so, it is told.
    fn has_other_separators(&self, findings: &mut Findings) -> bool {
        let written: Vec<&str> = self.heading.cells().collect();
        let written = written.join(",");
        let (sign, expected) = if written.contains(';') {
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
        // The line in which some spreadsheets name the sign is no heading.
        let help = if written.starts_with("sep=") {
            heading::MONTHLY.to_owned()
        } else {
            written.replace(sign, ",")
        };
        let place = self.place(&self.heading, 0);
        findings.add(
            FaultCode::BadSyntax,
            place,
            "",
            written,
            expected,
            vec![help],
        );
        true
    }

    /// Whether numbers are written with commas, so that each makes two cells; if so, it is told
    /// once, for the whole file is written that way.
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
        findings.add(
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

/// The first byte of the next row: the reader's own place stands before the empty lines and the
/// notes that it passes over.
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

/// How many lines end between two bytes.
fn newlines(text: &str, from: usize, to: usize) -> usize {
    text.get(from..to).unwrap_or("").matches('\n').count()
}
