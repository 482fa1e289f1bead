//! Parameters common to all slices.

use crate::value::{Spread, Status, Value};

/// Void ratio of humus, treated as a separate kind of fines.
pub static HUMUS_VOID_RATIO: Value = Value::new(
    2.0,
    Spread::new(1.0, 4.0),
    "1",
    "our own closure",
    Status::Judgement,
);

/// Density of humus particles; kg/m3 (organic solids 1300-1550, general literature).
pub const HUMUS_DENSITY_KG_M3: f64 = 1500.0;

/// Field capacity of humus; kg per kg dry (our own closure).
pub const HUMUS_FIELD_CAPACITY: f64 = 1.5;

/// Remaining bulge of a bag, as a share of the way from square to round.
pub static BULGE_LEFT: Value = Value::new(
    0.2,
    Spread::new(0.0, 0.4),
    "1",
    "our own closure; geometry bounds it",
    Status::Judgement,
);

/// Parameters of the laws common to all slices, per lane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parameters<const L: usize> {
    /// Q10 of wood.
    pub q10_wood: [f64; L],
    /// Damping depth of the annual temperature wave; m.
    pub yearly_damping_m: [f64; L],
    /// Damping depth of the daily temperature wave; m.
    pub daily_damping_m: [f64; L],
    /// Decay rate of humus at 10 degC; 1/d.
    pub humus_rate_per_day: [f64; L],
    /// Void ratio of humus.
    pub humus_void_ratio: [f64; L],
    /// Time constant of effective stress under load; d.
    pub stress_days: [f64; L],
    /// Reference time of creep; d.
    pub creep_start_days: [f64; L],
    /// Time constant of fines migration into open gaps; d.
    pub fines_migration_days: [f64; L],
    /// Final relative growth of the area as the bag bulges; 0 for walls.
    pub swell: [f64; L],
    /// Crop factor: evapotranspiration over the reference value.
    pub crop_factor: [f64; L],
    /// Evaporation of an open side in full wind, over the reference evapotranspiration.
    pub side_factor: [f64; L],
    /// Depth at which root density has fallen to 37 %; m.
    pub rooting_m: [f64; L],
    /// Time constant of drainage above field capacity; d.
    pub drainage_days: [f64; L],
    /// Residual water content, as a share of field capacity.
    pub least_share: [f64; L],
    /// Water needed for first wetting, over field capacity.
    pub wetting_share: [f64; L],
    /// Share of its saturation moisture that wood holds against drainage.
    pub wood_held: [f64; L],
    /// Shrinkage of wood width from green to oven dry.
    pub wood_shrinkage: [f64; L],
    /// Share of the heat of decay that evaporates water.
    pub latent_share: [f64; L],
    /// Area share of open channels in soil.
    pub channel_share: [f64; L],
    /// Carbon to nitrogen ratio of decomposers and their residues; kg/kg.
    pub decomposer_ratio: [f64; L],
    /// Mineral nitrogen at which decomposers get half their demand; kg/m3.
    pub half_supply_kg_m3: [f64; L],
    /// Mineral nitrogen at which roots get half their demand; kg/m3.
    pub crop_half_supply_kg_m3: [f64; L],
    /// Nitrogen concentration of drainage over that of the slice's water.
    pub leached_share: [f64; L],
    /// Diffusivity of dissolved nitrogen; m2/d.
    pub nitrate_m2_per_day: [f64; L],
    /// Crop nitrogen demand; kg per m2 and degree day.
    pub crop_kg_m2_per_k_day: [f64; L],
    /// Bioturbation of humus at full rate; m2/d.
    pub bioturbation_m2_per_day: [f64; L],
    /// Area that receives rain, irrigation and fertiliser, at any bulge; m2.
    pub catch_m2: [f64; L],
}
