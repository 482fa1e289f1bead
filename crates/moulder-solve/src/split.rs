//! What each process did to the height of a bed.
//!
//! The rule: at every step of a run each process is advanced by itself; the fall of
//! the surface between just before and just after it is booked to that process. The
//! sums add up to the whole sink. Settling is own weight, first wetting, creep, the
//! drying of wood (less its swelling) and the bulging of a bag; a swelling by humus
//! counts against the rot that made it.
//!
//! ```
//! # use moulder_core::law::decay::Pool;
//! # use moulder_core::bed::parameters::Parameters;
//! # use moulder_core::law::season::Season;
//! # use moulder_core::bed::stack::{Fine, FineFill, Gap, Sides, SliceFill, Stack};
//! # use moulder_core::weather::{Day, EtoMethod, Weather};
//! # let gap = Gap {
//! #     min_void_ratio: [0.5],
//! #     load_exponent: [0.5],
//! #     reference_kpa: [2.0],
//! #     collapse: [0.3],
//! #     creep_exponent: [0.05],
//! # };
//! # let soil = Fine {
//! #     organic_density_kg_m3: [1400.0],
//! #     organic_per_carbon: [1.72],
//! #     holds: [0.3],
//! #     void_closure: [1.0],
//! #     particle_size_m: [0.004],
//! #     gap: gap.clone(),
//! #     pools: vec![Pool { rate_per_day: [1e-4], humification_coefficient: [0.0], kept: [0.4] }],
//! # };
//! # let fill = SliceFill {
//! #     layer: 0,
//! #     area_m2: [1.0],
//! #     sides: Sides {
//! #         perimeter_m: [4.0],
//! #         share: [1.0],
//! #         wall_m: [0.02],
//! #         open: [1.0],
//! #         quarter_width_m: [0.25],
//! #     },
//! #     drinking_days: [200.0],
//! #     wetting_days: [2.0],
//! #     water_kg: [30.0],
//! #     wood_water_kg: [0.0],
//! #     temperature_c: [10.0],
//! #     gap,
//! #     mineral_nitrogen_kg: [0.004],
//! #     pieces: Vec::new(),
//! #     fines: vec![FineFill {
//! #         kind: 0,
//! #         mineral_kg: [200.0],
//! #         carbon_kg: vec![[4.0]],
//! #         nitrogen_kg: [0.36],
//! #         loose: [0.4],
//! #         held_by: None,
//! #     }],
//! #     excess_gap_m3: [0.0],
//! #     excess_fine_gap_m3: [0.03],
//! #     stress_kpa: [0.0],
//! #     wetted: [0.0],
//! # };
//! # let day = Day {
//! #     mean_c: 10.0,
//! #     half_swing_c: 4.0,
//! #     rain_mm: 2.0,
//! #     eto_mm: 1.5,
//! #     nitrogen_kg_m2: 0.0,
//! # };
//! # let weather = Weather::new(vec![day], EtoMethod::Hargreaves).ok_or("no weather")?;
//! # let (stack, state) = Stack::assemble(
//! #     vec![fill],
//! #     vec![soil],
//! #     Parameters::middle(),
//! #     weather,
//! #     Season::sinusoid(10.0, 7.0),
//! #     90.0,
//! # );
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
    pub fn book(&mut self, process: Process, fallen_m: [f64; L]) {
        let account = match process {
            Process::Mechanical => &mut self.mechanical_m,
            Process::FinesMigration => &mut self.fines_migration_m,
            Process::NonwoodyDecay => &mut self.nonwoody_decay_m,
            Process::WoodDecay => &mut self.wood_decay_m,
        };
        for (sum, fallen) in account.iter_mut().zip(fallen_m) {
            *sum += fallen;
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
