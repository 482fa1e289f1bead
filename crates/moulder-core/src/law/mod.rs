//! The laws, one per file, with equation, source, constants and tests; independent of the bed's
//! data types.

pub mod air;
pub mod bioturbation;
pub mod decay;
pub mod envelope;
pub mod evapotranspiration;
pub mod filling;
pub mod fines_migration;
pub mod ground;
pub mod heat;
pub mod moisture;
pub mod nitrogen;
pub mod packing;
pub mod season;
pub mod settlement;
pub mod shrinkage;
pub mod slump;
pub mod snow;
pub mod temperature;
pub mod ventilation;
pub mod water;
