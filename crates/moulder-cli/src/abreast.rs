//! Layers side by side in tables, as many as the screen holds, then the next ones.

use crate::arguments::Look;
use crate::lines::{TextWidth, WIDTH, wrapped};
use crate::table::{Column, Stand, table};

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
    let mut said = format!("\n{}", wrapped(&heading, TextWidth::PLAIN));
    for (index, name) in names.iter().enumerate() {
        let name = format!("{}. {name}", index + 1);
        said.push_str(&wrapped(&name, TextWidth::hanging(2, 5)));
    }
    let abreast = (WIDTH - FIRST_COLUMN) / (FIGURE + GAP);
    let numbers: Vec<usize> = (0..names.len()).collect();
    for block in numbers.chunks(abreast) {
        let mut columns = vec![Column::new(first, Stand::Right)];
        for index in block {
            columns.push(Column::new((index + 1).to_string(), Stand::Right));
        }
        let rows = rows
            .iter()
            .map(|(name, figures)| {
                let here = block.iter().filter_map(|index| figures.get(*index));
                std::iter::once(name).chain(here).cloned().collect()
            })
            .collect();
        said.push('\n');
        said.push_str(&table(&columns, rows, look));
    }
    said
}
