//! Heat in the bed: what it stores, how it is conducted, what rot gives and
//! evaporation takes.
//!
//! ```text
//! C_i dT_i/dt = conduction up and down + U P h_i (T_air - T_i) + q_i - latent_i
//! ```
//!
//! The top meets the air through a film; the bottom meets a point 1 m down in the
//! ground, which has the temperature of the open ground there.

use crate::value::{Spread, Status, Value};

/// Seconds of a day over 1000: kJ/d per W.
pub const KJ_PER_DAY_W: f64 = 86.4;
/// Heat of combustion per carbon given off; kJ/kg (cellulose 17.4 kJ/g with 0.444 of
/// carbon: standard enthalpies).
pub const HEAT_KJ_PER_KG_CARBON: f64 = 39_200.0;
/// Heat that evaporates water; kJ/kg (FAO-56).
pub const LATENT_KJ_PER_KG: f64 = 2450.0;
/// Heat stored by mineral matter, organic matter and water; kJ/(kg K) (de Vries 1963:
/// 1.92 MJ/m3 at 2.65 t/m3, 2.51 MJ/m3 at 1.5 t/m3, 4.18; the first two from memory).
pub const MINERAL_KJ_PER_KG_K: f64 = 0.73;
/// See [`MINERAL_KJ_PER_KG_K`].
pub const ORGANIC_KJ_PER_KG_K: f64 = 1.65;
/// See [`MINERAL_KJ_PER_KG_K`].
pub const WATER_KJ_PER_KG_K: f64 = 4.18;
/// Heat passing the film of air at a surface; W/(m2 K) (general literature, about 10).
pub const FILM_W_M2_K: f64 = 10.0;
/// Conductivity of the ground below; W/(m K) (clay at 0.2 m3/m3 water 0.9, Moene & van
/// Dam 2014, Table 2.2).
pub const GROUND_W_M_K: f64 = 0.9;
/// Depth of the point in the ground that the bottom meets; m.
pub const GROUND_DEPTH_M: f64 = 1.0;
/// Conductivity of a board across the grain; W/(m K) (Wood Handbook ch. 4: 0.10-0.14).
pub const BOARD_W_M_K: f64 = 0.12;

/// Least heat that a slice stores; kJ/(m2 K). Two millimetres of water: a sheet that has
/// all but rotted must not set the pace of the whole bed (our own closure; it moves
/// nothing that a thermometer would show).
pub const LEAST_STORE_KJ_M2_K: f64 = 8.0;

/// Share of the heat of rot that goes into evaporating water.
pub static LATENT_SHARE: Value = Value::new(
    0.5,
    Spread::new(0.3, 0.7),
    "1",
    "our own closure: evaporation takes most of the heat of a compost heap",
    Status::Judgement,
);

/// Conductivity of fill; W/(m K), from the volumes of water and mineral matter per
/// volume of fill.
///
/// Linear in both, over what air that moves and radiates in coarse pores carries (our
/// own closure, within 0.03-0.81 of Ahn et al. 2009 for moist organic matter and
/// 0.15-1.4 for clay of Moene & van Dam 2014; still air alone would let small heaps of
/// garden waste grow far warmer than was seen).
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

/// Heat passing a wall; W/(m2 K): film, wall and a quarter of the bed's width in
/// series.
#[inline]
#[must_use]
pub fn side_w_m2_k(wall_m: f64, quarter_width_m: f64, fill_w_m_k: f64) -> f64 {
    1.0 / (1.0 / FILM_W_M2_K + wall_m / BOARD_W_M_K + quarter_width_m / fill_w_m_k)
}
