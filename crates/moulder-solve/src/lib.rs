//! Integration of a bed over time.
//!
//! [`simulation`] is the fast solver: symmetric (Strang) splitting into decay, fines migration
//! and settlement, each with an exact or second-order step of a length from [`schedule`]. A
//! [`snapshot`] gives the bed on a day, [`split`] the settlement by process.
//!
//! The feature `reference` adds the module `reference`, which integrates the same laws as one
//! system of differential equations to tight tolerances and serves to verify the fast solver, and
//! the module `implicit`, which verifies the reference by another method.
#![no_std]

extern crate alloc;

#[cfg(feature = "reference")]
pub mod implicit;
pub mod month_log;
#[cfg(feature = "reference")]
pub mod reference;
pub mod schedule;
pub mod simulation;
pub mod snapshot;
pub mod split;
#[cfg(test)]
#[cfg_attr(
    not(feature = "reference"),
    allow(dead_code, reason = "only the reference solver uses some beds")
)]
mod test_bed;
mod weather_step;
