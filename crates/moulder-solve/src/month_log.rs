//! What happened between two snapshots: mean warmth, days without air.
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
//! simulation.begin_month_log();
//! simulation.advance_to(30.0);
//! let soil = simulation.month_log(0)[0];
//! assert!(soil.warm_days <= 30.0 && soil.airless_days <= 30.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

/// Oxygen below which a layer counts as airless; volume per cent (half the rate is lost
/// at 2, Haug 1993; compost is called aerobic above 5).
pub const AIRLESS_PERCENT: f64 = 2.0;

/// Temperature above which the soil is warm enough to sow most vegetables; degC (common
/// practice, no source).
pub const SOWING_C: f64 = 10.0;

/// What happened in a slice, one bed a lane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SliceMonthLog<const L: usize> {
    /// Days noted.
    pub days: [f64; L],
    /// Sum of temperature over them; degC d.
    pub degree_days: [f64; L],
    /// Days with too little oxygen.
    pub airless_days: [f64; L],
    /// Days warmer than [`SOWING_C`].
    pub warm_days: [f64; L],
    /// Nitrogen that rot freed less what it bound; kg.
    pub net_mineralised_kg: [f64; L],
    /// Nitrogen that the crop's roots here would have taken; kg.
    pub crop_demand_kg: [f64; L],
    /// Nitrogen that they took; kg.
    pub crop_uptake_kg: [f64; L],
}

impl<const L: usize> Default for SliceMonthLog<L> {
    fn default() -> Self {
        Self {
            days: [0.0; L],
            degree_days: [0.0; L],
            airless_days: [0.0; L],
            warm_days: [0.0; L],
            net_mineralised_kg: [0.0; L],
            crop_demand_kg: [0.0; L],
            crop_uptake_kg: [0.0; L],
        }
    }
}

impl<const L: usize> SliceMonthLog<L> {
    /// Notes what became of nitrogen.
    pub(crate) fn note_nitrogen(&mut self, lane: usize, mineralised: f64, wanted: f64, taken: f64) {
        self.net_mineralised_kg[lane] += mineralised;
        self.crop_demand_kg[lane] += wanted;
        self.crop_uptake_kg[lane] += taken;
    }

    /// Notes a part of a day.
    pub(crate) fn note(&mut self, lane: usize, temperature_c: f64, oxygen_percent: f64, dt: f64) {
        self.days[lane] += dt;
        self.degree_days[lane] += temperature_c * dt;
        if oxygen_percent < AIRLESS_PERCENT {
            self.airless_days[lane] += dt;
        }
        if temperature_c > SOWING_C {
            self.warm_days[lane] += dt;
        }
    }
}

/// What happened in a layer of one bed since the diary was last read.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LayerMonthLog {
    /// Mean temperature; degC. On day zero, that of the day.
    pub mean_c: f64,
    /// Days on which some part of it had too little oxygen.
    pub airless_days: f64,
    /// Days warmer than [`SOWING_C`], a mean over its slices.
    pub warm_days: f64,
    /// Nitrogen that rot freed less what it bound; kg.
    pub net_mineralised_kg: f64,
    /// Nitrogen that the crop's roots in it would have taken; kg.
    pub crop_demand_kg: f64,
    /// Nitrogen that they took; kg.
    pub crop_uptake_kg: f64,
}
