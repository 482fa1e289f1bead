//! A table as the template takes it.

/// A table: the first cell of each row heads it.
pub(crate) struct Table {
    /// What ids in it begin with.
    pub(crate) id: String,
    /// Its class in the style sheet.
    pub(crate) class: &'static str,
    /// What it shows and in which units.
    pub(crate) caption: String,
    /// The headings of its columns.
    pub(crate) headings: Vec<String>,
    /// Its rows, each as long as the headings.
    pub(crate) rows: Vec<Row>,
}

/// A row.
pub(crate) struct Row {
    /// What it is of.
    pub(crate) head: String,
    /// Its figures.
    pub(crate) cells: Vec<String>,
}

impl Table {
    /// The figures of one of its rows, each with the heading of its column.
    pub(crate) fn labelled<'a>(
        &'a self,
        row: &'a Row,
    ) -> impl Iterator<Item = (&'a String, &'a String)> {
        self.headings.iter().skip(1).zip(&row.cells)
    }
}
