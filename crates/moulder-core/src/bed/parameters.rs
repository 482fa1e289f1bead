//! Uncertain constants of the laws, and the bed's parameters that follow from them: one table.
//!
//! A new constant needs its `static` in the file of its law and a row here. A row that names
//! a field makes it a parameter common to all slices; the rest are used when a bed is compiled.
//!
//! ```
//! use moulder_core::bed::parameters::{CONSTANTS, ConstantGroup, Parameters};
//!
//! let water = CONSTANTS.iter().filter(|row| row.group == ConstantGroup::Water);
//! assert!(water.count() > 10);
//! let fast = Parameters::from_constants(|constant| constant.spread.high);
//! assert!(fast.q10_wood > Parameters::middle().q10_wood);
//! ```

use crate::DAYS_PER_YEAR;
use crate::law::air::CHANNEL_SHARE;
use crate::law::bioturbation::{ANIMALS_YEARS, BIOTURBATION, CAST_DEPTH, CAST_RATE};
use crate::law::decay::{COLONISED_ON_ARRIVAL, HUMUS_RATE, STUDY_YEARS};
use crate::law::filling::{FILLING_KPA, FIRMED_KPA, LOAD_AT_FILLING, WETTED_AT_FILLING};
use crate::law::fines_migration::FINES_MIGRATION_DAYS;
use crate::law::ground::{DAILY_DAMPING, DIFFUSIVITY, yearly_damping_m};
use crate::law::heat::LATENT_SHARE;
use crate::law::nitrogen::{
    CROP_HALF_SUPPLY, DECOMPOSER_CARBON_TO_NITROGEN, HALF_SUPPLY, LEACHED_SHARE,
    MINERAL_ON_ARRIVAL, NITRATE_DIFFUSIVITY, RAIN_NITROGEN,
};
use crate::law::settlement::{
    CREEP_START_DAYS, FOOT_KPA, FOOT_RADIUS_M, LIMP_ON_ARRIVAL, STRESS_DAYS, TREADING_SHARE,
    WATERED_DAYS, WETTED_ON_ARRIVAL, WILTING_DAYS,
};
use crate::law::shrinkage::WOOD_SHRINKAGE;
use crate::law::slump::{REPOSE_CHIPS, REPOSE_SOFT, REPOSE_SOIL, REPOSE_STICKS, SLUMP_DAYS};
use crate::law::temperature::Q10_WOOD;
use crate::law::ventilation::SIDE_FACTOR;
use crate::law::water::{
    CROP_FACTOR, DRAINAGE_DAYS, DRINKING_DAYS, LEAST_SHARE, ROOTING_DEPTH, WETTING_SHARE, WOOD_HELD,
};
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

/// What an uncertain constant belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ConstantGroup {
    /// Bulging of bags.
    Bulge,
    /// How the bed was filled, where nobody says.
    Filling,
    /// Settlement, fines migration, shrinkage and bioturbation.
    Settlement,
    /// Decay of wood.
    WoodDecay,
    /// Decay of non-woody material and humus.
    NonwoodyDecay,
    /// Water, air, heat and nitrogen.
    Water,
    /// Slumping: of mounds alone.
    Mound,
}

/// An uncertain constant of the laws.
#[derive(Debug, Clone, Copy)]
pub struct Constant {
    /// Its name, by which it is one unknown.
    pub key: &'static str,
    /// The constant.
    pub value: &'static Value,
    /// What it belongs to.
    pub group: ConstantGroup,
}

/// Defines [`CONSTANTS`] and [`Parameters`] by one table: under `laws` rows `group: constant;`,
/// `group: constant => field;` or, with a conversion, `group: constant => field(convert);`;
/// under `bed` rows `field = default;` for parameters that depend on the bed.
macro_rules! constants {
    (
        laws {
            $($group:ident: $constant:ident
                $(=> $(#[$doc:meta])* $field:ident $(($convert:ident))?)?;)*
        }
        bed {
            $($(#[$bed_doc:meta])* $bed_field:ident = $nominal:expr;)*
        }
    ) => {
        /// All uncertain constants, the most influential on height first. Realisations depend
        /// on the order.
        pub const CONSTANTS: &[Constant] = &[
            $(Constant {
                key: stringify!($constant),
                value: &$constant,
                group: ConstantGroup::$group,
            },)*
        ];

        /// Parameters of the laws common to all slices.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct Parameters {
            $($($(#[$doc])* pub $field: f64,)?)*
            $($(#[$bed_doc])* pub $bed_field: f64,)*
        }

        impl Parameters {
            /// Parameters with the constants as `figure` gives them, for a square metre of
            /// bed with rigid walls and no crop.
            #[must_use]
            pub fn from_constants(figure: impl Fn(&'static Value) -> f64) -> Self {
                Self {
                    $($($field: {
                        let figure = figure(&$constant);
                        $(let figure = $convert(figure);)?
                        figure
                    },)?)*
                    $($bed_field: $nominal,)*
                }
            }
        }
    };
}

constants! {
    laws {
        Bulge: BULGE_LEFT;
        Filling: FILLING_KPA;
        Filling: LOAD_AT_FILLING;
        Filling: WETTED_AT_FILLING;
        Settlement: FINES_MIGRATION_DAYS =>
            /// Time constant of fines migration into open gaps; d.
            fines_migration_days;
        Water: WETTING_SHARE =>
            /// Water needed for first wetting, over field capacity.
            wetting_share;
        Settlement: STRESS_DAYS =>
            /// Time constant of effective stress under load; d.
            stress_days;
        Settlement: TREADING_SHARE;
        Settlement: WETTED_ON_ARRIVAL;
        Settlement: FOOT_KPA;
        Settlement: FOOT_RADIUS_M;
        Settlement: FIRMED_KPA;
        Settlement: WILTING_DAYS;
        Settlement: LIMP_ON_ARRIVAL;
        WoodDecay: Q10_WOOD =>
            /// Q10 of wood.
            q10_wood;
        Settlement: WOOD_SHRINKAGE =>
            /// Shrinkage of wood width from green to oven dry.
            wood_shrinkage;
        Water: CROP_FACTOR =>
            /// Crop factor: evapotranspiration over the reference value.
            crop_factor;
        Water: CHANNEL_SHARE =>
            /// Area share of open channels in soil.
            channel_share;
        Water: LATENT_SHARE =>
            /// Share of the heat of decay that evaporates water.
            latent_share;
        Settlement: HUMUS_VOID_RATIO =>
            /// Void ratio of humus.
            humus_void_ratio;
        Settlement: CREEP_START_DAYS =>
            /// Reference time of creep; d.
            creep_start_days;
        Settlement: WATERED_DAYS;
        Water: DRINKING_DAYS;
        Water: WOOD_HELD =>
            /// Share of its saturation moisture that wood holds against drainage.
            wood_held;
        Water: LEAST_SHARE =>
            /// Residual water content, as a share of field capacity.
            least_share;
        Water: DRAINAGE_DAYS =>
            /// Time constant of drainage above field capacity; d.
            drainage_days;
        Water: ROOTING_DEPTH =>
            /// Depth at which root density has fallen to 37 %; m.
            rooting_m;
        Water: SIDE_FACTOR =>
            /// Evaporation of an open side in full wind, over the reference evapotranspiration.
            side_factor;
        NonwoodyDecay: HUMUS_RATE =>
            /// Decay rate of humus at 10 degC; 1/d.
            humus_rate_per_day(per_day);
        Settlement: BIOTURBATION =>
            /// Bioturbation of humus at full rate; m2/d.
            bioturbation_m2_per_day(per_day);
        Settlement: CAST_RATE =>
            /// Fines raised by soil animals at the surface at full rate; m/d.
            cast_m_per_day(per_day);
        Settlement: CAST_DEPTH =>
            /// Depth at which they raise 37 % of that; m.
            cast_depth_m;
        Settlement: ANIMALS_YEARS =>
            /// Time constant of the arrival of soil animals; d.
            animals_days(days);
        Water: DAILY_DAMPING =>
            /// Damping depth of the daily temperature wave; m.
            daily_damping_m;
        Water: DIFFUSIVITY =>
            /// Damping depth of the annual temperature wave; m.
            yearly_damping_m(yearly_damping_m);
        Water: DECOMPOSER_CARBON_TO_NITROGEN =>
            /// Carbon to nitrogen ratio of decomposers and their residues; kg/kg.
            decomposer_ratio;
        Water: HALF_SUPPLY =>
            /// Mineral nitrogen at which decomposers get half their demand; kg/m3.
            half_supply_kg_m3;
        Water: CROP_HALF_SUPPLY =>
            /// Mineral nitrogen at which roots get half their demand; kg/m3.
            crop_half_supply_kg_m3;
        Water: LEACHED_SHARE =>
            /// Nitrogen concentration of drainage over that of the slice's water.
            leached_share;
        Water: NITRATE_DIFFUSIVITY =>
            /// Diffusivity of dissolved nitrogen; m2/d.
            nitrate_m2_per_day(per_day);
        Water: MINERAL_ON_ARRIVAL;
        Water: RAIN_NITROGEN;
        WoodDecay: STUDY_YEARS;
        WoodDecay: COLONISED_ON_ARRIVAL;
        Mound: REPOSE_SOIL;
        Mound: SLUMP_DAYS =>
            /// Time constant of slumping once wetted; d.
            slump_days;
        Mound: REPOSE_SOFT;
        Mound: REPOSE_CHIPS;
        Mound: REPOSE_STICKS;
    }
    bed {
        /// Final relative growth of the area as the bag bulges; 0 for walls.
        swell = 0.0;
        /// Crop nitrogen demand; kg per m2 and degree day.
        crop_kg_m2_per_k_day = 0.0;
        /// Area that receives rain, irrigation and fertiliser, at any bulge or slump; m2.
        catch_m2 = 1.0;
    }
}

impl Parameters {
    /// Best values, for a square metre of bed with rigid walls and no crop.
    ///
    /// ```
    /// use moulder_core::bed::parameters::Parameters;
    /// assert_eq!(Parameters::middle().swell, 0.0);
    /// ```
    #[must_use]
    pub fn middle() -> Self {
        Self::from_constants(|constant| constant.best)
    }
}

fn days(years: f64) -> f64 {
    years * DAYS_PER_YEAR
}

fn per_day(per_year: f64) -> f64 {
    per_year / DAYS_PER_YEAR
}

#[cfg(test)]
mod tests {
    use super::CONSTANTS;

    #[test]
    fn constants_are_listed_once() {
        for (i, row) in CONSTANTS.iter().enumerate() {
            let others = CONSTANTS.iter().skip(i + 1);
            assert!(
                others
                    .clone()
                    .all(|other| other.value != row.value && other.key != row.key),
                "{row:?}"
            );
        }
    }
}
