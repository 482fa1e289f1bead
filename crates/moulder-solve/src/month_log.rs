//! Log between two snapshots: mean temperature, anaerobic days, nitrogen.
//!
//! ```
#![doc = include_str!("doc/soil_bed.md")]
//! # use moulder_solve::{simulation::Simulation, schedule::StepSchedule};
//! # let mut simulation = Simulation::new(&stack, state, StepSchedule::default());
//! simulation.begin_month_log();
//! simulation.advance_to(30.0);
//! let soil = simulation.month_log()[0];
//! assert!(soil.warm_days <= 30.0 && soil.airless_days <= 30.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

/// Oxygen below which a layer counts as anaerobic; volume per cent (half the rate is lost at 2,
/// Haug 1993; compost is called aerobic above 5).
pub const AIRLESS_PERCENT: f64 = 2.0;

/// Soil temperature above which most vegetables can be sown; degC (common practice, no source).
pub const SOWING_C: f64 = 10.0;

/// Log of a slice.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SliceMonthLog {
    /// Days logged.
    pub days: f64,
    /// Temperature sum; degC d.
    pub degree_days: f64,
    /// Days below [`AIRLESS_PERCENT`] of oxygen.
    pub airless_days: f64,
    /// Days warmer than [`SOWING_C`].
    pub warm_days: f64,
    /// Net mineralisation; kg.
    pub net_mineralised_kg: f64,
    /// Crop nitrogen demand in this slice; kg.
    pub crop_demand_kg: f64,
    /// Crop nitrogen uptake from it; kg.
    pub crop_uptake_kg: f64,
}

impl SliceMonthLog {
    /// Logs the nitrogen of a pass.
    pub(crate) fn note_nitrogen(&mut self, mineralised: f64, demand: f64, uptake: f64) {
        self.net_mineralised_kg += mineralised;
        self.crop_demand_kg += demand;
        self.crop_uptake_kg += uptake;
    }

    /// Logs temperature and oxygen over `dt` days.
    pub(crate) fn note(&mut self, temperature_c: f64, oxygen_percent: f64, dt: f64) {
        self.days += dt;
        self.degree_days += temperature_c * dt;
        if oxygen_percent < AIRLESS_PERCENT {
            self.airless_days += dt;
        }
        if temperature_c > SOWING_C {
            self.warm_days += dt;
        }
    }
}

/// Log of a layer since
/// [`begin_month_log`](crate::simulation::Simulation::begin_month_log).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LayerMonthLog {
    /// Mean temperature; degC. The current one if no time was logged.
    pub mean_c: f64,
    /// Days below [`AIRLESS_PERCENT`] of oxygen, in its worst slice.
    pub airless_days: f64,
    /// Days warmer than [`SOWING_C`], averaged over its slices.
    pub warm_days: f64,
    /// Net mineralisation; kg.
    pub net_mineralised_kg: f64,
    /// Crop nitrogen demand in this layer; kg.
    pub crop_demand_kg: f64,
    /// Crop nitrogen uptake from it; kg.
    pub crop_uptake_kg: f64,
}
