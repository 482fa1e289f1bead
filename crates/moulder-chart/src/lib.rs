//! Charts of [`moulder`]'s forecasts, as SVG and PNG.
//!
//! ```
//! use moulder::internals::library::Library;
//! use moulder::internals::forecast::forecast;
//! use moulder::internals::read::read_toml;
//! use moulder::internals::forecast::progress::unwatched;
//! use moulder_chart::kind::{Kind, draw};
//! use moulder_chart::subject::Subject;
//! use moulder_chart::plot::look::Look;
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
//! let bed = read_toml(text, &Library::built_in())?;
//! let forecast = forecast(&bed, 12, &unwatched)?;
//! let subject = Subject { bed: &bed, forecast: &forecast, readings: &[], days: &[] };
//! let chart = draw(Kind::Height, &subject, &Look::default());
//! assert!(chart.file().starts_with("<?xml"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Ideas
//!
//! - A chart is a function from plain values and a [`Look`](plot::look::Look) to an [`Svg`](svg::document::Svg):
//!   strings and bytes out, no file, clock or environment. The same values give the same
//!   bytes of SVG everywhere.
//! - [`kind`] lists the charts of one bed and draws them; the [`section`] can also be drawn
//!   with months of one's own.
//! - [`task`] lists the charts of what other tasks find: [`topups`](chart::topups), [`unknowns`](chart::unknowns), [`fit`](chart::fit),
//!   [`comparison`](chart::comparison). Each is drawn from that task's answer.
//! - The [`section`] draws a [`cutaway`](section::cutaway): what lies where in the bed, in metres, on a day.
//! - Things are told apart by dashes and [`hatch`](svg::hatch)es, never by colour alone. An
//!   [`Ink`](svg::ink::Ink) is a class of the [`sheet`](svg::sheet); its colours stand in [`palette`](svg::palette).
//! - A drawing has a title and a description for those who do not see it, turns dark
//!   where the reader prefers it and light in print. [`Svg::inline`](svg::document::Svg::inline) with one
//!   [`style_sheet`](svg::sheet::style_sheet) puts many into one page.
//! - Words are measured by the shipped font, among the widest there are, and
//!   [`escape`](svg::escape) makes names harmless.
//!
//! # Features
//!
//! - `png` (on unless turned off): [`raster`](svg::raster).

pub mod chart;
pub mod kind;
pub mod plot;
pub mod section;
pub mod subject;
pub mod svg;
pub mod task;
