//! Settlement by process.
//!
//! In every step each process is advanced separately, and the fall of the surface across it
//! counts to that process, so that the parts add up to the total settlement. Mechanical
//! settlement comprises self-weight, first wetting, creep, drying of wood (less swelling), bulging
//! of a bag and slumping of a mound; volume gained by humus formation counts against the decay that formed it.
//!
//! ```
#![doc = include_str!("doc/soil_bed.md")]
//! # use moulder_solve::{simulation::Simulation, schedule::StepSchedule};
//! # let mut simulation = Simulation::new(&stack, state, StepSchedule::default());
//! let start_m = simulation.height_m();
//! simulation.advance_to(30.0);
//! let split = simulation.snapshot().split;
//! assert!((split.sum_m() - (start_m - simulation.height_m())).abs() < 1e-9);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

/// Processes of settlement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Process {
    /// Self-weight, first wetting, creep, drying of wood, bulging, slumping.
    Mechanical,
    /// Migration of fines into gaps, and bioturbation.
    FinesMigration,
    /// Decay of non-woody material.
    NonwoodyDecay,
    /// Decay of wood.
    WoodDecay,
}

/// Settlement since filling by process; m.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Split {
    /// Self-weight, first wetting, creep, drying of wood, bulging, slumping.
    pub mechanical_m: f64,
    /// Migration of fines into gaps, and bioturbation.
    pub fines_migration_m: f64,
    /// Decay of non-woody material.
    pub nonwoody_decay_m: f64,
    /// Decay of wood.
    pub wood_decay_m: f64,
}

impl Split {
    /// Adds settlement to a process.
    pub fn book(&mut self, process: Process, settlement_m: f64) {
        let account = match process {
            Process::Mechanical => &mut self.mechanical_m,
            Process::FinesMigration => &mut self.fines_migration_m,
            Process::NonwoodyDecay => &mut self.nonwoody_decay_m,
            Process::WoodDecay => &mut self.wood_decay_m,
        };
        *account += settlement_m;
    }

    /// Total settlement; m.
    #[must_use]
    pub fn sum_m(&self) -> f64 {
        self.mechanical_m + self.fines_migration_m + self.nonwoody_decay_m + self.wood_decay_m
    }
}
