//! Fines on their way: how much goes from each slice to each slice below.
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
//! #     field_capacity: [0.3],
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
//! # let mut measures = Vec::new();
//! # stack.measure(&state, 0.0, 0, &mut measures);
//! // Nothing lies below the lowest slice.
//! let mut flows = Vec::new();
//! stack.flows(&state, &measures, 0, &mut flows);
//! assert!(flows.iter().all(|flow| flow.m3_per_day == 0.0));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use crate::bed::measure::{SliceMeasure, mobility, piece_left};
use crate::bed::stack::Stack;
use crate::bed::state::State;
use crate::law::fines_migration::{
    capacity_m3, demand_m3_per_day, sheet_resistance, skeleton_resistance, way_open,
};

/// Thickness of loose fines below which a store runs dry smoothly; m.
const LAST_OF_STORE_M: f64 = 0.001;

/// Fines that go from one slice to a lower one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flow {
    /// The slice that gives.
    pub from: usize,
    /// The slice that takes.
    pub to: usize,
    /// Bulk volume a day; m3/d.
    pub m3_per_day: f64,
}

impl<const L: usize> Stack<L> {
    /// All flows of one lane of a measured state.
    ///
    /// A slice with a frame asks for what its gaps can still take. The stores above give
    /// it, the lowest first; frames and sheets in between hold it back.
    pub fn flows(
        &self,
        state: &State<L>,
        measures: &[SliceMeasure],
        lane: usize,
        out: &mut Vec<Flow>,
    ) {
        out.clear();
        let days = self.parameters.fines_migration_days[lane];
        for (to, (slice, taker)) in self.slices.iter().zip(measures).enumerate() {
            if slice.pieces.is_empty() {
                continue;
            }
            // The lowest store goes first: soil in between keeps higher soil from it.
            let mut soil_between = 0.0;
            let (mut store_m3, mut by_particle_size) = (0.0, 0.0);
            for (from, giver) in measures.iter().enumerate().skip(to + 1) {
                let soil = self.soil_resistance(giver, from);
                let loose_m3 = loose_m3(giver);
                if loose_m3 > 0.0 {
                    let first_m3 = loose_m3 * way_open(soil, soil_between, 0.0);
                    store_m3 += first_m3;
                    if giver.mobile_particle_size_m > 0.0 {
                        by_particle_size += first_m3 / giver.mobile_particle_size_m;
                    }
                }
                soil_between += soil;
            }
            if store_m3 <= 0.0 {
                continue;
            }
            let particle_size_m =
                crate::law::packing::mean_particle_size_m(store_m3, by_particle_size);
            let capacity = capacity_m3(taker.gap_m3, particle_size_m / taker.pore_m);
            let demand = demand_m3_per_day(capacity, taker.fines_m3, days);
            let per_store = demand / (store_m3 + LAST_OF_STORE_M * slice.area_m2[lane]);
            let into = self.resistance(state, taker, to, particle_size_m, lane);
            let (mut between, mut soil_between) = (0.0, 0.0);
            for (from, giver) in measures.iter().enumerate().skip(to + 1) {
                let own = self.resistance(state, giver, from, particle_size_m, lane);
                let soil = self.soil_resistance(giver, from);
                let loose_m3 = loose_m3(giver);
                if loose_m3 > 0.0 {
                    let m3_per_day = per_store
                        * loose_m3
                        * way_open(soil, soil_between, 0.0)
                        * way_open(own, between, into);
                    if m3_per_day > 0.0 {
                        out.push(Flow {
                            from,
                            to,
                            m3_per_day,
                        });
                    }
                }
                between += own;
                soil_between += soil;
            }
        }
    }

    /// How far the soil of a slice comes before the soil above it: the thickness of a
    /// slice of soil over that through which crumbs hardly pass (our own closure: 2 cm).
    /// Fines in the gaps of a frame let others by.
    fn soil_resistance(&self, measure: &SliceMeasure, index: usize) -> f64 {
        const SOIL_FILTER_M: f64 = 0.02;
        if self.slices[index].pieces.is_empty() {
            measure.thickness_m / SOIL_FILTER_M
        } else {
            0.0
        }
    }

    /// How mobile each kind of fines that may lie in a slice is; last, the gap between them
    /// by the mobility of all.
    pub fn mobilities(
        &self,
        state: &State<L>,
        from: usize,
        giver: &SliceMeasure,
        lane: usize,
        out: &mut Vec<f64>,
    ) {
        let slice = &self.slices[from];
        out.clear();
        let places = 0..slice.slots.fines.len();
        out.extend(places.map(|place| mobility(slice, place, state, lane)));
        out.push(giver.mobile_share);
    }

    /// Adds to one slice a part of the fines of another: of each kind, and last of the gap
    /// between them, its share.
    #[allow(
        clippy::too_many_arguments,
        reason = "who, whence, whither and how much"
    )]
    pub fn add_fines(
        &self,
        state: &State<L>,
        from: usize,
        to: usize,
        out: &mut State<L>,
        lane: usize,
        part: f64,
        shares: &[f64],
    ) {
        let (from, to) = (&self.slices[from].slots, &self.slices[to].slots);
        for (given, share) in from.fines.iter().zip(shares) {
            let share = part * share;
            // What is held back, or is not there.
            if share == 0.0 {
                continue;
            }
            // What goes to a slice may lie there.
            let place = to.fines.partition_point(|taken| taken.kind < given.kind);
            let taken = &to.fines[place];
            // Mineral matter, pools, nitrogen.
            for row in 0..self.fines[given.kind].pools.len() + 2 {
                out.rows[taken.mineral + row][lane] +=
                    share * state.rows[given.mineral + row][lane];
            }
        }
        let share = part * shares[from.fines.len()];
        out.rows[to.fine_gap][lane] += share * state.rows[from.fine_gap][lane];
    }

    /// Leaves in a slice of the fines it had, of each kind and last of the gap between
    /// them, its share; what has come to it meanwhile stays. Never below zero, whatever
    /// the rounding.
    pub fn keep_fines(
        &self,
        state: &State<L>,
        from: usize,
        out: &mut State<L>,
        lane: usize,
        shares: &[f64],
    ) {
        let slots = &self.slices[from].slots;
        let mut keep = |row: usize, share: f64| {
            let had = state.rows[row][lane];
            let come = out.rows[row][lane] - had;
            out.rows[row][lane] = come + share * had;
        };
        for (held, share) in slots.fines.iter().zip(shares) {
            for row in 0..self.fines[held.kind].pools.len() + 2 {
                keep(held.mineral + row, *share);
            }
        }
        keep(slots.fine_gap, shares[slots.fines.len()]);
    }

    /// How much a slice holds fines of that size back.
    fn resistance(
        &self,
        state: &State<L>,
        measure: &SliceMeasure,
        index: usize,
        particle_size_m: f64,
        lane: usize,
    ) -> f64 {
        let slice = &self.slices[index];
        if slice.pieces.is_empty() {
            return 0.0;
        }
        let skeleton_m = (measure.skeleton_m3 + measure.gap_m3) / slice.area_m2[lane];
        let skeleton = skeleton_resistance(particle_size_m / measure.pore_m, skeleton_m);
        let sheets = slice.pieces.iter().filter(|piece| piece.cover[lane] > 0.0);
        let sheets = sheets.map(|piece| {
            let left = piece_left(piece, state, lane);
            sheet_resistance(piece.cover[lane], left, piece.sheets[lane])
        });
        skeleton + sheets.sum::<f64>()
    }
}

/// Bulk volume of the fines that may trickle on; m3.
#[must_use]
pub fn loose_m3(measure: &SliceMeasure) -> f64 {
    (measure.grains_m3 + measure.fine_gap_m3) * measure.mobile_share
}
