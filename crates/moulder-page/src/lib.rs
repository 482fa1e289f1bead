//! A forecast of [`moulder`] as one HTML page to keep.
//!
//! ```
//! use moulder::internals::library::Library;
//! use moulder::internals::forecast::day::days;
//! use moulder::internals::forecast::forecast;
//! use moulder::internals::read::read_toml;
//! use moulder::internals::topup::{TopUpRule, nominal_top_ups};
//! use moulder::internals::forecast::progress::unwatched;
//! use moulder_page::page::{Contents, page};
//!
//! let text = r#"
//! format = 1
//! filled = 2026-03-14
//! climate = "Cambridge UK"
//! [bed]
//! shape = "box"
//! width = "1.2 m"
//! length = "2.4 m"
//! rim = "60 cm"
//! [[layer]]
//! put = [{ material = "loamy topsoil", amount = "30 cm" }]
//! "#;
//! let library = Library::built_in();
//! let bed = read_toml(text, &library)?;
//! let soil = library.find_material("loamy topsoil").ok_or("no topsoil")?;
//! let html = page(&Contents {
//!     bed: &bed,
//!     forecast: &forecast(&bed, 12, &unwatched)?,
//!     widths_month: 12,
//!     topups: &nominal_top_ups(&bed, &TopUpRule::usual(&bed, soil, 24), &unwatched)?,
//!     days: &days(&bed)?,
//!     file_text: text,
//! });
//! assert!(html.starts_with("<!DOCTYPE html>"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Ideas
//!
//! - [`page`] is of one bed, [`comparison`] of designs side by side; both stand in one frame,
//!   with one style.
//! - Values in, a string out: no file, clock or environment. The same values give the
//!   same bytes.
//! - One file holds it all: style, pictures, tables. It asks for nothing from any network,
//!   forbids itself to, and has no script.
//! - First what to know and what to do: on paper the sentence, the shopping list, the
//!   cautions and the two main pictures lead. Then what it rests on, to the bed file itself.
//! - The template escapes all that it is given; [`name`] takes out of what others wrote
//!   the signs that steer a screen.
//! - Colours are those of the charts ([`moulder_chart::svg::palette`]), whose contrast is tested.

mod assumed;
mod cautions;
mod climate;
pub mod comparison;
mod months;
pub mod name;
pub mod page;
mod pictures;
mod shopping;
mod sources;
mod style;
mod table;
mod tape;
