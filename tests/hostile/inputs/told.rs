//! Whether the faults of a text are reported in a helpful way.

use moulder::internals::fault::{Fault, Faults, Place};
use moulder::internals::text::limit;

/// Checks the guarantees on all faults.
pub(super) fn told(faults: &Faults, text: &str) {
    assert!(!faults.as_slice().is_empty());
    assert!(faults.as_slice().len() <= limit::FAULTS_LISTED);
    for fault in faults {
        within(&fault.place, text);
        in_words(fault);
    }
    assert!(!faults.to_string().is_empty());
}

/// A place must be in the text.
pub(super) fn within(place: &Place, text: &str) {
    match place {
        Place::Line { line, column } => {
            // A byte order mark is not part of a line.
            let text = text.strip_prefix('\u{feff}').unwrap_or(text);
            let found = text.split('\n').nth(line.wrapping_sub(1));
            let Some(found) = found else {
                panic!("line {line} of {} lines", text.split('\n').count());
            };
            // One beyond the end is where something is missing.
            let most = found.chars().count() + 1;
            assert!(
                (1..=most).contains(column),
                "column {column} of {most} in line {line}"
            );
        }
        Place::Pointer { pointer } => {
            assert!(pointer.is_empty() || pointer.starts_with('/'), "{pointer}");
        }
    }
}

/// A fault has a message, and the file's content cannot control the terminal.
fn in_words(fault: &Fault) {
    let said = fault.to_string();
    assert!(
        !said.is_empty() && !said.chars().any(char::is_control),
        "{said:?}"
    );
}
