//! What beds are made of and where they stand: materials, climates, crops, gases.

pub(crate) mod check;
pub mod climates;
pub mod crop;
pub(crate) mod file;
pub mod file_fault;
pub mod gas;
pub mod material;
pub mod materials;
pub mod nearby;
