//! Tables for spreadsheets, as CSV.
//!
//! A spreadsheet takes a cell that begins with certain signs for a formula and runs it, even
//! where the cell is a name that somebody else chose. What is text is therefore written so
//! that it stays text, here and for all tables: an apostrophe goes before such a sign, as the
//! OWASP page "CSV Injection" advises (owasp.org/www-community/attacks/CSV_Injection; read).
//! What is a number is written as it is, with its minus.

use std::fmt::Display;

use moulder::internals::numeric::interval::Interval;
use moulder::internals::text::rounding::rounded;

/// What a formula begins with by that page, and the same signs in full width, which some
/// spreadsheets read alike.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];
/// Where a spreadsheet of another country begins a new cell, in the middle of ours.
const SPLITS: [char; 4] = [';', '\t', '\r', '\n'];

/// A table whose columns are filled from the same rows.
pub(crate) struct Sheet<'r, R> {
    rows: &'r [R],
    /// Each column, its name first.
    columns: Vec<Vec<String>>,
}

impl<'r, R> Sheet<'r, R> {
    pub(crate) const fn of(rows: &'r [R]) -> Self {
        let columns = Vec::new();
        Self { rows, columns }
    }

    fn column(&mut self, name: &str, cell: impl Fn(&R) -> String) -> &mut Self {
        let cells = self.rows.iter().map(cell);
        self.columns
            .push(std::iter::once(no_formula(name)).chain(cells).collect());
        self
    }

    /// Adds a column of texts, whoever chose them.
    pub(crate) fn text<'t>(&mut self, name: &str, cell: impl Fn(&R) -> &'t str) -> &mut Self {
        self.column(name, |row| no_formula(cell(row)))
    }

    /// Adds a column of numbers or dates as they are shown; empty where there is none.
    pub(crate) fn shown<T: Display>(
        &mut self,
        name: &str,
        cell: impl Fn(&R) -> Option<T>,
    ) -> &mut Self {
        self.column(name, |row| {
            cell(row).map_or_else(String::new, |shown| shown.to_string())
        })
    }

    /// Adds a column of numbers to five places: a hundredth of a millimetre, of a gram, of a
    /// thousandth part; empty where there is none.
    pub(crate) fn number<T: Into<Option<f64>>>(
        &mut self,
        name: &str,
        cell: impl Fn(&R) -> T,
    ) -> &mut Self {
        self.shown(name, |row| cell(row).into().map(|value| rounded(value, 5)))
    }

    /// Adds columns of the ends of an interval, under the name with each end's and then the
    /// unit; empty where there is none.
    pub(crate) fn ends(
        &mut self,
        name: &str,
        unit: &str,
        band: impl Fn(&R) -> Option<Interval>,
    ) -> &mut Self {
        self.number(&format!("{name}_low{unit}"), |row| {
            band(row).map(|band| band.lower)
        })
        .number(&format!("{name}_high{unit}"), |row| {
            band(row).map(|band| band.upper)
        })
    }

    /// Adds columns of the low end, the mean and the high end of an interval.
    pub(crate) fn points(&mut self, name: &str, band: impl Fn(&R) -> Interval) -> &mut Self {
        self.number(&format!("{name}_low"), |row| band(row).lower)
            .number(&format!("{name}_mean"), |row| band(row).mean)
            .number(&format!("{name}_high"), |row| band(row).upper)
    }

    /// The heading and the rows as CSV.
    pub(crate) fn csv(&self) -> String {
        let mut writer = csv::Writer::from_writer(Vec::new());
        for row in 0..=self.rows.len() {
            let cells = self.columns.iter().map(|column| &column[row]);
            writer
                .write_record(cells)
                .expect("rows of one length are written to memory");
        }
        let bytes = writer.into_inner().expect("memory is always written to");
        String::from_utf8(bytes).expect("cells are text")
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

#[cfg(test)]
mod tests {
    use super::*;

    fn written(text: &str) -> String {
        let mut sheet = Sheet::of(&[()]);
        let text = sheet.text("a", |()| text).csv();
        text.strip_prefix("a\n").unwrap().to_owned()
    }

    #[test]
    fn a_text_is_no_formula() {
        for sign in FORMULA.into_iter().chain(['\t', '\r', '\n', '\0']) {
            let begun = written(&format!("{sign}1+2"));
            assert!(begun.trim_start_matches('"').starts_with('\''), "{begun}");
        }
        // The two examples of the page, quoted as it has them.
        assert_eq!(written("=1+2\";=1+2"), "\"'=1+2\"\";'=1+2\"\n");
        assert_eq!(written("=1+2'\" ;,=1+2"), "\"'=1+2'\"\" ;,=1+2\"\n");
        // A cell of its own, for those whose lists are split by semicolons.
        assert_eq!(written("soil; -1+2"), "soil; '-1+2\n");
        for harmless in ["birch-log", "1 - 2", "Bed @ home", "'=1", "a,b=c"] {
            assert_eq!(written(harmless).trim().trim_matches('"'), harmless);
        }
    }

    #[test]
    fn a_number_stays_a_number() {
        let numbers = [-0.125, -1e-9, -0.000_005];
        let mut sheet = Sheet::of(&numbers);
        let text = sheet.number("a", |number| *number).csv();
        assert_eq!(text, "a\n-0.12500\n0.00000\n-0.00001\n");
    }
}
