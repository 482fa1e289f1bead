//! Nitrogen turnover: organic nitrogen of every ingredient, mineral nitrogen of every slice.

use alloc::vec::Vec;

use crate::bed::measure::SliceMeasure;
use crate::bed::stack::{Slice, Stack};
use crate::bed::state::State;
use crate::law::decay::Fate;
use crate::law::nitrogen::{MOST_KEPT, NitrogenStore, Turnover, growth_k};
use crate::rate::store::Store;
use crate::weather::Day;

impl Stack {
    /// Turnover of all organic nitrogen of a slice at its rate modifiers: pieces and fines, each
    /// by what stays in them and by what becomes humus, then humus.
    pub fn turnovers(
        &self,
        slice: &Slice,
        state: &State,
        factors: &[f64],
        out: &mut Vec<Turnover>,
    ) {
        out.clear();
        let slots = &slice.slots;
        let decomposers = self.parameters.decomposer_ratio;
        let pieces = slice
            .pieces
            .iter()
            .map(|piece| (piece.nitrogen, piece.first_pool, piece.pools.as_slice()));
        let fines = self
            .fines_in(slice)
            .map(|(fine, slots)| (slots.nitrogen, slots.first_pool, fine.pools.as_slice()));
        for ((row, first, pools), factor) in pieces.chain(fines).zip(factors) {
            let mut carbon_kg = 0.0;
            // Carbon broken down and the nitrogen demand: retained, and humified.
            let mut broken = [0.0; 2];
            let mut wanted = [0.0; 2];
            for (at, pool) in (first..).zip(pools) {
                let held_kg = state.rows[at].max(0.0);
                carbon_kg += held_kg;
                if pool.fate == Fate::Colonised {
                    continue;
                }
                let lost = pool.rate_per_day * factor * held_kg;
                let (kept, humification_coefficient) = (pool.kept, pool.humification_coefficient);
                let way = usize::from(humification_coefficient > 0.0);
                broken[way] += lost / (1.0 - kept);
                wanted[way] +=
                    (kept / (1.0 - kept) + humification_coefficient) * lost / decomposers;
            }
            for (way, into) in [row, slots.humus_nitrogen].into_iter().enumerate() {
                // Nothing present or nothing on this path.
                if broken[way] == 0.0 {
                    continue;
                }
                out.push(Turnover {
                    row,
                    into,
                    mineralised_per_day: broken[way] / carbon_kg.max(f64::MIN_POSITIVE),
                    demand_kg_per_day: wanted[way],
                });
            }
        }
        let factor = factors[slice.pieces.len() + slots.fines.len()];
        let mineralised_per_day = self.parameters.humus_rate_per_day * factor / (1.0 - MOST_KEPT);
        let humus_kg = state.rows[slots.humus].max(0.0);
        out.push(Turnover {
            row: slots.humus_nitrogen,
            into: slots.humus_nitrogen,
            mineralised_per_day,
            demand_kg_per_day: MOST_KEPT * mineralised_per_day * humus_kg / decomposers,
        });
    }

    /// Share of its mineral nitrogen that a slice loses per kilogram of drainage at a storage of
    /// `water_kg` and a field capacity of `field_kg`.
    #[inline]
    #[must_use]
    pub fn leached_per_kg(&self, water_kg: f64, field_kg: f64) -> f64 {
        self.parameters.leached_share / (water_kg + 0.05 * field_kg).max(1e-9)
    }

    /// Terms of the mineral nitrogen balance of each slice for a day's weather.
    pub fn nitrogen_stores(
        &self,
        state: &State,
        measures: &[SliceMeasure],
        stores: &[Store],
        day: &Day,
        out: &mut Vec<NitrogenStore>,
    ) {
        let parameters = &self.parameters;
        let crop = parameters.crop_kg_m2_per_k_day * growth_k(day.mean_c);
        out.clear();
        for (i, (measure, store)) in measures.iter().zip(stores).enumerate() {
            let water_kg = state.rows[self.slices[i].slots.water].max(0.0);
            let up_m3_per_day = measures.get(i + 1).map_or(0.0, |above| {
                let between_m = 0.5 * (measure.thickness_m + above.thickness_m);
                parameters.nitrate_m2_per_day * measure.area_m2.min(above.area_m2) / between_m
            });
            out.push(NitrogenStore {
                half_kg: parameters.half_supply_kg_m3 * measure.volume_m3,
                crop_half_kg: parameters.crop_half_supply_kg_m3 * measure.volume_m3,
                crop_kg_per_day: crop * measure.area_m2 * store.roots,
                came_kg_per_day: day.nitrogen_kg_m2 * store.open_m2,
                leached_per_kg: self.leached_per_kg(water_kg, measure.field_kg),
                up_m3_per_day,
                volume_m3: measure.volume_m3,
            });
        }
    }
}
