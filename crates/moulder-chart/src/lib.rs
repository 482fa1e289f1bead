//! Charts of [`moulder`]'s answers, as SVG and PNG.
//!
//! ```
//! use moulder::Bed;
//! use moulder_chart::{Chart, ChartOptions, svg};
//!
//! let bed = Bed::example();
//! let forecast = bed.forecast().months(12).ensemble_size(20).run()?;
//! let svg = svg(Chart::Height, &bed, &forecast, &ChartOptions::default())?;
//! assert!(svg.file().starts_with("<?xml"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! - A chart is a function of plain values: strings and bytes out, no file, clock or
//!   environment. The same values give the same bytes of SVG everywhere.
//! - Lines and areas differ by dashes and hatches, never by colour alone. A drawing has a title
//!   and a description, turns dark where the reader prefers it, and is light in print.
//! - [`Svg::inline`] with one [`style_sheet`] puts many drawings into one page.
//! - Text is measured by the shipped font, one of the widest there are. Names that others wrote
//!   are escaped.
//!
//! # Features
//!
//! - `png` (default): `png` turns a drawing into dots.
//!
//! `internals` is for the other crates of this workspace and may change with every version.

mod chart;
mod kind;
mod plot;
mod section;
mod subject;
mod svg;

mod error;
mod front;
mod options;
#[cfg(feature = "png")]
mod raster;

pub use error::ChartError;
pub use front::{comparison_svg, fit_svg, sensitivity_svg, svg, topups_svg};
pub use kind::Chart;
pub use options::ChartOptions;
#[cfg(feature = "png")]
pub use raster::png;
pub use svg::document::Svg;
pub use svg::sheet::style_sheet;

/// What the other crates of this workspace use beside the front door. It may change with every
/// version.
#[doc(hidden)]
pub mod internals {
    pub mod chart {
        pub use crate::chart::*;
    }
    pub mod kind {
        pub use crate::kind::*;
    }
    pub mod plot {
        pub use crate::plot::*;
    }
    pub mod section {
        pub use crate::section::*;
    }
    pub mod subject {
        pub use crate::subject::*;
    }
    pub mod svg {
        pub use crate::svg::*;
    }
}
