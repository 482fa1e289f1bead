//! Heat balance: storage, conduction, heat of decay and latent heat.
//!
//! ```text
//! C_i dT_i/dt = conduction up and down + U P h_i (T_air - T_i) + q_i - latent_i
//! ```
//!
//! The top exchanges heat with the air through a surface film; the bottom with a point 1 m down
//! in the ground, at the temperature of undisturbed ground there.

use crate::value::{Spread, Status, Value};

/// kJ/d per W: seconds of a day over 1000.
pub const KJ_PER_DAY_W: f64 = 86.4;
/// Heat of combustion per released carbon; kJ/kg (cellulose, 17.4 kJ/g at 0.444 of carbon:
/// standard enthalpies).
pub const HEAT_KJ_PER_KG_CARBON: f64 = 39_200.0;
/// Latent heat of vaporisation; kJ/kg (FAO-56).
pub const LATENT_KJ_PER_KG: f64 = 2450.0;
/// Specific heat of mineral matter, organic matter and water; kJ/(kg K) (de Vries 1963: 1.92
/// MJ/m3 at 2.65 t/m3, 2.51 MJ/m3 at 1.5 t/m3, 4.18; the first two from memory).
pub const MINERAL_KJ_PER_KG_K: f64 = 0.73;
/// See [`MINERAL_KJ_PER_KG_K`].
pub const ORGANIC_KJ_PER_KG_K: f64 = 1.65;
/// See [`MINERAL_KJ_PER_KG_K`].
pub const WATER_KJ_PER_KG_K: f64 = 4.18;
/// Surface film conductance; W/(m2 K) (general literature, about 10).
pub const FILM_W_M2_K: f64 = 10.0;
/// Thermal conductivity of the ground; W/(m K) (clay at 0.2 m3/m3 water 0.9, Moene & van Dam
/// 2014, Table 2.2).
pub const GROUND_W_M_K: f64 = 0.9;
/// Depth of the lower boundary; m.
pub const GROUND_DEPTH_M: f64 = 1.0;
/// Thermal conductivity of boards across the grain; W/(m K) (Wood Handbook ch. 4: 0.10-0.14).
pub const BOARD_W_M_K: f64 = 0.12;

/// Minimum heat capacity of a slice; kJ/(m2 K). Equals 2 mm of water, so that a nearly decayed
/// sheet does not set the time step of the bed (our own closure, without visible effect on
/// temperature).
pub const LEAST_STORE_KJ_M2_K: f64 = 8.0;

/// Share of the heat of decay that evaporates water.
pub static LATENT_SHARE: Value = Value::new(
    0.5,
    Spread::new(0.3, 0.7),
    "1",
    "our own closure: evaporation takes most of the heat of a compost heap",
    Status::Judgement,
);

/// Thermal conductivity of fill; W/(m K), from the volume shares of water and mineral matter.
///
/// Linear in both, with an offset for convection and radiation in coarse pores (our own closure,
/// within 0.03-0.81 of Ahn et al. 2009 for moist organic matter and 0.15-1.4 for clay of Moene &
/// van Dam 2014; with still air alone, small heaps of garden waste would warm far more than
/// observed).
///
/// ```
/// use moulder_core::law::heat::conductivity_w_m_k;
/// assert!((0.12..0.81).contains(&conductivity_w_m_k(0.45, 0.0)));
/// assert!((0.6..1.4).contains(&conductivity_w_m_k(0.20, 0.50)));
/// ```
#[inline]
#[must_use]
pub fn conductivity_w_m_k(water_share: f64, mineral_share: f64) -> f64 {
    0.25 + 0.6 * water_share + 1.2 * mineral_share
}

/// Thermal conductance of a side; W/(m2 K): film, wall and a quarter of the bed's width in
/// series.
#[inline]
#[must_use]
pub fn side_w_m2_k(wall_m: f64, quarter_width_m: f64, fill_w_m_k: f64) -> f64 {
    1.0 / (1.0 / FILM_W_M2_K + wall_m / BOARD_W_M_K + quarter_width_m / fill_w_m_k)
}
