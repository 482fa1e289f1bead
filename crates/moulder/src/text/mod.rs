//! Text: input limits, suggestions for misspelt names, phrases.

pub mod limit;
pub mod month;
pub mod phrase;
pub mod rounding;
pub mod sign;
pub mod suggestion;
pub(crate) mod work;
