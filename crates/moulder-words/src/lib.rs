//! What an answer of `moulder` comes to in plain sentences and phrases, in the owner's units.
//!
//! One module for each task. Numbers and codes come from `moulder`, which does not need these
//! sentences.
//!
//! ```
//! use moulder::Bed;
//! use moulder_words::forecast::in_a_sentence;
//!
//! let said = in_a_sentence(&Bed::example().forecast().months(6).ensemble_size(0).run()?);
//! assert!(said.is_some_and(|said| said.starts_with("By 14 Sep 2026 expect it about")));
//! # Ok::<(), moulder::Error>(())
//! ```

pub mod answer;
pub mod board;
pub mod calendar;
pub mod climate;
pub mod comparison;
pub mod default_value;
pub mod feeding;
pub mod figure;
pub mod fit;
pub mod forecast;
pub mod guide;
pub mod ledger;
pub mod material;
pub mod mixture;
pub mod nitrogen;
pub mod notice;
pub mod parts;
pub mod plan;
pub mod range;
pub mod sensitivity;
pub mod sign;
pub mod sources;
pub mod surprise;
pub mod topup;
pub mod topup_range;
pub mod warmth;
pub mod water;
