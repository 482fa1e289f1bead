//! Why there is no chart.

use core::fmt;

use crate::chart::comparison::BEDS_LIMIT;
use crate::kind::Chart;
use crate::plot::look::Look;
use crate::section::PICTURES_LIMIT;
use crate::svg::DOTS_LIMIT;

/// Why there is no chart.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum ChartError {
    /// No chart has that word.
    UnknownChart {
        /// The word.
        word: String,
    },
    /// The chart is not drawn from a forecast but from an answer of its own.
    NotOfAForecast {
        /// The chart.
        chart: Chart,
    },
    /// The forecast is of another bed.
    OtherBed,
    /// The width is out of range.
    Width {
        /// The width asked for; px.
        width_px: u32,
    },
    /// A cross-section of a month that the forecast does not reach.
    NoSuchMonth {
        /// The month asked for.
        month: u32,
        /// The last month of the forecast.
        last: u32,
    },
    /// Too many months in one cross-section.
    TooManyMonths {
        /// How many were asked for.
        count: usize,
    },
    /// Too few or too many beds to compare, or not a forecast for each.
    Beds {
        /// How many beds there are.
        beds: usize,
        /// How many forecasts there are.
        forecasts: usize,
    },
    /// A PNG would be larger than 16 000 dots one way, or nothing at all.
    PictureSize {
        /// Dots across.
        across: f64,
        /// Dots down.
        down: f64,
    },
    /// The drawing could not be read back or written as a PNG: a fault of this library.
    Drawing(String),
}

impl fmt::Display for ChartError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownChart { word } => {
                let all: Vec<&str> = Chart::ALL.iter().map(|chart| chart.as_str()).collect();
                write!(
                    f,
                    "no chart is called {word:?}; there are {}",
                    all.join(", ")
                )
            }
            Self::NotOfAForecast { chart } => write!(
                f,
                "the chart {chart} is not drawn from a forecast, but from an answer of its own"
            ),
            Self::OtherBed => f.write_str("the forecast is of another bed"),
            Self::Width { width_px } => write!(
                f,
                "a chart is {} to {} px wide, and this one would have {width_px}",
                Look::NARROWEST,
                Look::WIDEST
            ),
            Self::NoSuchMonth { month, last } => write!(
                f,
                "the forecast ends with month {last}, and month {month} was asked for"
            ),
            Self::TooManyMonths { count } => write!(
                f,
                "a cross-section has at most {PICTURES_LIMIT} months, and {count} were asked for"
            ),
            Self::Beds { beds, forecasts } => write!(
                f,
                "a comparison has 2 to {BEDS_LIMIT} beds with a forecast each, and here are \
                 {beds} with {forecasts}"
            ),
            Self::PictureSize { across, down } => write!(
                f,
                "a picture has 1 to {DOTS_LIMIT} dots either way, and this one would have \
                 {across:.0} by {down:.0}; take a smaller width or scale"
            ),
            Self::Drawing(why) => write!(f, "the drawing could not be turned into dots: {why}"),
        }
    }
}

impl core::error::Error for ChartError {}
