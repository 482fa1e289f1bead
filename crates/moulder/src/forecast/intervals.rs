//! 80 % intervals of the figures of a month.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::forecast::row::Month;
use crate::numeric::interval::Interval;
use crate::numeric::tally::Tally;

/// Declares the figures of a month that have an interval: name, bin width, the field of the row,
/// and, of the surface's, the share of its additional settlement in it.
macro_rules! figures {
    ($($(#[doc = $doc:literal])+ $name:ident, $width:literal, $of:expr $(, $deviates:literal)?;)+) => {
        /// 80 % intervals of a month. Means are those of the month's row and add up; quantiles are
        /// each figure's own, and do not.
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        #[non_exhaustive]
        pub struct MonthIntervals {
            /// Months since filling.
            pub month: u32,
            /// The day.
            #[cfg_attr(feature = "schema", schemars(with = "String"))]
            pub date: Date,
            /// Depth of the surface below the rim, negative above it; m.
            pub below_rim_m: Option<Interval>,
            /// Share of the realisations in which it lies deeper below the rim than the depth
            /// asked about; none where none was.
            pub chance_deeper: Option<f64>,
            $($(#[doc = $doc])+ pub $name: Interval,)+
        }

        /// Tallies of the figures of a month.
        #[derive(Debug, Clone)]
        pub(crate) struct MonthTally {
            $($name: Tally,)+
            deeper: u32,
            surfaces: u32,
        }

        impl MonthTally {
            /// For an ensemble of that size, each with so many surfaces.
            pub(crate) fn new(ensemble_size: u32, surfaces: u32) -> Self {
                let surfaces = ensemble_size.saturating_mul(surfaces);
                let count = |deviates: &[f64]| match deviates {
                    [] => ensemble_size,
                    _ => surfaces,
                };
                Self {
                    $($name: Tally::of(count(&[$($deviates)?]), $width),)+
                    deeper: 0,
                    surfaces: 0,
                }
            }

            /// Adds the row of one realisation, by the laws and with each of those additional
            /// settlements; m.
            pub(crate) fn add(&mut self, row: &Month, extras_m: &[f64], deeper_than_m: Option<f64>) {
                $({
                    let of: fn(&Month) -> f64 = $of;
                    add_each(&mut self.$name, of(row), &[$($deviates)?], extras_m);
                })+
                if let Some((below_m, asked_m)) = row.below_rim_m.zip(deeper_than_m) {
                    let deeper = extras_m.iter().filter(|extra_m| below_m + **extra_m > asked_m);
                    self.deeper += u32::try_from(deeper.count()).unwrap_or(u32::MAX);
                }
                self.surfaces += u32::try_from(extras_m.len()).unwrap_or(u32::MAX);
            }

            /// The intervals of the realisations added, for the month of that row.
            pub(crate) fn intervals(
                &self,
                row: &Month,
                rim_m: Option<f64>,
                asks: bool,
            ) -> MonthIntervals {
                let height_m = self.height_m.band();
                MonthIntervals {
                    month: row.month,
                    date: row.date.clone(),
                    below_rim_m: rim_m.map(|rim_m| height_m.below(rim_m)),
                    chance_deeper: asks.then(|| f64::from(self.deeper) / f64::from(self.surfaces)),
                    $($name: self.$name.band(),)+
                }
            }
        }
    };
}

/// Adds a figure, with each additional settlement if it deviates with the surface.
fn add_each(tally: &mut Tally, figure: f64, deviates: &[f64], extras_m: &[f64]) {
    match deviates {
        [] => tally.add(figure),
        [share, ..] => {
            let with_each = extras_m.iter().map(|extra_m| figure + share * extra_m);
            tally.add_all(with_each);
        }
    }
}

figures! {
    /// Height of the surface above the ground; m.
    height_m, 1e-4, |row| row.height_m, -1.0;
    /// Settlement since filling; m.
    settlement_m, 1e-4, |row| row.settlement_m, 1.0;
    /// Rise of the surface by additions; m.
    added_m, 1e-4, |row| row.added_m;
    /// Fall of the surface below its height when filled: settlement less rise by additions; m.
    lowered_m, 1e-4, |row| row.settlement_m - row.added_m, 1.0;
    /// Mechanical settlement; m.
    mechanical_m, 1e-4, |row| row.parts.mechanical_m;
    /// Settlement by fines migration; m.
    fines_migration_m, 1e-4, |row| row.parts.fines_migration_m;
    /// Settlement by decay of non-woody material; m.
    nonwoody_decay_m, 1e-4, |row| row.parts.nonwoody_decay_m;
    /// Settlement by decay of wood; m.
    wood_decay_m, 1e-4, |row| row.parts.wood_decay_m;
    /// Carbon left in the bed; kg.
    carbon_kg, 1e-3, |row| row.carbon_kg;
    /// Share of the carbon put in that is left.
    carbon_left, 1e-4, |row| row.carbon_left;
    /// Carbon released; kg.
    carbon_released_kg, 1e-3, |row| row.carbon_released_kg;
    /// Mass of the fill, water included; kg.
    total_mass_kg, 1e-2, |row| row.total_mass_kg;
    /// Vertical stress on the ground; kN/m2.
    vertical_stress_kpa, 1e-3, |row| row.vertical_stress_kpa;
    /// Water in the fill; litres.
    water_l, 1e-2, |row| row.water_l;
    /// Share of that water in wood.
    water_in_wood, 1e-4, |row| row.water_in_wood;
    /// Mean temperature of the root zone over the month; degC.
    root_zone_c, 1e-3, |row| row.root_zone_c;
    /// Its excess over open ground in normal years; degC.
    root_zone_lift_c, 1e-3, |row| row.root_zone_lift_c;
    /// Days of the month warm enough to sow.
    warm_days, 1e-2, |row| row.warm_days;
    /// The same for open ground, in normal years.
    warm_days_open_ground, 1e-2, |row| row.warm_days_open_ground;
    /// Nitrogen in the organic matter; kg.
    nitrogen_organic_kg, 1e-5, |row| row.nitrogen.organic_kg;
    /// Mineral nitrogen; kg.
    nitrogen_mineral_kg, 1e-6, |row| row.nitrogen.mineral_kg;
    /// Mineral nitrogen in the growing layer; g/m2.
    nitrogen_root_zone_g_m2, 1e-3, |row| row.nitrogen.root_zone_g_m2;
    /// Net nitrogen mineralised there over the month; g/m2.
    nitrogen_mineralised_g_m2, 1e-3, |row| row.nitrogen.mineralised_g_m2;
    /// Crop demand for nitrogen over the month; g/m2.
    crop_nitrogen_demand_g_m2, 1e-3, |row| row.nitrogen.crop_demand_g_m2;
    /// Crop uptake of nitrogen; g/m2.
    crop_nitrogen_uptake_g_m2, 1e-3, |row| row.nitrogen.crop_uptake_g_m2;
    /// Nitrogen leached; g/m2.
    nitrogen_leached_g_m2, 1e-3, |row| row.nitrogen.leached_g_m2;
}
