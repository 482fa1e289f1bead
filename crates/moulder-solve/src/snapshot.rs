//! The bed on a day.
//!
//! ```
#![doc = include_str!("doc/soil_bed.md")]
//! # use moulder_solve::{simulation::Simulation, schedule::StepSchedule};
//! # let mut simulation = Simulation::new(&stack, state, StepSchedule::default());
//! simulation.advance_to(30.0);
//! let now = simulation.snapshot();
//! assert!((now.carbon_kg() + now.released_kg - 4.0).abs() < 1e-9);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use moulder_core::bed::carbon::CarbonKinds;
use moulder_core::bed::measure::{SliceMeasure, height_m};
use moulder_core::bed::stack::{CROPPED, FED, LEACHED, RELEASED, Stack};
use moulder_core::bed::state::State;
use moulder_core::bed::volumes::Volumes;
use moulder_core::rate::rate_modifiers::RateModifiers;

use crate::split::Split;

/// A bed on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Snapshot {
    /// Days since filling.
    pub days: f64,
    /// Area over that at filling, as a factor: bags bulge.
    pub swelling: f64,
    /// Height of the fill above the base; m.
    pub height_m: f64,
    /// Settlement since filling, by process; m.
    pub split: Split,
    /// Carbon released since filling; kg.
    pub released_kg: f64,
    /// Nitrogen received with rain and fertiliser since filling; kg.
    pub nitrogen_fed_kg: f64,
    /// Nitrogen leached since filling; kg.
    pub nitrogen_leached_kg: f64,
    /// Crop nitrogen uptake since filling; kg.
    pub nitrogen_cropped_kg: f64,
    /// Layers from the ground up.
    pub layers: Vec<LayerSnapshot>,
}

/// One layer on a day.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LayerSnapshot {
    /// Thickness; m.
    pub thickness_m: f64,
    /// Carbon; kg.
    pub carbon_kg: f64,
    /// Organic nitrogen; kg.
    pub organic_nitrogen_kg: f64,
    /// Mineral nitrogen; kg.
    pub mineral_nitrogen_kg: f64,
    /// Total mass with water; kg.
    pub total_mass_kg: f64,
    /// Water in non-woody material and soil; kg.
    pub water_kg: f64,
    /// Water in wood; kg.
    pub wood_water_kg: f64,
    /// Mean temperature; degC.
    pub temperature_c: f64,
    /// Oxygen in its pores, minimum over its slices; volume per cent.
    pub oxygen_percent: f64,
    /// Carbon by kind of material; adds up to `carbon_kg`.
    pub carbon_kinds: CarbonKinds,
    /// Volume by component.
    pub volumes: Volumes,
}

impl Snapshot {
    /// Takes a snapshot of a bed.
    #[must_use]
    pub fn take(stack: &Stack, state: &State, split: &Split, days: f64) -> Self {
        let mut measures: Vec<SliceMeasure> = Vec::new();
        stack.measure(state, days, &mut measures);
        let count = stack.slices.iter().map(|slice| slice.layer + 1).max();
        let mut layers = alloc::vec![LayerSnapshot::default(); count.unwrap_or(0)];
        let mut rate_modifiers = RateModifiers::default();
        // Weather of the day that ends now.
        let day = *stack.weather.day((days - 0.5).max(0.0));
        stack.rate_modifiers(state, &measures, &day, &mut rate_modifiers);
        let slices = stack
            .slices
            .iter()
            .zip(&measures)
            .zip(&rate_modifiers.slices);
        for ((slice, measure), rate_modifiers) in slices {
            let layer = &mut layers[slice.layer];
            let kinds = stack.slice_carbon_kinds(slice, state);
            layer.carbon_kinds = layer.carbon_kinds.plus(&kinds);
            let volumes = stack.slice_volumes(slice, measure, state);
            layer.volumes = layer.volumes.plus(&volumes);
            let temperature_c = state.rows[slice.slots.temperature];
            layer.temperature_c += temperature_c * measure.thickness_m;
            layer.oxygen_percent = if layer.thickness_m > 0.0 {
                layer.oxygen_percent.min(rate_modifiers.oxygen_percent)
            } else {
                rate_modifiers.oxygen_percent
            };
            layer.water_kg += state.rows[slice.slots.water];
            layer.wood_water_kg += state.rows[slice.slots.wood_water];
            layer.thickness_m += measure.thickness_m;
            layer.total_mass_kg += measure.total_mass_kg;
            layer.carbon_kg += stack.slice_carbon_kg(slice, state);
            layer.organic_nitrogen_kg += stack.organic_nitrogen_kg(slice, state);
            layer.mineral_nitrogen_kg += state.rows[slice.slots.mineral_nitrogen];
        }
        for layer in &mut layers {
            layer.temperature_c /= layer.thickness_m.max(f64::MIN_POSITIVE);
        }
        Self {
            days,
            swelling: stack.swelling(days),
            height_m: height_m(&measures),
            split: *split,
            released_kg: state.rows[RELEASED],
            nitrogen_fed_kg: state.rows[FED],
            nitrogen_leached_kg: state.rows[LEACHED],
            nitrogen_cropped_kg: state.rows[CROPPED],
            layers,
        }
    }

    /// Carbon left in the bed; kg.
    #[must_use]
    pub fn carbon_kg(&self) -> f64 {
        self.layers.iter().map(|layer| layer.carbon_kg).sum()
    }

    /// Water in the bed; kg.
    #[must_use]
    pub fn water_kg(&self) -> f64 {
        self.layers
            .iter()
            .map(|layer| layer.water_kg + layer.wood_water_kg)
            .sum()
    }

    /// Carbon left in the bed, by kind of material.
    #[must_use]
    pub fn carbon_kinds(&self) -> CarbonKinds {
        let layers = self.layers.iter().map(|layer| layer.carbon_kinds);
        layers.fold(CarbonKinds::default(), |sum, layer| sum.plus(&layer))
    }

    /// Organic nitrogen of the bed; kg.
    #[must_use]
    pub fn organic_nitrogen_kg(&self) -> f64 {
        self.layers
            .iter()
            .map(|layer| layer.organic_nitrogen_kg)
            .sum()
    }

    /// Mineral nitrogen of the bed; kg.
    #[must_use]
    pub fn mineral_nitrogen_kg(&self) -> f64 {
        self.layers
            .iter()
            .map(|layer| layer.mineral_nitrogen_kg)
            .sum()
    }

    /// Total mass of the bed with water; kg.
    #[must_use]
    pub fn total_mass_kg(&self) -> f64 {
        self.layers.iter().map(|layer| layer.total_mass_kg).sum()
    }
}
