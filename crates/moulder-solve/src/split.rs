//! What each process did to the height of a bed.
//!
//! The rule: at every step of a run each process is advanced by itself; the fall of
//! the surface between just before and just after it is booked to that process. The
//! sums add up to the whole sink. Settling is own weight, first wetting, creep, the
//! drying of wood (less its swelling) and the bulging of a bag; a swelling by humus
//! counts against the rot that made it.

/// What lowers a surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Process {
    /// Own weight, wetting, creep, drying wood, bulging.
    Settling,
    /// Fines trickling into gaps.
    Sifting,
    /// Soft stuff rotting.
    SoftRot,
    /// Wood rotting.
    WoodRot,
}

/// Fall of the surface by process since filling, one bed a lane; m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split<const L: usize> {
    /// Own weight, wetting, creep, drying wood, bulging.
    pub settling_m: [f64; L],
    /// Fines trickling into gaps.
    pub sifting_m: [f64; L],
    /// Soft stuff rotting.
    pub soft_rot_m: [f64; L],
    /// Wood rotting.
    pub wood_rot_m: [f64; L],
}

impl<const L: usize> Default for Split<L> {
    fn default() -> Self {
        Self {
            settling_m: [0.0; L],
            sifting_m: [0.0; L],
            soft_rot_m: [0.0; L],
            wood_rot_m: [0.0; L],
        }
    }
}

impl<const L: usize> Split<L> {
    /// Books a fall of each lane's surface to a process.
    pub fn book(&mut self, process: Process, fallen_m: [f64; L]) {
        let account = match process {
            Process::Settling => &mut self.settling_m,
            Process::Sifting => &mut self.sifting_m,
            Process::SoftRot => &mut self.soft_rot_m,
            Process::WoodRot => &mut self.wood_rot_m,
        };
        for (sum, fallen) in account.iter_mut().zip(fallen_m) {
            *sum += fallen;
        }
    }

    /// The whole sink; m.
    #[must_use]
    pub fn sum_m(&self, lane: usize) -> f64 {
        self.settling_m[lane] + self.sifting_m[lane] + self.soft_rot_m[lane] + self.wood_rot_m[lane]
    }
}
