//! Nouns and laws of a sinking garden bed, and nothing else: no input, no output,
//! no clock, no threads, `no_std`.
//!
//! A bed is a [`stack::Stack`] of slices. What changes in time is a
//! [`state::State`]; what it looks like at an instant (heights, loads, pores) is
//! measured by [`measure`]; how it changes is said once, by the laws:
//!
//! | law | file |
//! | --- | --- |
//! | carbon pools and humus | [`decay`] |
//! | how rot goes with warmth and frost | [`temperature`] |
//! | how rot goes with dryness and wetness | [`moisture`] |
//! | what both, and air, leave of the rates | [`conditions`] |
//! | what layers hold, drain, lose and drink | [`water`], by the day in [`store`] |
//! | how far wind dries a stack | [`draught`] |
//! | what rot warms and what draws heat away | [`heat`], along the ways of [`warmth`] |
//! | oxygen in the pores | [`air`] |
//! | the open ground | [`ground`], with [`season`] |
//! | how pieces lie and pack | [`packing`] |
//! | how rotting pieces shrink | [`envelope`] |
//! | how drying wood shrinks | [`shrinkage`] |
//! | how gaps close | [`settlement`] |
//! | how fines trickle | [`sifting`] |
//! | how soil animals carry humus about | [`mixing`] |
//! | what becomes of nitrogen | [`nitrogen`] |
//! | what the sky takes and gives | [`evapotranspiration`], [`weather`] |
//!
//! [`rates`] puts them together as one system of ordinary differential equations.
//! Marching it through time is the business of the crate `moulder-solve`.
//!
//! Units inside: m, m2, m3, kg (dry unless said), degC, kPa, days.
//!
//! # Lanes
//!
//! Parameters and state hold `L` beds of one structure side by side, as
//! `[quantity][lane]`; a lone bed is `L = 1`.
//!
//! # Same bytes everywhere
//!
//! Elementary functions come from [`elementary`] or `libm`, never from the
//! platform, and nothing is fused: the same input gives the same bytes on every
//! machine.
#![no_std]

extern crate alloc;

pub mod air;
mod assembly;
pub mod carbon;
pub mod conditions;
pub mod decay;
pub mod draught;
pub mod elementary;
pub mod envelope;
pub mod evapotranspiration;
pub mod flow;
pub mod ground;
pub mod heat;
pub mod measure;
pub mod mixing;
pub mod moisture;
pub mod nitrogen;
pub mod packing;
pub mod parameters;
pub mod rates;
pub mod season;
pub mod settlement;
pub mod shape;
pub mod shrinkage;
pub mod sifting;
pub mod smooth;
pub mod stack;
pub mod state;
pub mod store;
pub mod temperature;
pub mod threshold;
pub mod tridiagonal;
pub mod value;
pub mod volumes;
pub mod warmth;
pub mod water;
pub mod weather;
mod weave;

/// Mean length of a year of the civil calendar; days.
pub const DAYS_PER_YEAR: f64 = 365.2425;
