//! A forecast of [`moulder`] as one HTML page to keep.
//!
//! ```
//! use moulder::months::days;
//! use moulder::{Bed, TopUpRequest, top_ups};
//! use moulder_page::{Contents, page};
//!
//! let bed = Bed::example();
//! let request = TopUpRequest::new("loamy topsoil").months(14).ensemble_size(0);
//! let html = page(&Contents {
//!     bed: &bed,
//!     forecast: &bed.forecast().months(6).ensemble_size(0).run()?,
//!     widths_month: 6,
//!     topups: &top_ups(&[bed.clone()], &request)?[0],
//!     feeding: None,
//!     days: &days(&bed)?,
//!     file_text: "",
//! });
//! assert!(html.starts_with("<!DOCTYPE html>"));
//! # Ok::<(), moulder::Error>(())
//! ```
//!
//! - [`page`](fn@page) is of one bed, [`comparison_page`] of two to four designs side by side.
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
mod pictures;
mod shopping;
mod sources;
mod style;
mod table;
mod tape;

pub use comparison::{
    Contents as ComparisonContents, DESIGNS_LIMIT, Design, page as comparison_page,
};
pub use page::{Contents, page};
