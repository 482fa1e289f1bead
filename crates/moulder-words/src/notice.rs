//! Notices in sentences.
//!
//! ```
//! use moulder::Bed;
//! use moulder_words::notice::sentence;
//!
//! let forecast = Bed::example().forecast().months(1).ensemble_size(0).run()?;
//! assert!(forecast.notices.iter().all(|notice| !sentence(notice).is_empty()));
//! # Ok::<(), moulder::Error>(())
//! ```

#[doc(inline)]
pub use moulder::internals::fault::notice::WET_WEIGHT;
#[doc(inline)]
pub use moulder::internals::fault::once::{Once, once};
#[doc(inline)]
pub use moulder::internals::fault::sentence::notice as sentence;
#[doc(inline)]
pub use moulder::internals::text::phrase::{joined, layers};
