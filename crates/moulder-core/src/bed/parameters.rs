//! What holds for the whole bed, one bed a lane.

use crate::value::{Spread, Status, Value};

/// Void ratio of humus, which lies as a fine of its own.
pub static HUMUS_VOID_RATIO: Value = Value::new(
    2.0,
    Spread::new(1.0, 4.0),
    "1",
    "our own closure",
    Status::Judgement,
);

/// Density of humus particles; kg/m3 (organic solids 1300-1550, general literature).
pub const HUMUS_DENSITY_KG_M3: f64 = 1500.0;

/// Water that humus holds against drainage; kg per kg dry (our own closure).
pub const HUMUS_FIELD_CAPACITY: f64 = 1.5;

/// How much a bag has left to bulge, as a share of the way from square to round.
pub static BULGE_LEFT: Value = Value::new(
    0.2,
    Spread::new(0.0, 0.4),
    "1",
    "our own closure; geometry bounds it",
    Status::Judgement,
);

/// The numbers of the laws that are the same in every slice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parameters<const L: usize> {
    /// Q10 of wood.
    pub q10_wood: [f64; L],
    /// Depth at which the yearly wave has fallen to 37 %; m.
    pub yearly_damping_m: [f64; L],
    /// Depth at which the daily swing has fallen to 37 %; m.
    pub daily_damping_m: [f64; L],
    /// Decay rate of humus at 10 degC; 1/d.
    pub humus_rate_per_day: [f64; L],
    /// Void ratio of humus.
    pub humus_void_ratio: [f64; L],
    /// Time in which effective stress follows the load; d.
    pub stress_days: [f64; L],
    /// Time that creep is counted from; d.
    pub creep_start_days: [f64; L],
    /// Time in which open gaps fill with fines; d.
    pub fines_migration_days: [f64; L],
    /// Share by which the area grows in the end as the bag bulges; 0 for walls.
    pub swell: [f64; L],
    /// Evapotranspiration over the reference value.
    pub crop_factor: [f64; L],
    /// What an open side gives to the wind, over the reference evapotranspiration.
    pub side_factor: [f64; L],
    /// Depth over which roots take water falls to 37 %; m.
    pub rooting_m: [f64; L],
    /// Time in which water above field capacity runs off; d.
    pub drainage_days: [f64; L],
    /// Share of field capacity below which nothing is taken.
    pub least_share: [f64; L],
    /// Water that wets a layer for the first time, over what it holds.
    pub wetting_share: [f64; L],
    /// Share of its largest moisture that wood holds.
    pub wood_held: [f64; L],
    /// Share of its width that green wood loses until it is oven dry.
    pub wood_shrinkage: [f64; L],
    /// Share of the heat of rot that evaporates water.
    pub latent_share: [f64; L],
    /// Share of a section of soil that is open channels.
    pub channel_share: [f64; L],
    /// Carbon to nitrogen of decomposers and of what they leave; kg/kg.
    pub decomposer_ratio: [f64; L],
    /// Mineral nitrogen at which decomposers get half of what they want; kg/m3.
    pub half_supply_kg_m3: [f64; L],
    /// Mineral nitrogen at which roots get half of what they want; kg/m3.
    pub crop_half_supply_kg_m3: [f64; L],
    /// Nitrogen in draining water over that of the water in a slice.
    pub leached_share: [f64; L],
    /// How fast dissolved nitrogen spreads; m2/d.
    pub nitrate_m2_per_day: [f64; L],
    /// Nitrogen that the crop would take; kg per m2 and degree day.
    pub crop_kg_m2_per_k_day: [f64; L],
    /// Mixing of humus by soil animals at full rate; m2/d.
    pub bioturbation_m2_per_day: [f64; L],
    /// Area that rain, cans and feed fall on, whatever the bed's shape becomes; m2.
    pub catch_m2: [f64; L],
}
