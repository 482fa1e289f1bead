//! A forecast of [`moulder`] as one HTML page to keep.
//!
//! ```
//! use moulder::{Bed, TopUpRequest, top_ups};
//! use moulder_page::{Contents, FirstSheet, page};
//!
//! let bed = Bed::example();
//! let request = TopUpRequest::new("loamy topsoil").months(13).ensemble_size(0);
//! let html = page(&Contents {
//!     sheets: &[FirstSheet {
//!         bed: &bed,
//!         forecast: &bed.forecast().months(13).ensemble_size(0).run()?,
//!         topups: &top_ups(&[bed.clone()], &request)?[0],
//!         feeding: None,
//!         as_of: bed.filled(),
//!     }],
//!     ..Contents::default()
//! });
//! assert!(html.starts_with("<!DOCTYPE html>"));
//! # Ok::<(), moulder::Error>(())
//! ```
//!
//! - [`page`](fn@page) is of beds, a first sheet each that stands alone; of one bed the rest may
//!   follow. [`comparison_page`] is of two to four designs side by side.
//! - Values in, a string out: no file, clock or environment. The same values give the same
//!   bytes.
//! - One file holds it all: style, charts, tables. It asks for nothing from any network, forbids
//!   itself to, and has no script.
//! - The template escapes all that it is given, and names that others wrote lose the characters
//!   that steer a screen.
//! - Colours are those of the charts, whose contrast is tested.

mod assumed;
mod cautions;
mod climate;
#[doc(hidden)]
pub mod comparison;
mod months;
mod name;
#[doc(hidden)]
pub mod page;
#[doc(hidden)]
pub mod paper;
mod pictures;
mod room;
#[doc(hidden)]
pub mod sheet;
mod shopping;
mod sources;
mod style;
mod table;
mod tape;

pub use comparison::{
    Contents as ComparisonContents, DESIGNS_LIMIT, Design, page as comparison_page,
};
pub use page::{Contents, More, page};
pub use paper::Paper;
pub use sheet::FirstSheet;
