//! Faults of a document: codes and data here, text in [`crate::fault::sentence`].

pub mod error;
pub mod guide;
pub mod library_fault;
pub mod notice;
pub(crate) mod notice_sentence;
pub mod once;
pub mod sentence;

use std::fmt;

use serde::{Deserialize, Serialize};

/// Declares each code once, with its stable name.
macro_rules! fault_codes {
    ($($(#[doc = $doc:literal])+ $name:ident = $word:literal,)+) => {
        /// What kind of fault it is.
        ///
        /// The word of a code never changes its meaning within a major version.
        ///
        /// ```
        /// assert_eq!(moulder::FaultCode::UnknownMaterial.as_str(), "unknown-material");
        /// ```
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        #[serde(rename_all = "kebab-case")]
        #[non_exhaustive]
        pub enum FaultCode {
            $($(#[doc = $doc])+ $name,)+
        }

        impl FaultCode {
            /// Every code, in the order of the documentation.
            pub const ALL: &'static [Self] = &[$(Self::$name,)+];

            /// The stable name ("unknown-field").
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self {
                    $(Self::$name => $word,)+
                }
            }
        }
    };
}

fault_codes! {
    /// The text does not follow TOML or JSON; `expected` says what would.
    BadSyntax = "bad-syntax",
    /// Lists or tables are nested deeper than any bed needs.
    TooDeep = "too-deep",
    /// The file is larger than a reader takes.
    TooBig = "too-big",
    /// A name stands twice in one table.
    RepeatedKey = "repeated-key",
    /// A name that no part of a bed file uses; `help` holds the most similar ones.
    UnknownField = "unknown-field",
    /// A field that belongs to another shape of bed; `expected` names the shapes.
    OtherShape = "other-shape",
    /// Something that must be given is not; `help` shows how it is written.
    MissingField = "missing-field",
    /// A form number that this version cannot read.
    UnknownFormat = "unknown-format",
    /// A number where text is needed, and the like.
    WrongKind = "wrong-kind",
    /// A word that is not one of the few that may stand here.
    UnknownWord = "unknown-word",
    /// A text that is empty or holds hidden characters.
    BadText = "bad-text",
    /// A text longer than a reader takes.
    TooLong = "too-long",
    /// A quantity that cannot be read.
    BadQuantity = "bad-quantity",
    /// A number without a unit; `help` holds it with likely ones.
    MissingUnit = "missing-unit",
    /// A unit that is not on the list nor among the file's own measures.
    UnknownUnit = "unknown-unit",
    /// A unit that means two things; `help` holds the clear spellings.
    AmbiguousUnit = "ambiguous-unit",
    /// A weight where a length is needed, and the like.
    WrongMeasure = "wrong-measure",
    /// A comma where a decimal point must stand.
    DecimalComma = "decimal-comma",
    /// A number broken up into thousands.
    ThousandsSeparator = "thousands-separator",
    /// A value outside the plausible range.
    OutOfRange = "out-of-range",
    /// Not the twelve values that a year needs.
    WrongLength = "wrong-length",
    /// A material that is not in the library.
    UnknownMaterial = "unknown-material",
    /// A climate that is not in the library.
    UnknownClimate = "unknown-climate",
    /// The name of several towns; `help` holds what to write for each.
    AmbiguousPlace = "ambiguous-place",
    /// At sea, on ice or off the map; `expected` says why there is no climate.
    NoClimateThere = "no-climate-there",
    /// More entries than a reader takes.
    TooMany = "too-many",
    /// A list that needs at least one entry.
    TooFew = "too-few",
    /// Not a day of the calendar.
    NotADate = "not-a-date",
    /// Before the bed was filled.
    BeforeFilling = "before-filling",
    /// Two things that contradict each other.
    DoesNotFit = "does-not-fit",
    /// A mound whose sides meet before a layer is in.
    NoRoom = "no-room",
    /// A file that is no text in UTF-8.
    NotText = "not-text",
    /// A file or folder that cannot be read.
    Unreadable = "unreadable",
    /// An answer that cannot be put where it was to go.
    Unwritable = "unwritable",
    /// An option or argument that is needed and was not typed.
    MissingOption = "missing-option",
    /// What was typed cannot be understood, or will not do with the rest.
    BadOption = "bad-option",
    /// What was asked was begun and could not be ended.
    Unfinished = "unfinished",
    /// A run that its caller stopped.
    Stopped = "stopped",
}

/// Where something stands in a document.
///
/// ```
/// use moulder::{Bed, Library};
///
/// let error = Bed::from_toml("format = 1\n", &Library::built_in()).unwrap_err();
/// let fault = &error.faults()[0];
/// assert!(matches!(fault.place, moulder::Place::Line { line: 1, .. }));
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(untagged)]
pub enum Place {
    /// In a text file; both count from 1, columns in characters.
    Line {
        /// The line.
        line: usize,
        /// The column.
        column: usize,
    },
    /// In a JSON document or a value that a program built: a JSON Pointer (RFC 6901).
    Pointer {
        /// The pointer; empty for the whole document.
        pointer: String,
    },
}

/// One thing that is wrong with a document.
///
/// ```
/// use moulder::{Bed, Library};
///
/// let error = Bed::from_toml("format = 1\n", &Library::built_in()).unwrap_err();
/// let fault = &error.faults()[0];
/// assert!(!fault.expected.is_empty() && !fault.help.is_empty());
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Fault {
    /// What kind of fault it is.
    pub code: FaultCode,
    /// Where it stands.
    pub place: Place,
    /// The field it speaks of, as a JSON Pointer; empty for the whole document.
    pub path: String,
    /// What was found: the text as written, or a short phrase.
    pub found: String,
    /// What must stand there, as a short phrase.
    pub expected: String,
    /// What would do, ready to be written; the likeliest first.
    pub help: Vec<String>,
}

impl Fault {
    /// A fault of a value that a program built, at that JSON Pointer.
    ///
    /// ```
    /// use moulder::{Fault, FaultCode};
    ///
    /// let fault = Fault::in_value(FaultCode::OutOfRange, "/months", "-3", "a number of 0 or more");
    /// assert_eq!(fault.path, "/months");
    /// ```
    #[must_use]
    pub fn in_value(
        code: FaultCode,
        pointer: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) -> Self {
        Self {
            code,
            place: Place::Pointer {
                pointer: pointer.to_owned(),
            },
            path: pointer.to_owned(),
            found: found.into(),
            expected: expected.into(),
            help: Vec::new(),
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&sentence::fault(self))
    }
}

/// Everything that is wrong with a document, in file order; never empty.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Faults {
    faults: Vec<Fault>,
    /// Faults beyond [`FAULTS_LISTED`], which are counted and not listed.
    unlisted: usize,
}

impl Faults {
    /// Wraps faults that are already in file order; `None` when there are none.
    pub(crate) fn of(faults: Vec<Fault>, unlisted: usize) -> Option<Self> {
        (!faults.is_empty()).then_some(Self { faults, unlisted })
    }

    /// A single fault.
    pub(crate) fn one(fault: Fault) -> Self {
        Self {
            faults: vec![fault],
            unlisted: 0,
        }
    }

    /// The faults in file order.
    pub fn iter(&self) -> std::slice::Iter<'_, Fault> {
        self.faults.iter()
    }

    /// The faults in file order; at least one.
    #[must_use]
    pub fn as_slice(&self) -> &[Fault] {
        &self.faults
    }

    /// How many more were found than are listed.
    #[must_use]
    pub const fn unlisted(&self) -> usize {
        self.unlisted
    }
}

impl<'a> IntoIterator for &'a Faults {
    type Item = &'a Fault;
    type IntoIter = std::slice::Iter<'a, Fault>;

    fn into_iter(self) -> Self::IntoIter {
        self.faults.iter()
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&sentence::faults(self))
    }
}

impl std::error::Error for Faults {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_word_is_what_programs_read() {
        for &code in FaultCode::ALL {
            let written = serde_json::to_value(code).unwrap();
            assert_eq!(written, code.as_str());
        }
    }

    #[test]
    fn no_faults_is_not_an_error() {
        assert_eq!(Faults::of(Vec::new(), 0), None);
    }

    #[test]
    fn a_place_reads_as_line_and_column_or_as_pointer() {
        let line = Place::Line { line: 3, column: 7 };
        let pointer = Place::Pointer {
            pointer: "/bed/rim".into(),
        };
        assert_eq!(
            serde_json::to_string(&line).unwrap(),
            r#"{"line":3,"column":7}"#
        );
        assert_eq!(
            serde_json::to_string(&pointer).unwrap(),
            r#"{"pointer":"/bed/rim"}"#
        );
    }
}
