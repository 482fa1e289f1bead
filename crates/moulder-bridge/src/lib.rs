//! [`moulder`] for any language: a question as JSON, its answer as JSON.
//!
//! ```
//! let question = r#"{"id": 7, "ask": "forecast", "months": 6, "draws": 0, "bed": {
//!     "format": 1, "filled": "2026-03-14", "climate": "Cambridge UK",
//!     "bed": {"shape": "box", "width": "1.2 m", "length": "2.4 m", "rim": "60 cm"},
//!     "layer": [
//!         {"put": [{"material": "birch log", "amount": "30 cm"}]},
//!         {"put": [{"material": "loamy topsoil", "amount": "30 cm"}]}
//!     ]
//! }}"#;
//! let line = moulder_bridge::answer_line(question, &|_done, _of| std::ops::ControlFlow::Continue(()));
//! assert!(line.starts_with(r#"{"id":7,"answer":{"engine":"#));
//! ```
//!
//! - [`answer_line`] takes any text and always answers with one line: `{"id": .., "answer": ..}` or
//!   `{"id": .., "refused": {"code", "message", "faults"}}`. [`ask`] is the same for a value.
//! - What can be asked, and what comes back, is told by `schema`; `{"ask": "schema"}` asks for it
//!   (feature `schema`, on by default). Field names are in `snake_case`; a bed document may have hyphens, as in its file, or
//!   underscores.
//! - Answers have the figures of the command line's `--json`, to the byte but for white space.
//! - A long forecast can be run in parts: `"realisations"` answers with some of them, `"merge"`
//!   makes a forecast of the parts so far, and of all of them that of one piece.
//! - No file, clock, environment or network: a question that needs a day says which is today.

mod asked;
#[doc(hidden)]
pub mod buying;
mod field;
mod findings;
mod line;
#[doc(hidden)]
pub mod recipe;
mod refused;
#[cfg(feature = "schema")]
mod schema;
mod task;

pub use asked::MOST_BYTES;
pub use line::{answer_line, ask};
pub use refused::Refused;
#[cfg(feature = "schema")]
pub use schema::schema;
