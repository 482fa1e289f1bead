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
//! let start_m = simulation.height_m(0);
//! simulation.advance_to(30.0);
//! let split = simulation.snapshot(0).split;
//! assert!((split.sum_m(0) - (start_m - simulation.height_m(0))).abs() < 1e-9);
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

/// Settlement since filling by process, one bed per lane; m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split<const L: usize> {
    /// Self-weight, first wetting, creep, drying of wood, bulging, slumping.
    pub mechanical_m: [f64; L],
    /// Migration of fines into gaps, and bioturbation.
    pub fines_migration_m: [f64; L],
    /// Decay of non-woody material.
    pub nonwoody_decay_m: [f64; L],
    /// Decay of wood.
    pub wood_decay_m: [f64; L],
}

impl<const L: usize> Default for Split<L> {
    fn default() -> Self {
        Self {
            mechanical_m: [0.0; L],
            fines_migration_m: [0.0; L],
            nonwoody_decay_m: [0.0; L],
            wood_decay_m: [0.0; L],
        }
    }
}

impl<const L: usize> Split<L> {
    /// Adds the settlement of each lane to a process.
    pub fn book(&mut self, process: Process, settlement_m: [f64; L]) {
        let account = match process {
            Process::Mechanical => &mut self.mechanical_m,
            Process::FinesMigration => &mut self.fines_migration_m,
            Process::NonwoodyDecay => &mut self.nonwoody_decay_m,
            Process::WoodDecay => &mut self.wood_decay_m,
        };
        for (sum, settlement) in account.iter_mut().zip(settlement_m) {
            *sum += settlement;
        }
    }

    /// Total settlement; m.
    #[must_use]
    pub fn sum_m(&self, lane: usize) -> f64 {
        self.mechanical_m[lane]
            + self.fines_migration_m[lane]
            + self.nonwoody_decay_m[lane]
            + self.wood_decay_m[lane]
    }
}
