//! Mean rows over realisations.
//!
//! The mean of a share or a temperature is that of the realisations, each counting alike. Means of
//! parts add up to that of their sum, and what a realisation conserves the mean conserves.

use crate::forecast::nitrogen::NitrogenRow;
use crate::forecast::row::{LayerMonth, Month, SettlementParts};
use crate::library::crop::Crop;
use crate::numeric::sums::summed;

summed!(SettlementParts: mechanical_m, fines_migration_m, nonwoody_decay_m, wood_decay_m);
summed!(
    LayerMonth: thickness_m, carbon_kg, total_mass_kg, water_l, temperature_c, airless_days,
    wood_m3, soft_m3, fines_m3, migrated_m3, open_m3, wood_carbon_kg
);
summed!(
    NitrogenRow: organic_kg, mineral_kg, root_zone_g_m2, mineralised_g_m2, crop_demand_g_m2,
    crop_uptake_g_m2, leached_g_m2 | is_short
);
summed!(
    Month: height_m, settlement_m, added_m, carbon_kg, carbon_left, carbon_released_kg,
    total_mass_kg, vertical_stress_kpa, water_l, water_in_wood, root_zone_c, root_zone_lift_c,
    warm_days, warm_days_open_ground | month, date, below_rim_m, parts, nitrogen, layers
);

/// The rows of an ensemble, summed.
#[derive(Debug, Default)]
pub(crate) struct MeanMonths {
    sums: Vec<Month>,
    /// Mean additional settlement of each realisation, summed by month; m.
    extras_m: Vec<f64>,
    count: u32,
}

impl MeanMonths {
    /// Adds the rows of a realisation, the same months and as many layers, with the additional
    /// settlements of its discrepancies by month; m.
    pub(crate) fn add(&mut self, rows: &[Month], extras_m: &[Vec<f64>]) {
        self.count += 1;
        self.extras_m.resize(rows.len(), 0.0);
        for (sum_m, extras_m) in self.extras_m.iter_mut().zip(extras_m) {
            let mut count = 0.0;
            let mut all_m = 0.0;
            for extra_m in extras_m {
                all_m += extra_m;
                count += 1.0;
            }
            *sum_m += all_m / f64::max(count, 1.0);
        }
        if self.sums.is_empty() {
            self.sums = rows.to_vec();
            return;
        }
        for (sum, row) in self.sums.iter_mut().zip(rows) {
            sum.add(row);
            sum.below_rim_m = sum.below_rim_m.zip(row.below_rim_m).map(|(a, b)| a + b);
            sum.parts.add(&row.parts);
            sum.nitrogen.add(&row.nitrogen);
            for (sum, layer) in sum.layers.iter_mut().zip(&row.layers) {
                sum.add(layer);
            }
        }
    }

    /// The means, for that crop; empty without realisations.
    pub(crate) fn rows(mut self, crop: Crop) -> Vec<Month> {
        let by = f64::from(self.count);
        for row in &mut self.sums {
            row.divide(by);
            row.below_rim_m = row.below_rim_m.map(|below_m| below_m / by);
            row.parts.divide(by);
            row.nitrogen.divide(by);
            row.nitrogen.is_short = row.nitrogen.falls_short(crop);
            for layer in &mut row.layers {
                layer.divide(by);
            }
        }
        let first = self.sums.first().cloned();
        for (row, extra_m) in self.sums.iter_mut().zip(&self.extras_m) {
            sink(row, first.as_ref(), extra_m / by);
        }
        self.sums
    }
}

/// Lowers the surface of a row by a mean discrepancy, which readings leave other than zero: causes
/// and layers bear it in proportion to what they have sunk.
fn sink(row: &mut Month, first: Option<&Month>, extra_m: f64) {
    row.height_m -= extra_m;
    row.below_rim_m = row.below_rim_m.map(|below_m| below_m + extra_m);
    if row.settlement_m > 0.0 {
        let more = 1.0 + extra_m / row.settlement_m;
        row.parts.mechanical_m *= more;
        row.parts.fines_migration_m *= more;
        row.parts.nonwoody_decay_m *= more;
        row.parts.wood_decay_m *= more;
    } else {
        row.parts.mechanical_m += extra_m;
    }
    row.settlement_m += extra_m;
    let shares = shares_of_layers(row, first);
    for (layer, share) in row.layers.iter_mut().zip(shares) {
        let less_m = extra_m * share;
        layer.thickness_m -= less_m;
    }
}

/// The share of a discrepancy of the surface that each layer bears: in proportion to what it has
/// sunk since the first row (our own closure).
pub(crate) fn shares_of_layers(row: &Month, first: Option<&Month>) -> Vec<f64> {
    let sunk_m: Vec<f64> = (row.layers.iter().enumerate())
        .map(|(place, layer)| {
            let at_first = first.and_then(|first| first.layers.get(place));
            at_first.map_or(0.0, |at_first| {
                (at_first.thickness_m - layer.thickness_m).max(0.0)
            })
        })
        .collect();
    let all_m: f64 = sunk_m.iter().sum();
    let thick_m = row.thickness_m();
    let layers = row.layers.iter().zip(sunk_m);
    layers
        .map(|(layer, sunk_m)| {
            if all_m > 0.0 {
                sunk_m / all_m
            } else if thick_m > 0.0 {
                layer.thickness_m / thick_m
            } else {
                0.0
            }
        })
        .collect()
}
