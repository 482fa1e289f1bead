//! The laws: each in a file with its equation, source, constants and tests, knowing nothing of beds.

pub mod air;
pub mod bioturbation;
pub mod decay;
pub mod envelope;
pub mod evapotranspiration;
pub mod fines_migration;
pub mod ground;
pub mod heat;
pub mod moisture;
pub mod nitrogen;
pub mod packing;
pub mod season;
pub mod settlement;
pub mod shrinkage;
pub mod temperature;
pub mod ventilation;
pub mod water;
