//! Plain text: how much of it is taken, names near a mistyped one, phrases.

pub mod limit;
pub mod month;
pub mod phrase;
pub mod sign;
pub(crate) mod suggestion;
pub(crate) mod work;
