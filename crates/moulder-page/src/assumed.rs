//! What was assumed where the bed file is silent.

use moulder::bed::Bed;
use moulder::default_text::{field, place};
use moulder::notice::DefaultUsed;

use crate::name::in_a_line;
use crate::table::{Row, Table};

/// Every default, from the ground up; none where nothing was assumed.
pub(crate) fn table(bed: &Bed) -> Option<Table> {
    if bed.defaults.is_empty() {
        return None;
    }
    let mut all: Vec<((usize, usize), String, &DefaultUsed)> = bed
        .defaults
        .iter()
        .map(|assumed| {
            let (order, name) = place(bed, &assumed.path);
            (order, name, assumed)
        })
        .collect();
    all.sort_by_key(|(order, _, _)| *order);
    let rows = all.into_iter().map(|(_, place, assumed)| Row {
        head: in_a_line(&place),
        cells: vec![
            in_a_line(&field(&assumed.path)),
            in_a_line(&assumed.value),
            in_a_line(&assumed.source),
        ],
    });
    Some(Table {
        id: "assumed",
        caption: "Write a line of your own into the bed file to replace any of these.".to_owned(),
        headings: ["Where", "What", "Taken as", "Source"]
            .map(str::to_owned)
            .to_vec(),
        rows: rows.collect(),
    })
}
