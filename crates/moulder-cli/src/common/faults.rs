//! The faults of a file, each with its line.

use std::fmt::Write;

use moulder::internals::fault::library_fault::LibraryFaults;
use moulder::internals::fault::{Faults, Place, sentence};

use crate::common::file_line::FileLines;
use crate::common::text_file::TextFile;
use crate::print::lines::{counted, hanging, plain};
use crate::trouble::complaint::Complaint;
use crate::trouble::refusal::{Refusal, more};

/// A fault as it is reported.
struct Told<'a> {
    refusal: Refusal,
    place: &'a Place,
    words: String,
    /// The piece of the file it speaks of, where that is known.
    found: &'a str,
}

impl Complaint {
    /// Of a bed file or a file of weather.
    pub(crate) fn of_text(file: &TextFile, faults: &Faults) -> Self {
        let told = faults.iter().map(|fault| Told {
            refusal: Refusal::of_fault(fault),
            place: &fault.place,
            words: sentence::fault(fault) + more(fault.code),
            found: &fault.found,
        });
        of_all(file, told.collect(), faults.unlisted())
    }

    /// Of a file of materials.
    pub(crate) fn of_shelf(file: &TextFile, faults: &LibraryFaults) -> Self {
        let told = faults.as_slice().iter().map(|fault| Told {
            refusal: Refusal::of_shelf(fault),
            place: &fault.place,
            words: fault.to_string(),
            found: "",
        });
        of_all(file, told.collect(), faults.unlisted())
    }
}

/// All faults in words, each with its line.
fn of_all(file: &TextFile, faults: Vec<Told<'_>>, unlisted: usize) -> Complaint {
    let count = faults.len() + unlisted;
    let head = format!("{} has {}:", file.name, counted(count, "fault", "faults"));
    let mut said = plain(&head);
    let mut lines = FileLines::of(&file.text);
    for fault in &faults {
        said.push('\n');
        said += &hanging(0, 2, &fault.words);
        if let Place::Line { line, column } = *fault.place
            && let Some(line) = lines.number(line)
        {
            said += &line.shown(fault.found, column.saturating_sub(1));
        }
    }
    if unlisted > 0 {
        let _ = write!(said, "\nand {unlisted} more.\n");
    }
    let refusals = faults.into_iter();
    let refusals = refusals.map(|fault| fault.refusal.file(&file.name));
    Complaint::laid_out(said, refusals.collect())
}
