//! Tables: a header, a rule, and rows; light enough to read.

use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, Row, TableStyle, Width,
};

use crate::print::lines::{WIDTH, ended};
use crate::print::look::Look;

/// Blanks between two columns.
const GAP: usize = 2;

/// How a column stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stand {
    /// Text, from the left.
    Left,
    /// Numbers, to the right.
    Right,
    /// Text that takes the width that is left, on several lines if need be.
    Wrapped,
}

/// A column: its heading, on one or more lines, how it stands, and its cells.
struct Column {
    heading: String,
    stand: Stand,
    cells: Vec<String>,
    /// Left out where the table is too wide; the highest first, zero never.
    spare: u8,
}

/// A table whose columns are filled from the same rows.
pub(crate) struct Table<'r, R> {
    rows: &'r [R],
    columns: Vec<Column>,
}

impl<'r, R> Table<'r, R> {
    pub(crate) const fn of(rows: &'r [R]) -> Self {
        let columns = Vec::new();
        Self { rows, columns }
    }

    fn column(&mut self, heading: String, stand: Stand, cells: Vec<String>) -> &mut Self {
        self.columns.push(Column {
            heading,
            stand,
            cells,
            spare: 0,
        });
        self
    }

    /// Adds a column of text, from the left.
    pub(crate) fn left(
        &mut self,
        heading: impl Into<String>,
        cell: impl Fn(&R) -> String,
    ) -> &mut Self {
        let cells = self.rows.iter().map(cell).collect();
        self.column(heading.into(), Stand::Left, cells)
    }

    /// Adds a column of numbers, to the right.
    pub(crate) fn right(
        &mut self,
        heading: impl Into<String>,
        cell: impl Fn(&R) -> String,
    ) -> &mut Self {
        let cells = self.rows.iter().map(cell).collect();
        self.column(heading.into(), Stand::Right, cells)
    }

    /// Adds a column of text that takes the width that is left.
    pub(crate) fn wrapped(&mut self, heading: &str, cell: impl Fn(&R) -> String) -> &mut Self {
        let cells = self.rows.iter().map(cell).collect();
        self.column(heading.to_owned(), Stand::Wrapped, cells)
    }

    /// Adds several columns of numbers, to the right.
    pub(crate) fn numbers<const N: usize>(
        &mut self,
        headings: [&str; N],
        cells: impl Fn(&R) -> [String; N],
    ) -> &mut Self {
        let rows: Vec<[String; N]> = self.rows.iter().map(cells).collect();
        for (index, heading) in headings.into_iter().enumerate() {
            let cells = rows.iter().map(|row| row[index].clone()).collect();
            self.column(heading.to_owned(), Stand::Right, cells);
        }
        self
    }

    /// Adds the columns of an interval: low, median and high under one heading.
    pub(crate) fn interval(
        &mut self,
        heading: &str,
        cells: impl Fn(&R) -> [String; 3],
    ) -> &mut Self {
        let low = format!("{heading}\nlow");
        self.numbers([&low, "\nexpect", "\nhigh"], cells)
    }

    /// Has the last column left out where the table is too wide: the highest order first.
    pub(crate) fn spare(&mut self, order: u8) -> &mut Self {
        if let Some(last) = self.columns.last_mut() {
            last.spare = order;
        }
        self
    }

    /// Leaves spare columns out until the table fits the screen.
    pub(crate) fn fit(&mut self) -> &mut Self {
        while self.width() > WIDTH {
            let most = self.columns.iter().map(|column| column.spare).max();
            let Some(spare) = most.filter(|spare| *spare > 0) else {
                break;
            };
            self.columns.retain(|column| column.spare != spare);
        }
        self
    }

    /// The width, none of the columns wrapped; characters.
    pub(crate) fn width(&self) -> usize {
        let wide = |text: &String| text.lines().map(|line| line.chars().count()).max();
        let widest = |column: &Column| {
            let texts = column.cells.iter().chain([&column.heading]);
            texts.filter_map(wide).max().unwrap_or(0)
        };
        let text: usize = self.columns.iter().map(widest).sum();
        text + GAP * self.columns.len().saturating_sub(1)
    }

    /// The table as lines of at most [`WIDTH`] characters.
    pub(crate) fn drawn(&self, look: Look) -> String {
        let rule = if look.plain { '-' } else { '─' };
        let style = TableStyle::new().header_separator(LineStyle::none().fill(rule));
        let row = |index: usize| {
            let cells = self.columns.iter().map(|column| &column.cells[index]);
            Row::from(cells.collect::<Vec<_>>())
        };
        let mut table = comfy_table::Table::new();
        table
            .load_style(style)
            .set_width(u16::try_from(WIDTH).unwrap_or(u16::MAX))
            .set_content_arrangement(ContentArrangement::Dynamic)
            .set_header(self.headings())
            .add_rows((0..self.rows.len()).map(row));
        let last = self.columns.len().saturating_sub(1);
        for (index, (column, set)) in self.columns.iter().zip(table.column_iter_mut()).enumerate() {
            set.set_padding((u16::from(index > 0), u16::from(index < last)));
            set.set_cell_alignment(match column.stand {
                Stand::Right => CellAlignment::Right,
                Stand::Left | Stand::Wrapped => CellAlignment::Left,
            });
            set.set_constraint(match column.stand {
                Stand::Wrapped => ColumnConstraint::LowerBoundary(Width::Fixed(24)),
                Stand::Left | Stand::Right => ColumnConstraint::ContentWidth,
            });
        }
        ended(table.trim_fmt())
    }

    /// Headings that end on the same line, just over the rule.
    fn headings(&self) -> Vec<String> {
        let lines = |column: &Column| column.heading.matches('\n').count();
        let most = self.columns.iter().map(lines).max().unwrap_or(0);
        let headings = self.columns.iter();
        headings
            .map(|column| "\n".repeat(most - lines(column)) + &column.heading)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_to_the_right_and_plain_tables_are_plain() {
        let rows = [("turf", 9.5)];
        let mut table = Table::of(&rows);
        table.left("name", |row| row.0.to_owned());
        table.right("how\nthick", |row| row.1.to_string());
        assert_eq!(table.width(), "name  thick".len());
        table.wrapped("about", |_| "sod ".repeat(30));
        let text = table.drawn(Look { plain: true });
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[0].trim(), "how");
        assert!(lines[1].starts_with("name  thick  about"), "{text}");
        assert!(lines[2].chars().all(|sign| sign == '-'), "{text}");
        assert!(lines[3].starts_with("turf    9.5  sod"), "{text}");
        assert!(lines.len() > 4);
        assert!(text.is_ascii());
        assert!(lines.iter().all(|line| line.len() <= WIDTH), "{text}");
    }
}
