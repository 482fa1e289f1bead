//! Why there is no forecast.

use jiff::civil::Date;

use crate::model::compile::NoRoom;
use crate::text::limit::{MONTHS_LIMIT, SAMPLES_LIMIT};

/// Why there is no forecast.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum ForecastError {
    /// More months were asked for than a forecast covers.
    TooManyMonths {
        /// How many were asked for.
        asked: u32,
    },
    /// A mound whose sides meet before a layer is in.
    NoRoom(NoRoom),
    /// The depth of growing soil was to be kept with something that is no soil.
    NoSoil,
    /// More draws were asked for than there are.
    TooManyDraws {
        /// How many were asked for.
        asked: u32,
    },
    /// A fit was asked for, and the document holds no reading.
    NoReading,
    /// A reading was taken after the last month asked for.
    ReadingAfterEnd {
        /// The day of the reading.
        on: Date,
        /// The last day of the forecast.
        end: Date,
    },
    /// Fewer draws were asked for than tell anything.
    TooFewDraws {
        /// How many were asked for.
        asked: u32,
        /// How many it takes.
        least: u32,
    },
    /// More draws were asked for than can be held with so many months and readings.
    TooMuchToHold {
        /// How many were asked for.
        asked: u32,
        /// How many can be held.
        most: u32,
    },
    /// The day of filling was asked about, when nothing has sunk yet.
    NothingSunkYet,
    /// The watcher stopped it.
    Stopped,
}

impl core::fmt::Display for ForecastError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::TooManyMonths { asked } => write!(
                f,
                "a forecast covers at most {MONTHS_LIMIT} months, and {asked} were asked for"
            ),
            Self::TooManyDraws { asked } => write!(
                f,
                "bands rest on at most {SAMPLES_LIMIT} draws, and {asked} were asked for"
            ),
            Self::NoReading => f.write_str("the bed file holds no tape reading to fit to"),
            Self::ReadingAfterEnd { on, end } => write!(
                f,
                "the reading of {on} is after {end}, where the forecast ends; ask for more \
                 months, of which there are {MONTHS_LIMIT} at most"
            ),
            Self::TooFewDraws { asked, least } => {
                write!(
                    f,
                    "this takes at least {least} draws, and {asked} were asked for"
                )
            }
            Self::TooMuchToHold { asked, most } => write!(
                f,
                "with so many months and tape readings {most} draws can be held, and {asked} \
                 were asked for; ask for fewer draws or fewer months"
            ),
            Self::NothingSunkYet => {
                f.write_str("on the day of filling nothing has sunk yet; ask for a month after it")
            }
            Self::NoRoom(no_room) => no_room.fmt(f),
            Self::NoSoil => f.write_str(
                "only soil or compost makes the growing soil thicker; top up with one of these",
            ),
            Self::Stopped => f.write_str("the forecast was stopped before it was done"),
        }
    }
}

impl core::error::Error for ForecastError {}

impl From<NoRoom> for ForecastError {
    fn from(no_room: NoRoom) -> Self {
        Self::NoRoom(no_room)
    }
}
