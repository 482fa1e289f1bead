//! The code book: what each code of a fault or notice means, what to do, and its source.
//!
//! ```
//! use moulder_words::guide::find;
//!
//! assert!(find("unknown-field").is_some_and(|entry| !entry.cause.is_empty()));
//! ```

#[doc(inline)]
pub use moulder::internals::fault::guide::{Entry, entries, find, nearest};
