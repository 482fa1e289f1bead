//! What each process did to the height of a bed.
//!
//! The rule: at every step of a run each process is advanced by itself; the fall of
//! the surface between just before and just after it is booked to that process. The
//! sums add up to the whole sink. Settling is own weight, first wetting, creep, the
//! drying of wood (less its swelling) and the bulging of a bag; a swelling by humus
//! counts against the rot that made it.
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

/// What lowers a surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Process {
    /// Own weight, wetting, creep, drying wood, bulging.
    Mechanical,
    /// Fines trickling into gaps.
    FinesMigration,
    /// Soft stuff rotting.
    NonwoodyDecay,
    /// Wood rotting.
    WoodDecay,
}

/// Fall of the surface by process since filling, one bed a lane; m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split<const L: usize> {
    /// Own weight, wetting, creep, drying wood, bulging.
    pub mechanical_m: [f64; L],
    /// Fines trickling into gaps.
    pub fines_migration_m: [f64; L],
    /// Soft stuff rotting.
    pub nonwoody_decay_m: [f64; L],
    /// Wood rotting.
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
    /// Books a fall of each lane's surface to a process.
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

    /// The whole sink; m.
    #[must_use]
    pub fn sum_m(&self, lane: usize) -> f64 {
        self.mechanical_m[lane]
            + self.fines_migration_m[lane]
            + self.nonwoody_decay_m[lane]
            + self.wood_decay_m[lane]
    }
}
