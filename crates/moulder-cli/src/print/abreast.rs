//! Layers side by side in tables, as many as fit on the screen, then the next ones.

use crate::print::lines::{WIDTH, hanging, plain};
use crate::print::look::Look;
use crate::print::table::Table;

/// Width of the column that names the rows, and of the gap before a column; characters.
const FIRST_COLUMN: usize = 5;
const GAP: usize = 2;
/// The widest figure of a layer ("1000.0", a thickness of ten metres).
const FIGURE: usize = 6;

/// What is shown, the layers by number and name, and their figures row by row, each row with
/// its name before it.
pub(crate) fn layers_abreast(
    what: &str,
    names: &[String],
    first: &str,
    rows: &[(String, Vec<String>)],
    look: Look,
) -> String {
    let heading = format!("{what}, numbered from the ground up.");
    let mut said = format!("\n{}", plain(&heading));
    for (index, name) in names.iter().enumerate() {
        let name = format!("{}. {name}", index + 1);
        said += &hanging(2, 5, &name);
    }
    let abreast = (WIDTH - FIRST_COLUMN) / (FIGURE + GAP);
    let numbers: Vec<usize> = (0..names.len()).collect();
    for block in numbers.chunks(abreast) {
        let mut table = Table::of(rows);
        table.right(first, |(name, _)| name.clone());
        for index in block {
            table.right((index + 1).to_string(), |(_, figures)| {
                figures.get(*index).cloned().unwrap_or_default()
            });
        }
        said.push('\n');
        said += &table.drawn(look);
    }
    said
}
