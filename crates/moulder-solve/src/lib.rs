//! Marches a bed through time.
//!
//! [`simulation`] is the fast path: symmetric (Strang) splitting into the processes rot,
//! sifting and settling, each advanced by an exact or second-order step, graded as
//! [`schedule`] says. What the bed looks like on a day is a [`snapshot`]; what each
//! process did to its height is its [`split`].
//!
//! With the feature `reference` the module `reference` integrates the same laws as
//! one system of differential equations to tight tolerances: the judge of the fast
//! path, and far slower. The module `implicit` does so by a method of another kind, so that
//! the reference is judged too.
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
    allow(dead_code, reason = "some beds serve the reference path alone")
)]
mod test_bed;
mod weather_step;
