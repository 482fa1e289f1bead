//! A bed in numbers: slices and what they hold, what changes, what it measures.

pub(crate) mod assembly;
pub mod carbon;
pub mod measure;
pub mod parameters;
pub mod shape;
pub mod stack;
pub mod state;
pub mod volumes;
pub(crate) mod weave;
