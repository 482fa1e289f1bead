//! Tables: a header, a rule, and rows; light enough to read.

use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, Row, Table, TableStyle, Width,
};

use crate::arguments::Look;
use crate::lines::{WIDTH, ended};

/// Blanks between two columns.
const GAP: usize = 2;

/// How a column stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stand {
    /// Text, from the left.
    Left,
    /// Numbers, to the right.
    Right,
    /// Text that takes the width that is left, on several lines if need be.
    Wrapped,
}

/// A column: its heading, on one or more lines, and how it stands.
#[derive(Debug, Clone)]
pub(crate) struct Column {
    pub(crate) heading: String,
    pub(crate) stand: Stand,
}

impl Column {
    pub(crate) fn new(heading: impl Into<String>, stand: Stand) -> Self {
        Self {
            heading: heading.into(),
            stand,
        }
    }
}

/// The table as lines of at most [`WIDTH`] characters.
pub(crate) fn table(columns: &[Column], rows: Vec<Vec<String>>, look: Look) -> String {
    let rule = if look.plain { '-' } else { '─' };
    let style = TableStyle::new().header_separator(LineStyle::none().fill(rule));
    let mut table = Table::new();
    table
        .load_style(style)
        .set_width(u16::try_from(WIDTH).unwrap_or(u16::MAX))
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_header(headings(columns))
        .add_rows(rows.into_iter().map(Row::from));
    let last = columns.len().saturating_sub(1);
    for (index, (column, set)) in columns.iter().zip(table.column_iter_mut()).enumerate() {
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

/// The width of such a table, none of its columns wrapped; characters.
pub(crate) fn width(columns: &[Column], rows: &[Vec<String>]) -> usize {
    let wide = |text: &str| text.lines().map(|line| line.chars().count()).max();
    let widest = |(index, column): (usize, &Column)| {
        let cells = rows.iter().filter_map(|row| row.get(index));
        let texts = cells.chain(std::iter::once(&column.heading));
        texts.filter_map(|text| wide(text)).max().unwrap_or(0)
    };
    let text: usize = columns.iter().enumerate().map(widest).sum();
    text + GAP * columns.len().saturating_sub(1)
}

/// Headings that end on the same line, just over the rule.
fn headings(columns: &[Column]) -> Vec<String> {
    let lines = |column: &Column| column.heading.matches('\n').count();
    let most = columns.iter().map(lines).max().unwrap_or(0);
    columns
        .iter()
        .map(|column| "\n".repeat(most - lines(column)) + &column.heading)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_to_the_right_and_plain_tables_are_plain() {
        let columns = [
            Column::new("name", Stand::Left),
            Column::new("how\nthick", Stand::Right),
            Column::new("about", Stand::Wrapped),
        ];
        let row = vec!["turf".to_owned(), "9.5".to_owned(), "sod ".repeat(30)];
        let text = table(&columns, vec![row], Look { plain: true });
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[0].trim(), "how");
        assert!(lines[1].starts_with("name  thick  about"), "{text}");
        assert!(lines[2].chars().all(|sign| sign == '-'), "{text}");
        assert!(lines[3].starts_with("turf    9.5  sod"), "{text}");
        assert!(lines.len() > 4);
        assert!(text.is_ascii());
        let narrow = [columns[0].clone(), columns[1].clone()];
        let rows = vec![vec!["turf".to_owned(), "9.5".to_owned()]];
        assert_eq!(width(&narrow, &rows), "name  thick".len());
        assert!(lines.iter().all(|line| line.len() <= WIDTH), "{text}");
    }
}
