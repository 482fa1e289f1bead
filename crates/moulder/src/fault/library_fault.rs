//! Faults of a user's own file of materials.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::fault::sentence;
use crate::fault::{FaultCode, Place};
use crate::text::phrase::quoted;

/// One fault of a file of materials.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct LibraryFault {
    /// The kind of fault.
    pub code: FaultCode,
    /// Its place: the field itself where one is at fault, else the beginning of its material.
    pub place: Place,
    /// The material at fault; empty when it belongs to none.
    pub material: String,
    /// What is wrong, as a plain sentence.
    pub said: String,
}

impl fmt::Display for LibraryFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&sentence::place(&self.place))?;
        if !self.material.is_empty() {
            write!(f, ", in {}", quoted(&self.material))?;
        }
        write!(f, ": {}", self.said)
    }
}

/// Every fault of a file of materials, in file order; never empty.
///
/// ```
/// use moulder::{Error, Library};
///
/// let error = Library::built_in().with_toml("[[material]]\nname = \"straw\"\n").unwrap_err();
/// assert!(matches!(error, Error::Library(faults) if faults.as_slice()[0].material == "straw"));
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LibraryFaults {
    faults: Vec<LibraryFault>,
    /// Faults beyond [`crate::text::limit::FAULTS_LISTED`], counted only.
    unlisted: usize,
}

impl LibraryFaults {
    /// Wraps faults in file order, computing no more than are listed; `None` when there are none.
    pub(crate) fn of(faults: impl ExactSizeIterator<Item = LibraryFault>) -> Option<Self> {
        let unlisted = faults
            .len()
            .saturating_sub(crate::text::limit::FAULTS_LISTED);
        let faults: Vec<LibraryFault> = faults.take(crate::text::limit::FAULTS_LISTED).collect();
        (!faults.is_empty()).then_some(Self { faults, unlisted })
    }

    /// The faults in file order; at least one.
    #[must_use]
    pub fn as_slice(&self) -> &[LibraryFault] {
        &self.faults
    }

    /// How many more faults there are than listed.
    #[must_use]
    pub const fn unlisted(&self) -> usize {
        self.unlisted
    }
}

impl fmt::Display for LibraryFaults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, fault) in self.faults.iter().enumerate() {
            if i > 0 {
                f.write_str("\n")?;
            }
            write!(f, "{fault}")?;
        }
        if self.unlisted > 0 {
            write!(f, "\nand {} more", self.unlisted)?;
        }
        Ok(())
    }
}

impl std::error::Error for LibraryFaults {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_than_are_listed_are_counted() {
        assert_eq!(LibraryFaults::of(std::iter::empty()), None);
        let fault = LibraryFault {
            code: FaultCode::MissingField,
            place: Place::Line { line: 3, column: 1 },
            material: "rush mat".into(),
            said: "it has no \"about\".".into(),
        };
        let faults = LibraryFaults::of(vec![fault; 203].into_iter()).unwrap();
        assert_eq!((faults.as_slice().len(), faults.unlisted()), (200, 3));
        let text = faults.to_string();
        assert!(text.starts_with("line 3, column 1, in \"rush mat\": it has no \"about\".\n"));
        assert!(text.ends_with("\nand 3 more"));
    }
}
