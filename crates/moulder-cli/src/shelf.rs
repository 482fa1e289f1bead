//! The shelf that ships with the program, with the user's own files laid over it.

use moulder::catalogue::Catalogue;
use moulder::limit::SHELF_BYTES;

use crate::arguments::ShelfArguments;
use crate::faults::Complaint;
use crate::text_file::TextFile;
use crate::trouble::Trouble;

/// The user's files laid over our shelf, the last on top; and what is wrong with them.
pub(crate) fn with_own(asked: &ShelfArguments) -> Result<(Catalogue, Vec<Complaint>), Trouble> {
    let mut shelf = Catalogue::built_in();
    let mut complaints = Vec::new();
    for path in &asked.shelf {
        let file = TextFile::open(path, SHELF_BYTES)?;
        match Catalogue::from_toml(&file.text) {
            Ok(own) => shelf = shelf.overlaid(own),
            Err(faults) => complaints.push(Complaint::of_shelf(&file, &faults)),
        }
    }
    Ok((shelf, complaints))
}
