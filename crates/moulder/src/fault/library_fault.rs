//! What is wrong with a user's own file of materials.
//!
//! ```
//! use moulder::internals::library::materials::Catalogue;
//!
//! let Err(faults) = Catalogue::from_toml("[[material]]\nname = \"straw\"\n") else {
//!     panic!("a name alone is no material");
//! };
//! assert!(!faults.as_slice().is_empty());
//! ```

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::fault::sentence;
use crate::fault::{FaultCode, Place};
use crate::text::phrase::quoted;

/// One thing that is wrong with a file of materials.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct LibraryFault {
    /// What kind of fault it is.
    pub code: FaultCode,
    /// Where it stands: the place itself where one field is wrong, else the
    /// beginning of its material.
    pub place: Place,
    /// The material it belongs to; empty when it belongs to none.
    pub material: String,
    /// What is wrong, in a plain sentence.
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

/// Everything that is wrong with a file of materials, in file order; never empty.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LibraryFaults {
    faults: Vec<LibraryFault>,
    /// Faults beyond [`crate::text::limit::FAULTS_LISTED`], which are counted and not listed.
    unlisted: usize,
}

impl LibraryFaults {
    /// Wraps faults that are already in file order, of which no more are worked out than are
    /// listed; `None` when there are none.
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

    /// How many more were found than are listed.
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
        let said = faults.to_string();
        assert!(said.starts_with("line 3, column 1, in \"rush mat\": it has no \"about\".\n"));
        assert!(said.ends_with("\nand 3 more"));
    }
}
