//! Nominal parameters: the best value of every constant.

use crate::DAYS_PER_YEAR;
use crate::bed::parameters::{HUMUS_VOID_RATIO, Parameters};
use crate::law::air::CHANNEL_SHARE;
use crate::law::bioturbation::BIOTURBATION;
use crate::law::decay::HUMUS_RATE;
use crate::law::fines_migration::FINES_MIGRATION_DAYS;
use crate::law::ground::{DAILY_DAMPING, DIFFUSIVITY, yearly_damping_m};
use crate::law::heat::LATENT_SHARE;
use crate::law::nitrogen::{
    CROP_HALF_SUPPLY, DECOMPOSER_CARBON_TO_NITROGEN, HALF_SUPPLY, LEACHED_SHARE,
    NITRATE_DIFFUSIVITY,
};
use crate::law::settlement::{CREEP_START_DAYS, STRESS_DAYS};
use crate::law::shrinkage::WOOD_SHRINKAGE;
use crate::law::temperature::Q10_WOOD;
use crate::law::ventilation::SIDE_FACTOR;
use crate::law::water::{
    CROP_FACTOR, DRAINAGE_DAYS, LEAST_SHARE, ROOTING_DEPTH, WETTING_SHARE, WOOD_HELD,
};

impl Parameters<1> {
    /// Best values, for a square metre of bed with rigid walls and no crop.
    ///
    /// ```
    /// use moulder_core::bed::parameters::Parameters;
    /// assert_eq!(Parameters::middle().swell, [0.0]);
    /// ```
    #[must_use]
    pub fn middle() -> Self {
        Self {
            q10_wood: [Q10_WOOD.best],
            yearly_damping_m: [yearly_damping_m(DIFFUSIVITY.best)],
            daily_damping_m: [DAILY_DAMPING.best],
            humus_rate_per_day: [HUMUS_RATE.best / DAYS_PER_YEAR],
            humus_void_ratio: [HUMUS_VOID_RATIO.best],
            stress_days: [STRESS_DAYS.best],
            creep_start_days: [CREEP_START_DAYS.best],
            fines_migration_days: [FINES_MIGRATION_DAYS.best],
            swell: [0.0],
            crop_factor: [CROP_FACTOR.best],
            side_factor: [SIDE_FACTOR.best],
            rooting_m: [ROOTING_DEPTH.best],
            drainage_days: [DRAINAGE_DAYS.best],
            least_share: [LEAST_SHARE.best],
            wetting_share: [WETTING_SHARE.best],
            wood_held: [WOOD_HELD.best],
            wood_shrinkage: [WOOD_SHRINKAGE.best],
            latent_share: [LATENT_SHARE.best],
            channel_share: [CHANNEL_SHARE.best],
            decomposer_ratio: [DECOMPOSER_CARBON_TO_NITROGEN.best],
            half_supply_kg_m3: [HALF_SUPPLY.best],
            crop_half_supply_kg_m3: [CROP_HALF_SUPPLY.best],
            leached_share: [LEACHED_SHARE.best],
            nitrate_m2_per_day: [NITRATE_DIFFUSIVITY.best / DAYS_PER_YEAR],
            crop_kg_m2_per_k_day: [0.0],
            bioturbation_m2_per_day: [BIOTURBATION.best / DAYS_PER_YEAR],
            catch_m2: [1.0],
        }
    }
}
