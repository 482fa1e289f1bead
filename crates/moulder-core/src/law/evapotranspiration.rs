//! Reference evapotranspiration: the water that a short, well-watered lawn gives off.
//!
//! Three ways to it, from much weather to little:
//!
//! | way | needs | file |
//! | --- | --- | --- |
//! | FAO-56 Penman-Monteith | temperature, humidity, wind, sunshine | [`penman_monteith`], with [`vapour`], [`radiation`] |
//! | Hargreaves | daily high and low | [`hargreaves`] |
//! | Thornthwaite | monthly means | [`thornthwaite`] |
//!
//! [`sun`] gives what all of them need of the sky. Equation numbers are those of
//! FAO-56: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO
//! Irrigation and Drainage Paper 56. The equations are from memory; that they are
//! right is tested against the paper's worked examples, which were read in other
//! people's transcriptions of it or recalled, as each test says.
//!
//! Weather is laid out before a bed is run, so kinks in these functions (a night
//! that lasts all day, a measured figure held to its range) do not reach a solver.

pub mod hargreaves;
pub mod penman_monteith;
pub mod radiation;
pub mod sun;
pub mod thornthwaite;
pub mod vapour;

/// Water that 1 MJ/m2 evaporates, FAO-56 eq. 20: 1/2.45, rounded as printed; mm.
pub const MM_PER_MJ: f64 = 0.408;
