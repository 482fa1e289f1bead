//! The bed: slices, state variables and derived quantities.

pub(crate) mod assembly;
pub mod carbon;
pub mod measure;
pub mod parameters;
pub mod shape;
pub mod slopes;
pub mod stack;
pub mod state;
pub mod volumes;
