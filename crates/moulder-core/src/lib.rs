//! Data types and laws of a settling garden bed: no I/O, no clock, no threads, `no_std`.
//!
//! A bed is a [`bed::stack::Stack`] of slices; its variables are a [`bed::state::State`].
//! Heights, loads and pores follow from a state by [`measure`](bed::measure), rates of change by
//! the laws:
//!
//! | law | file |
//! | --- | --- |
//! | carbon pools and humus | [`decay`](law::decay) |
//! | decay and temperature | [`temperature`](law::temperature) |
//! | decay and moisture | [`moisture`](law::moisture) |
//! | rate modifiers: temperature, moisture, oxygen | [`rate_modifiers`](rate::rate_modifiers) |
//! | water balance | [`water`](law::water), daily in [`store`](rate::store) |
//! | drying by wind | [`ventilation`](law::ventilation) |
//! | heat balance | [`heat`](law::heat), conductances in [`warmth`](rate::warmth) |
//! | oxygen in the pores | [`air`](law::air) |
//! | ground temperature | [`ground`](law::ground), with [`season`](law::season) |
//! | packing of particles | [`packing`](law::packing) |
//! | volume of decaying pieces | [`envelope`](law::envelope) |
//! | shrinkage of drying wood | [`shrinkage`](law::shrinkage) |
//! | settlement: load, wetting, creep, decay | [`settlement`](law::settlement) |
//! | slumping of mounds | [`slump`](law::slump), their sides in [`slopes`](bed::slopes) |
//! | migration of fines | [`fines_migration`](law::fines_migration) |
//! | bioturbation | [`bioturbation`](law::bioturbation) |
//! | nitrogen | [`nitrogen`](law::nitrogen) |
//! | evapotranspiration and weather | [`evapotranspiration`](law::evapotranspiration), [`weather`] |
//!
//! [`rates`](rate::rates) combines them in one system of ordinary differential equations, which
//! the crate `moulder-solve` integrates.
//!
//! Internal units: m, m2, m3, kg (dry unless stated), degC, kPa, days.
//!
//! # Reproducibility
//!
//! Elementary functions come from [`elementary`](math::elementary) or `libm`, never from the
//! platform, and no operation is fused, so results are bit-identical on every machine.
#![no_std]

extern crate alloc;
// Its square root is an instruction, which `core` does not reach there.
#[cfg(all(target_arch = "wasm32", target_os = "unknown"))]
extern crate std;

pub mod bed;
pub mod law;
pub mod math;
pub mod rate;
pub mod value;
pub mod weather;

/// Mean length of a civil year; days.
pub const DAYS_PER_YEAR: f64 = 365.2425;
