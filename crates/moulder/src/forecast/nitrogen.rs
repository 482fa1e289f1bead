//! Nitrogen month by month, and which crops each year supports.

use moulder_core::value::{Spread, Status, Value};
use moulder_solve::month_log::LayerMonthLog;
use moulder_solve::snapshot::Snapshot;
use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::library::crop::Crop;

/// Share of its demand below which a crop is short of nitrogen.
pub(crate) static ENOUGH: Value = Value::new(
    0.8,
    Spread::new(0.7, 0.9),
    "1",
    "our own closure: a crop with four fifths of its nitrogen yields nearly in full",
    Status::Judgement,
);

/// Most nitrogen at once: more scorches roots and is washed out; g/m2 (common practice, no source).
pub(crate) const MOST_AT_ONCE_G_M2: f64 = 10.0;

/// Share of the nitrogen in a feed that a crop takes up.
pub(crate) static FEED_FOUND: Value = Value::new(
    0.6,
    Spread::new(0.4, 0.8),
    "1",
    "crops recover 40-70 % of the nitrogen of mineral feeds (general literature)",
    Status::Memory,
);

/// Share of its yearly need below which the demand of a month never counts as short: in winter.
static IDLE: Value = Value::new(
    0.03,
    Spread::new(0.02, 0.05),
    "1",
    "our own closure: a crop that hardly grows waits for spring, and nobody feeds it",
    Status::Judgement,
);

/// Months in a year.
const YEAR: u32 = 12;
/// Grams in a kilogram.
const GRAMS: f64 = 1000.0;

/// Nitrogen of a bed at the end of a month, and its fluxes over the month.
///
/// Figures in g/m2 are over the area of the bed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NitrogenRow {
    /// In the organic matter of the bed; kg.
    pub organic_kg: f64,
    /// Mineral, in the whole bed; kg.
    pub mineral_kg: f64,
    /// Mineral, in the growing layer; g/m2.
    pub root_zone_g_m2: f64,
    /// Net mineralisation in the root zone over the month; g/m2, negative where decay
    /// immobilises more.
    pub mineralised_g_m2: f64,
    /// Crop demand over the month; g/m2.
    pub crop_demand_g_m2: f64,
    /// Crop uptake over the month; g/m2.
    pub crop_uptake_g_m2: f64,
    /// Leached out of the bed over the month; g/m2.
    pub leached_g_m2: f64,
    /// Whether uptake was below four fifths of the demand.
    pub is_short: bool,
}

impl NitrogenRow {
    /// The row of a month that began with `before` and ended with `now`.
    pub(crate) fn new(
        bed: &Bed,
        roots: &[usize],
        before: &Snapshot,
        now: &Snapshot,
        month_log: &[LayerMonthLog],
    ) -> Self {
        let per_m2 = GRAMS / bed.shape.area_m2();
        let sum = |of: fn(&LayerMonthLog) -> f64| month_log.iter().map(of).sum::<f64>() * per_m2;
        let in_roots = |of: &dyn Fn(usize) -> f64| -> f64 {
            roots.iter().map(|layer| of(*layer)).sum::<f64>() * per_m2
        };
        let crop_demand_g_m2 = sum(|layer| layer.crop_demand_kg);
        let crop_uptake_g_m2 = sum(|layer| layer.crop_uptake_kg);
        let mut row = Self {
            organic_kg: now.organic_nitrogen_kg(),
            mineral_kg: now.mineral_nitrogen_kg(),
            root_zone_g_m2: in_roots(&|layer| now.layers[layer].mineral_nitrogen_kg),
            mineralised_g_m2: in_roots(&|layer| month_log[layer].net_mineralised_kg),
            crop_demand_g_m2,
            crop_uptake_g_m2,
            leached_g_m2: (now.nitrogen_leached_kg - before.nitrogen_leached_kg) * per_m2,
            is_short: false,
        };
        row.is_short = row.falls_short(bed.crop);
        row
    }

    /// Whether uptake is below four fifths of a demand that counts.
    pub(crate) fn falls_short(&self, crop: Crop) -> bool {
        self.is_below(ENOUGH.best, crop)
    }

    /// Whether uptake is below that share of a demand that counts.
    pub(crate) fn is_below(&self, share: f64, crop: Crop) -> bool {
        self.crop_demand_g_m2 > IDLE.best * crop.need().best
            && self.crop_uptake_g_m2 < share * self.crop_demand_g_m2
    }
}

/// Which crops the nitrogen of a year supports.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Suits {
    /// Demanding crops, and all others.
    Hungry,
    /// Modest crops.
    Modest,
    /// Without feed only peas and beans, which fix their own.
    Peas,
}

/// Nitrogen of twelve months from the day of filling.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NitrogenYear {
    /// Number of the year, from 1.
    pub year: u32,
    /// Crop demand; g/m2.
    pub crop_demand_g_m2: f64,
    /// Crop uptake over the month; g/m2.
    pub crop_uptake_g_m2: f64,
    /// Months since filling in which the crop was short.
    pub short_months: Vec<u32>,
    /// Nitrogen that the crop lacks in these months, for the whole bed; g. What to feed is more:
    /// see [`feeding`](crate::feeding::feeding).
    pub lacking_g: f64,
    /// Which crops the year supports.
    pub suits: Suits,
}

/// Every whole year of a forecast; empty without a crop.
pub(crate) fn years(bed: &Bed, rows: &[(u32, NitrogenRow)]) -> Vec<NitrogenYear> {
    if bed.crop == Crop::None {
        return Vec::new();
    }
    let months = rows.iter().filter(|(month, _)| *month > 0);
    let months: Vec<&(u32, NitrogenRow)> = months.collect();
    let whole = months.chunks_exact(YEAR as usize);
    (1..)
        .zip(whole)
        .map(|(year, months)| {
            let sum = |of: fn(&NitrogenRow) -> f64| -> f64 {
                months.iter().map(|(_, row)| of(row)).sum()
            };
            let crop_demand_g_m2 = sum(|row| row.crop_demand_g_m2);
            let crop_uptake_g_m2 = sum(|row| row.crop_uptake_g_m2);
            let short = months.iter().filter(|(_, row)| row.is_short);
            // An empty `sum` is -0.0; a fold from 0.0 is not.
            let lacking_g_m2 = short.clone().fold(0.0, |sum, (_, row)| {
                sum + (row.crop_demand_g_m2 - row.crop_uptake_g_m2)
            });
            NitrogenYear {
                year,
                crop_demand_g_m2,
                crop_uptake_g_m2,
                short_months: short.map(|(month, _)| *month).collect(),
                lacking_g: lacking_g_m2 * bed.shape.area_m2(),
                suits: suits(bed.crop, crop_demand_g_m2, crop_uptake_g_m2),
            }
        })
        .collect()
}

/// Which crops live on that uptake; g/m2 in a year.
///
/// Demand is below the full need where roots find little bed, as on a thin one or on the slopes
/// of a mound: that of other crops is scaled alike.
fn suits(crop: Crop, crop_demand_g_m2: f64, crop_uptake_g_m2: f64) -> Suits {
    let reach = crop_demand_g_m2 / crop.need().best;
    let feeds = |crop: Crop| crop_uptake_g_m2 >= ENOUGH.best * reach * crop.need().best;
    if feeds(Crop::Hungry) {
        Suits::Hungry
    } else if feeds(Crop::Modest) {
        Suits::Modest
    } else {
        Suits::Peas
    }
}
