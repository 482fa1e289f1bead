//! The laws: each in a file with its equation, source, constants and tests, knowing nothing of beds.

pub mod air;
pub mod decay;
pub mod draught;
pub mod envelope;
pub mod evapotranspiration;
pub mod ground;
pub mod heat;
pub mod mixing;
pub mod moisture;
pub mod nitrogen;
pub mod packing;
pub mod season;
pub mod settlement;
pub mod shrinkage;
pub mod sifting;
pub mod temperature;
pub mod water;
