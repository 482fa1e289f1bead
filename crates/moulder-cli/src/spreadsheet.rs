//! Tables for spreadsheets, as CSV.
//!
//! A spreadsheet takes a cell that begins with certain signs for a formula and runs it, even
//! where the cell is a name that somebody else chose. What is text is therefore written so
//! that it stays text, here and for all tables: an apostrophe goes before such a sign, as the
//! OWASP page "CSV Injection" advises (owasp.org/www-community/attacks/CSV_Injection; read).
//! What is a number is written as it is, with its minus.

use moulder::Date;
use moulder::internals::fault::FaultCode;

use crate::refusal::Refusal;
use crate::trouble::Trouble;

/// What a formula begins with by that page, and the same signs in full width, which some
/// spreadsheets read alike.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];
/// Where a spreadsheet of another country begins a new cell, in the middle of ours.
const SPLITS: [char; 4] = [';', '\t', '\r', '\n'];

/// What stands in a cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Cell {
    /// A number, as it is written; empty where there is none to tell.
    Number(String),
    /// A text, whoever chose it.
    Text(String),
}

impl Cell {
    /// A cell with nothing in it.
    pub(crate) const EMPTY: Self = Self::Number(String::new());

    /// A whole number.
    pub(crate) fn whole(value: impl Into<u64>) -> Self {
        Self::Number(value.into().to_string())
    }

    /// A day, as YYYY-MM-DD.
    pub(crate) fn date(date: Date) -> Self {
        Self::Text(date.to_string())
    }

    /// A text.
    pub(crate) fn text(text: &str) -> Self {
        Self::Text(text.to_owned())
    }

    /// As it is written.
    fn written(self) -> String {
        match self {
            Self::Number(number) => number,
            Self::Text(text) => no_formula(&text),
        }
    }
}

/// The text with an apostrophe wherever a formula could begin. One that begins with a sign
/// that is not to be seen could hide one.
fn no_formula(text: &str) -> String {
    let mut safe = String::with_capacity(text.len() + 1);
    let mut could_begin = true;
    for (at, sign) in text.char_indices() {
        if could_begin && FORMULA.contains(&sign) || at == 0 && sign.is_control() {
            safe.push('\'');
        }
        could_begin = SPLITS.contains(&sign) || could_begin && sign.is_whitespace();
        safe.push(sign);
    }
    safe
}

/// A heading and rows as CSV.
pub(crate) fn csv(
    heading: &[String],
    rows: impl Iterator<Item = Vec<Cell>>,
) -> Result<String, Trouble> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut record = writer.write_record(heading.iter().map(|name| no_formula(name)));
    for row in rows {
        if record.is_err() {
            break;
        }
        record = writer.write_record(row.into_iter().map(Cell::written));
    }
    record
        .map_err(|error| error.to_string())
        .and_then(|()| writer.into_inner().map_err(|error| error.to_string()))
        .and_then(|bytes| String::from_utf8(bytes).map_err(|error| error.to_string()))
        .map_err(|error| {
            let said = format!("The table cannot be written: {error}.");
            Trouble::cannot(Refusal::new(FaultCode::Unfinished, said))
        })
}

/// A number to five places: a hundredth of a millimetre, of a gram, of a thousandth part.
pub(crate) fn places(value: f64) -> Cell {
    let text = format!("{value:.5}");
    Cell::Number(if text == "-0.00000" {
        "0.00000".to_owned()
    } else {
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(cell: Cell) -> String {
        let text = csv(&["a".to_owned()], std::iter::once(vec![cell])).unwrap();
        text.strip_prefix("a\n").unwrap().to_owned()
    }

    #[test]
    fn a_text_is_no_formula() {
        for sign in FORMULA.into_iter().chain(['\t', '\r', '\n', '\0']) {
            let begun = written(Cell::Text(format!("{sign}1+2")));
            assert!(begun.trim_start_matches('"').starts_with('\''), "{begun}");
        }
        // The two examples of the page, quoted as it has them.
        assert_eq!(written(Cell::text("=1+2\";=1+2")), "\"'=1+2\"\";'=1+2\"\n");
        assert_eq!(
            written(Cell::text("=1+2'\" ;,=1+2")),
            "\"'=1+2'\"\" ;,=1+2\"\n"
        );
        // A cell of its own, for those whose lists are split by semicolons.
        assert_eq!(written(Cell::text("soil; -1+2")), "soil; '-1+2\n");
        for harmless in ["birch-log", "1 - 2", "Bed @ home", "'=1", "a,b=c"] {
            let cell = written(Cell::text(harmless));
            assert_eq!(cell.trim().trim_matches('"'), harmless);
        }
    }

    #[test]
    fn a_number_stays_a_number() {
        assert_eq!(written(places(-0.125)), "-0.12500\n");
        assert_eq!(written(places(-1e-9)), "0.00000\n");
        assert_eq!(written(Cell::whole(7_u32)), "7\n");
    }
}
