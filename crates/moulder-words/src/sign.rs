//! Characters that are not seen in text that others wrote: one rule for charts and pages.
//!
//! ```
//! use moulder_words::sign::marked;
//!
//! assert!(marked("b\u{202e}ox").any(|(sign, hidden)| hidden && sign == '\u{202e}'));
//! ```

#[doc(inline)]
pub use moulder::internals::text::sign::marked;
