//! The error of every fallible function: what cannot be read, and why a run has no answer.

use jiff::civil::Date;
use serde::Serialize;
use serde::ser::SerializeStruct as _;
use thiserror::Error;

use crate::fault::library_fault::LibraryFaults;
use crate::fault::{FaultCode, Faults};
use crate::text::limit::{MONTHS_LIMIT, SAMPLES_LIMIT};

/// Why there is no answer.
///
/// [`Error::code`] is the stable word for programs, [`Display`](std::fmt::Display) a sentence
/// for people. As JSON it is an object of `code`, `message` and `faults`.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum Error {
    /// What is wrong with a bed, a plan or weather: all of it.
    #[error(transparent)]
    Faults(#[from] Faults),
    /// What is wrong with materials: all of it.
    #[error(transparent)]
    Library(#[from] LibraryFaults),
    /// More months were asked for than a forecast covers.
    #[error("a forecast covers at most {MONTHS_LIMIT} months, and {asked} were asked for")]
    TooManyMonths {
        /// How many were asked for.
        asked: u32,
    },
    /// A mound whose sides meet before a layer is in.
    #[error(transparent)]
    NoRoom(#[from] NoRoom),
    /// The depth of growing soil was to be kept with something that is no soil.
    #[error("only soil or compost makes the growing soil thicker; top up with one of these")]
    NoSoil,
    /// More realisations were asked for than an ensemble holds.
    #[error("bands rest on at most {SAMPLES_LIMIT} draws, and {asked} were asked for")]
    TooManyDraws {
        /// How many were asked for.
        asked: u32,
    },
    /// A fit was asked for, and the document gives no reading.
    #[error("the bed file holds no tape reading to fit to")]
    NoReading,
    /// A reading was taken after the last month asked for.
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
    /// Too few realisations were asked for.
    #[error("this takes at least {least} draws, and {asked} were asked for")]
    TooFewDraws {
        /// How many were asked for.
        asked: u32,
        /// How many it takes.
        least: u32,
    },
    /// More realisations were asked for than memory holds with so many months and readings.
    #[error(
        "with so many months and tape readings {most} draws can be held, and {asked} were asked \
         for; ask for fewer draws or fewer months"
    )]
    TooMuchToHold {
        /// How many were asked for.
        asked: u32,
        /// How many can be held.
        most: u32,
    },
    /// The day of filling was asked about, when nothing has settled yet.
    #[error("on the day of filling nothing has sunk yet; ask for a month after it")]
    NothingSunkYet,
    /// The amounts of a plan are beyond what its solver can hold.
    #[error(
        "no amounts could be worked out from these figures; look for one that is far too large \
         or too small"
    )]
    Unsolved,
    /// The progress function stopped it.
    #[error("the forecast was stopped before it was done")]
    Stopped,
}

impl Error {
    /// The stable code: that of the first fault where documents or materials are at fault.
    #[must_use]
    pub fn code(&self) -> FaultCode {
        match self {
            Self::Faults(faults) => faults.as_slice()[0].code,
            Self::Library(faults) => faults.as_slice()[0].code,
            Self::NoRoom(_) => FaultCode::NoRoom,
            Self::NoReading => FaultCode::MissingField,
            Self::Unsolved | Self::Stopped => FaultCode::Unfinished,
            Self::TooManyMonths { .. }
            | Self::NoSoil
            | Self::TooManyDraws { .. }
            | Self::ReadingAfterEnd { .. }
            | Self::TooFewDraws { .. }
            | Self::TooMuchToHold { .. }
            | Self::NothingSunkYet => FaultCode::BadOption,
        }
    }

    /// The faults of a document, in its order; none for errors of another kind.
    #[must_use]
    pub fn faults(&self) -> &[crate::fault::Fault] {
        match self {
            Self::Faults(faults) => faults.as_slice(),
            _ => &[],
        }
    }
}

impl Serialize for Error {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut object = serializer.serialize_struct("Error", 3)?;
        object.serialize_field("code", &self.code())?;
        object.serialize_field("message", &self.to_string())?;
        match self {
            Self::Library(faults) => object.serialize_field("faults", faults.as_slice())?,
            _ => object.serialize_field("faults", self.faults())?,
        }
        object.end()
    }
}

/// A mound whose sides meet before a layer is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("the sides of the mound meet before layer {} is in; use less, or a wider foot", .layer + 1)]
pub struct NoRoom {
    /// The layer that finds no room, counted from the ground, 0 first.
    pub layer: usize,
}
