//! Water of a slice on its way: what comes, runs on, is taken, and is drunk by wood.

use alloc::vec::Vec;

use crate::measure::SliceMeasure;
use crate::stack::Stack;
use crate::state::State;
use crate::water::{drainage_kg_per_day, giving, rooting_share, wood_tends_to};
use crate::weather::Day;

/// A slice's store of water under one day's weather.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Store {
    /// What it holds against drainage; kg.
    pub field_kg: f64,
    /// What nothing takes; kg.
    pub least_kg: f64,
    /// Rain that falls on it; kg/d.
    pub rain_kg_per_day: f64,
    /// Area that sees the sky; m2.
    pub open_m2: f64,
    /// Share of the crop's roots.
    pub roots: f64,
    /// What crop and air would take; kg/d.
    pub wanted_kg_per_day: f64,
    /// Time of drainage; d.
    pub drainage_days: f64,
    /// Dry mass of its wood; kg.
    pub wood_kg: f64,
    /// Gravity of that wood.
    pub wood_gravity: f64,
    /// Share of its largest moisture that wood holds.
    pub wood_held: f64,
    /// Time in which wood drinks; d.
    pub drinking_days: f64,
}

/// Where the water of a store goes; kg/d.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flux {
    /// Down to the slice below, or out.
    pub drained: f64,
    /// Up by crop and air.
    pub taken: f64,
    /// Into its wood; negative when wood gives.
    pub drunk: f64,
}

impl Store {
    /// Where water goes, with `water_kg` in the store and `wood_water_kg` in wood.
    #[inline]
    #[must_use]
    pub fn flux(&self, water_kg: f64, wood_water_kg: f64) -> Flux {
        Flux {
            drained: drainage_kg_per_day(water_kg, self.field_kg, self.drainage_days),
            taken: self.wanted_kg_per_day * self.giving(water_kg),
            drunk: self.drunk(water_kg, wood_water_kg),
        }
    }

    /// Share of wanted water that it gives.
    #[inline]
    #[must_use]
    pub fn giving(&self, water_kg: f64) -> f64 {
        giving((water_kg - self.least_kg) / (self.field_kg - self.least_kg).max(1e-9))
    }

    fn drunk(&self, water_kg: f64, wood_water_kg: f64) -> f64 {
        if self.wood_kg <= 0.0 {
            return 0.0;
        }
        let wetness = water_kg / self.field_kg.max(1e-9);
        let tends_kg = self.wood_kg * wood_tends_to(self.wood_gravity, wetness, self.wood_held);
        (tends_kg - wood_water_kg) / self.drinking_days
    }
}

impl<const L: usize> Stack<L> {
    /// The stores of one lane under a day's weather, bottom first.
    pub fn stores(&self, measures: &[SliceMeasure], day: &Day, lane: usize, out: &mut Vec<Store>) {
        let parameters = &self.parameters;
        out.clear();
        for (i, (slice, measure)) in self.slices.iter().zip(measures).enumerate() {
            // On a mound rain also falls on the ring that no slice covers.
            let covered_m2 = measures.get(i + 1).map_or(0.0, |above| above.area_m2);
            let open_m2 = (measure.area_m2 - covered_m2).max(0.0);
            let half_m = 0.5 * measure.thickness_m;
            let roots = rooting_share(
                measure.depth_m - half_m,
                measure.depth_m + half_m,
                parameters.rooting_m[lane],
            );
            out.push(Store {
                field_kg: measure.field_kg,
                least_kg: parameters.least_share[lane] * measure.field_kg,
                rain_kg_per_day: day.rain_mm * open_m2,
                open_m2,
                roots,
                wanted_kg_per_day: parameters.crop_factor[lane]
                    * day.eto_mm
                    * measure.area_m2
                    * roots,
                drainage_days: parameters.drainage_days[lane],
                wood_kg: measure.wood_kg,
                wood_gravity: measure.wood_gravity,
                wood_held: parameters.wood_held[lane],
                drinking_days: slice.drinking_days[lane],
            });
        }
    }

    /// Water and wood water of a slice; kg.
    #[must_use]
    pub fn held_kg(&self, state: &State<L>, index: usize, lane: usize) -> (f64, f64) {
        let slots = &self.slices[index].slots;
        (
            state.rows[slots.water][lane],
            state.rows[slots.wood_water][lane],
        )
    }
}
