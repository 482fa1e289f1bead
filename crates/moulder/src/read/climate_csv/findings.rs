//! Collects faults.

use crate::fault::{Fault, FaultCode, Faults, Place};
use crate::text::limit;

/// Faults so far, up to the number that is listed.
#[derive(Default)]
pub(super) struct Findings {
    faults: Vec<Fault>,
    unlisted: usize,
}

impl Findings {
    /// Whether more faults would only be counted.
    pub(super) fn is_full(&self) -> bool {
        self.faults.len() >= limit::FAULTS_LISTED
    }

    /// Reports a fault.
    pub(super) fn add(
        &mut self,
        code: FaultCode,
        place: Place,
        path: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) {
        self.add_with(code, place, path, found, expected, Vec::new());
    }

    /// Reports a fault, with what would do.
    pub(super) fn add_with(
        &mut self,
        code: FaultCode,
        place: Place,
        path: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
        help: Vec<String>,
    ) {
        if self.is_full() {
            self.unlisted += 1;
            return;
        }
        self.faults.push(Fault {
            code,
            place,
            path: path.to_owned(),
            found: found.into(),
            expected: expected.into(),
            help,
        });
    }

    /// The faults in file order, those outside the file first; none when there are none.
    pub(super) fn into_faults(mut self) -> Option<Faults> {
        self.faults.sort_by_key(|fault| match fault.place {
            Place::Pointer { .. } => (0, 0),
            Place::Line { line, column } => (line, column),
        });
        Faults::of(self.faults, self.unlisted)
    }
}
