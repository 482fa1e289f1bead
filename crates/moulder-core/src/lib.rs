//! Nouns and laws of a sinking garden bed, and nothing else: no input, no output,
//! no clock, no threads, `no_std`.
//!
//! A bed is a [`bed::stack::Stack`] of slices. What changes in time is a
//! [`bed::state::State`]; what it looks like at an instant (heights, loads, pores) is
//! measured by [`measure`](bed::measure); how it changes is said once, by the laws:
//!
//! | law | file |
//! | --- | --- |
//! | carbon pools and humus | [`decay`](law::decay) |
//! | how rot goes with warmth and frost | [`temperature`](law::temperature) |
//! | how rot goes with dryness and wetness | [`moisture`](law::moisture) |
//! | what both, and air, leave of the rates | [`rate_modifiers`](rate::rate_modifiers) |
//! | what layers hold, drain, lose and drink | [`water`](law::water), by the day in [`store`](rate::store) |
//! | how far wind dries a stack | [`ventilation`](law::ventilation) |
//! | what rot warms and what draws heat away | [`heat`](law::heat), along the ways of [`warmth`](rate::warmth) |
//! | oxygen in the pores | [`air`](law::air) |
//! | the open ground | [`ground`](law::ground), with [`season`](law::season) |
//! | how pieces lie and pack | [`packing`](law::packing) |
//! | how rotting pieces shrink | [`envelope`](law::envelope) |
//! | how drying wood shrinks | [`shrinkage`](law::shrinkage) |
//! | how gaps close | [`settlement`](law::settlement) |
//! | how fines trickle | [`fines_migration`](law::fines_migration) |
//! | how soil animals carry humus about | [`bioturbation`](law::bioturbation) |
//! | what becomes of nitrogen | [`nitrogen`](law::nitrogen) |
//! | what the sky takes and gives | [`evapotranspiration`](law::evapotranspiration), [`weather`] |
//!
//! [`rates`](rate::rates) puts them together as one system of ordinary differential equations.
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
//! Elementary functions come from [`elementary`](math::elementary) or `libm`, never from the
//! platform, and nothing is fused: the same input gives the same bytes on every
//! machine.
#![no_std]

extern crate alloc;

pub mod bed;
pub mod law;
pub mod math;
pub mod rate;
pub mod value;
pub mod weather;

/// Mean length of a year of the civil calendar; days.
pub const DAYS_PER_YEAR: f64 = 365.2425;
