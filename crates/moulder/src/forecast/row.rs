//! The row of a month.

use jiff::civil::Date;
use moulder_core::law::settlement::GRAVITY_KPA_M2_PER_KG;
use moulder_solve::month_log::LayerMonthLog;
use moulder_solve::snapshot::Snapshot;
use serde::{Deserialize, Serialize};

use crate::bed::{Bed, Layer};
use crate::forecast::calendar::month_day;
use crate::forecast::nitrogen::NitrogenRow;
use crate::forecast::open_ground::OpenGround;
use crate::forecast::roots::growing_layers;
use crate::forecast::trajectory::MonthEnd;

/// A bed on one day.
///
/// ```
/// let forecast = moulder::Bed::example().forecast().months(6).ensemble_size(0).run()?;
/// let (start, end) = (&forecast.months[0], &forecast.months[6]);
/// assert!((start.height_m - end.height_m - end.settlement_m).abs() < 1e-9);
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Month {
    /// Months since filling.
    pub month: u32,
    /// The day: that many months after filling, or the last day of that month.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Height of the surface above the ground beside the bed; m.
    pub height_m: f64,
    /// Depth of the surface below the rim, negative above it; m.
    pub below_rim_m: Option<f64>,
    /// Settlement since filling, without the effect of additions; m.
    pub settlement_m: f64,
    /// Rise of the surface by additions since filling; m.
    pub added_m: f64,
    /// The settlement by cause; the parts add up to it.
    pub parts: SettlementParts,
    /// Carbon left in the bed; kg.
    pub carbon_kg: f64,
    /// Share of the carbon put in so far that is left.
    pub carbon_left: f64,
    /// Carbon released as carbon dioxide since filling; kg.
    pub carbon_released_kg: f64,
    /// Mass of the fill, water included; kg.
    pub total_mass_kg: f64,
    /// Vertical stress on the ground below; kN/m2.
    pub vertical_stress_kpa: f64,
    /// Water in the fill; litres.
    pub water_l: f64,
    /// Share of that water in wood.
    pub water_in_wood: f64,
    /// Mean temperature of the root zone over the month; degC.
    pub root_zone_c: f64,
    /// Its excess over open ground at the same depth; degC.
    pub root_zone_lift_c: f64,
    /// Days of the month on which the root zone is warm enough to sow (over 10 degC).
    pub warm_days: f64,
    /// The same for open ground.
    pub warm_days_open_ground: f64,
    /// Nitrogen.
    pub nitrogen: NitrogenRow,
    /// Layers from the ground up.
    pub layers: Vec<LayerMonth>,
}

impl Month {
    /// Thickness of all layers, below the ground as well; m.
    pub(crate) fn thickness_m(&self) -> f64 {
        self.layers.iter().map(|layer| layer.thickness_m).sum()
    }
}

/// Settlement by cause; m. See [`moulder_solve::split`] for the rule.
///
/// ```
/// let forecast = moulder::Bed::example().forecast().months(6).ensemble_size(0).run()?;
/// let end = &forecast.months[6];
/// assert!((end.parts.sum_m() - end.settlement_m).abs() < 1e-9);
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SettlementParts {
    /// Own weight, collapse on first wetting, creep, shrinkage of drying wood less its
    /// swelling, the bulging of a bag, and the slumping of a mound.
    pub mechanical_m: f64,
    /// Fines migration: soil and compost into voids below.
    pub fines_migration_m: f64,
    /// Decay of leaves, grass, card, turf and compost.
    pub nonwoody_decay_m: f64,
    /// Decay of logs and prunings.
    pub wood_decay_m: f64,
}

impl SettlementParts {
    /// The whole settlement; m.
    #[must_use]
    pub fn sum_m(&self) -> f64 {
        self.mechanical_m + self.fines_migration_m + self.nonwoody_decay_m + self.wood_decay_m
    }
}

/// One layer on one day.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LayerMonth {
    /// Thickness; m.
    pub thickness_m: f64,
    /// Carbon; kg.
    pub carbon_kg: f64,
    /// Mass, water included; kg.
    pub total_mass_kg: f64,
    /// Water; litres.
    pub water_l: f64,
    /// Mean temperature over the month; degC.
    pub temperature_c: f64,
    /// Days of the month on which part of it lacked the oxygen to decay well.
    pub airless_days: f64,
    /// Bulk volume of its wood, bark and pores included; m3. With `soft_m3`, `fines_m3` and
    /// `open_m3` it adds up to the layer.
    pub wood_m3: f64,
    /// Volume of non-woody pieces: leaves, straw, card, the mat of turf; m3.
    pub soft_m3: f64,
    /// Bulk volume of soil, compost and humus, their own pores included; m3.
    pub fines_m3: f64,
    /// The part of `fines_m3` that migrated from the layers above; m3.
    pub migrated_m3: f64,
    /// Open voids between the pieces; m3.
    pub open_m3: f64,
    /// Carbon in its wood, which a decaying log loses long before it shrinks; kg.
    pub wood_carbon_kg: f64,
}

impl LayerMonth {
    /// Volume of the layer; m3.
    #[must_use]
    pub fn volume_m3(&self) -> f64 {
        self.wood_m3 + self.soft_m3 + self.fines_m3 + self.open_m3
    }
}

/// A bed on the day of filling.
#[derive(Clone, Copy)]
pub(super) struct Start {
    pub(super) height_m: f64,
    pub(super) carbon_kg: f64,
}

/// The row of a month, from the bed when filled, a month ago and now.
pub(super) fn row(
    bed: &Bed,
    layers: &[Layer],
    start: Start,
    before: &Snapshot,
    month_end: &MonthEnd,
    ground: &OpenGround,
) -> Month {
    let MonthEnd {
        month,
        now,
        month_log,
        raised_m,
        added_carbon,
    } = month_end;
    let height_m = now.height_m - bed.trench_m;
    let split = &now.split;
    let roots = growing_layers(layers, bed.layers.len());
    let thickness_m = |index: &usize| now.layers[*index].thickness_m;
    let root_m: f64 = roots.iter().map(thickness_m).sum();
    let over_roots = |of: fn(&LayerMonthLog) -> f64| -> f64 {
        let weighted = roots.iter().map(|i| thickness_m(i) * of(&month_log[*i]));
        weighted.sum::<f64>() / root_m.max(f64::MIN_POSITIVE)
    };
    let root_zone_c = over_roots(|month_log| month_log.mean_c);
    let open = ground.month(bed, *month, 0.5 * root_m);
    let water_kg = now.water_kg();
    let wood_water_kg: f64 = now.layers.iter().map(|layer| layer.wood_water_kg).sum();
    Month {
        month: *month,
        date: month_day(bed.filled, *month),
        height_m,
        below_rim_m: bed.rim_m.map(|rim_m| rim_m - height_m),
        settlement_m: start.height_m + raised_m - now.height_m,
        added_m: *raised_m,
        parts: SettlementParts {
            mechanical_m: split.mechanical_m,
            fines_migration_m: split.fines_migration_m,
            nonwoody_decay_m: split.nonwoody_decay_m,
            wood_decay_m: split.wood_decay_m,
        },
        carbon_kg: now.carbon_kg(),
        carbon_left: now.carbon_kg()
            / (start.carbon_kg + added_carbon.sum_kg()).max(f64::MIN_POSITIVE),
        carbon_released_kg: now.released_kg,
        total_mass_kg: now.total_mass_kg(),
        vertical_stress_kpa: GRAVITY_KPA_M2_PER_KG * now.total_mass_kg() / bed.shape.area_m2(),
        water_l: water_kg,
        water_in_wood: wood_water_kg / water_kg.max(f64::MIN_POSITIVE),
        root_zone_c,
        root_zone_lift_c: root_zone_c - open.mean_c,
        warm_days: over_roots(|month_log| month_log.warm_days),
        warm_days_open_ground: open.warm_days,
        nitrogen: NitrogenRow::new(bed, &roots, before, now, month_log),
        layers: now
            .layers
            .iter()
            .zip(month_log)
            .map(|(layer, month_log)| LayerMonth {
                thickness_m: layer.thickness_m,
                carbon_kg: layer.carbon_kg,
                total_mass_kg: layer.total_mass_kg,
                water_l: layer.water_kg + layer.wood_water_kg,
                temperature_c: month_log.mean_c,
                airless_days: month_log.airless_days,
                wood_m3: layer.volumes.wood_m3,
                soft_m3: layer.volumes.soft_m3,
                fines_m3: layer.volumes.fines_m3,
                migrated_m3: layer.volumes.migrated_m3,
                open_m3: layer.volumes.open_m3,
                wood_carbon_kg: layer.carbon_kinds.wood_kg,
            })
            .collect(),
    }
}
