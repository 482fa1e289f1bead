//! The error of every fallible function.

use jiff::civil::Date;
use serde::Serialize;
use serde::ser::SerializeStruct as _;
use thiserror::Error;

use crate::fault::library_fault::{LibraryFault, LibraryFaults};
use crate::fault::{FaultCode, Faults};
use crate::text::limit::{MONTHS_LIMIT, SAMPLES_LIMIT};

/// Why a function has no answer.
///
/// [`Error::code`] is stable, for programs; [`Display`](std::fmt::Display) is a sentence for
/// people. As JSON it is an object of `code`, `message` and `faults`.
///
/// ```
/// use moulder::{Bed, Library};
///
/// let error = Bed::from_toml("format = 1", &Library::built_in()).unwrap_err();
/// assert_eq!(error.code().as_str(), "missing-field");
/// assert!(error.faults().len() > 1);
/// ```
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum Error {
    /// Every fault of a bed, a plan or a weather file.
    #[error(transparent)]
    Faults(#[from] Faults),
    /// Every fault of materials.
    #[error(transparent)]
    Library(#[from] LibraryFaults),
    /// More months requested than a forecast covers.
    #[error("a forecast covers at most {MONTHS_LIMIT} months, and {asked} were asked for")]
    TooManyMonths {
        /// Months requested.
        asked: u32,
    },
    /// A mound whose sides meet before a layer is complete.
    #[error(transparent)]
    NoRoom(#[from] NoRoom),
    /// The depth of growing soil was to be kept with a material that is no soil.
    #[error("only soil or compost makes the growing soil thicker; top up with one of these")]
    NoSoil,
    /// More realisations requested than an ensemble holds.
    #[error("ranges are reckoned from at most {SAMPLES_LIMIT} beds, and {asked} were asked for")]
    TooManyDraws {
        /// Realisations requested.
        asked: u32,
    },
    /// A fit was requested of a document without a reading.
    #[error("the bed file holds no tape reading to fit to")]
    NoReading,
    /// A reading is later than the last month requested.
    #[error(
        "the reading of {on} is after {end}, where the forecast ends; ask for more months, of \
         which there are {MONTHS_LIMIT} at most"
    )]
    ReadingAfterEnd {
        /// The day of the reading.
        on: Date,
        /// The last day of the forecast.
        end: Date,
    },
    /// Too few realisations requested.
    #[error("this takes at least {least} beds, and {asked} were asked for")]
    TooFewDraws {
        /// Realisations requested.
        asked: u32,
        /// Realisations needed.
        least: u32,
    },
    /// More realisations requested than memory holds for so many months and readings.
    #[error(
        "with so many months and tape readings {most} beds can be held, and {asked} were asked \
         for; ask for fewer of them or fewer months"
    )]
    TooMuchToHold {
        /// Realisations requested.
        asked: u32,
        /// Realisations that fit.
        most: u32,
    },
    /// The month requested is the day of filling, before any settlement.
    #[error("on the day of filling nothing has sunk yet; ask for a month after it")]
    NothingSunkYet,
    /// The amounts of a plan exceed the range of its solver.
    #[error(
        "no amounts could be worked out from these figures; look for one that is far too large \
         or too small"
    )]
    Unsolved,
    /// The progress function cancelled the run.
    #[error("the forecast was stopped before it was done")]
    Stopped,
    /// One of several beds has no answer.
    #[error("bed {} ({name}): {error}", .index + 1)]
    OfBed {
        /// Index of the bed, 0 first.
        index: usize,
        /// Name of the bed.
        name: String,
        /// Why it has none.
        error: Box<Self>,
    },
}

impl Error {
    /// The stable code: that of the first fault of a document or of materials.
    #[must_use]
    pub fn code(&self) -> FaultCode {
        match self {
            Self::Faults(faults) => faults.as_slice()[0].code,
            Self::Library(faults) => faults.as_slice()[0].code,
            Self::NoRoom(_) => FaultCode::NoRoom,
            Self::NoReading => FaultCode::MissingField,
            Self::Unsolved => FaultCode::Unfinished,
            Self::Stopped => FaultCode::Stopped,
            Self::OfBed { error, .. } => error.code(),
            Self::TooManyMonths { .. }
            | Self::NoSoil
            | Self::TooManyDraws { .. }
            | Self::ReadingAfterEnd { .. }
            | Self::TooFewDraws { .. }
            | Self::TooMuchToHold { .. }
            | Self::NothingSunkYet => FaultCode::BadOption,
        }
    }

    /// The faults of a document, in file order; empty for other errors.
    #[must_use]
    pub fn faults(&self) -> &[crate::fault::Fault] {
        match self {
            Self::Faults(faults) => faults.as_slice(),
            Self::OfBed { error, .. } => error.faults(),
            _ => &[],
        }
    }

    /// The faults of materials, in their order; none for errors of another kind.
    #[must_use]
    pub fn library_faults(&self) -> &[LibraryFault] {
        match self {
            Self::Library(faults) => faults.as_slice(),
            Self::OfBed { error, .. } => error.library_faults(),
            _ => &[],
        }
    }
}

impl Serialize for Error {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut object = serializer.serialize_struct("Error", 3)?;
        object.serialize_field("code", &self.code())?;
        object.serialize_field("message", &self.to_string())?;
        match self.library_faults() {
            [] => object.serialize_field("faults", self.faults())?,
            faults => object.serialize_field("faults", faults)?,
        }
        object.end()
    }
}

/// A mound whose sides meet before a layer is complete.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("the sides of the mound meet before layer {} is in; use less, or a wider foot", .layer + 1)]
pub struct NoRoom {
    /// Index of the layer without room, from the ground, 0 first.
    pub layer: usize,
}
