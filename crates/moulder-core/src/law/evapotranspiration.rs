//! Reference evapotranspiration, of a short, well-watered grass surface (FAO-56).
//!
//! Three methods, by decreasing demand for data:
//!
//! | method | needs | file |
//! | --- | --- | --- |
//! | FAO-56 Penman-Monteith | temperature, humidity, wind, sunshine; or temperature alone | [`penman_monteith`], with [`vapour`], [`radiation`] |
//! | Hargreaves | daily maximum and minimum temperature | [`hargreaves`] |
//! | Thornthwaite | monthly mean temperature | [`thornthwaite`] |
//!
//! [`sun`] gives extraterrestrial radiation and day length. Equation numbers are those of FAO-56:
//! Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage Paper
//! 56. The equations are from memory; they are tested against the paper's worked examples, read
//! in transcriptions or recalled, as each test states.
//!
//! Weather is prepared before a run, so kinks here (polar day, clamped inputs) do not affect a
//! solver.

pub mod hargreaves;
pub mod penman_monteith;
pub mod radiation;
pub mod sun;
pub mod thornthwaite;
pub mod vapour;

/// Water evaporated by 1 MJ/m2, FAO-56 eq. 20: 1/2.45, rounded as printed; mm.
pub const MM_PER_MJ: f64 = 0.408;
