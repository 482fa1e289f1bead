//! Marches a compiled bed through time.
//!
//! With the feature `reference`, the module `reference` integrates the rates of a
//! bed as they stand, to tight tolerances: slow, and the yardstick for anything
//! faster. The crate itself asks for no standard library; that feature's
//! dependencies do.
#![no_std]

extern crate alloc;

#[cfg(feature = "reference")]
pub mod reference;
#[cfg(test)]
#[cfg_attr(
    not(feature = "reference"),
    allow(dead_code, reason = "some beds serve the reference path alone")
)]
mod test_bed;
