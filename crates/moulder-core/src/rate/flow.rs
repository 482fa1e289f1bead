//! Fines migration: flows between slices.
//!
//! ```
#![doc = include_str!("../doc/soil_bed.md")]
//! # let mut measures = Vec::new();
//! # stack.measure(&state, 0.0, &mut measures);
//! // Nothing lies below the lowest slice.
//! let mut flows = Vec::new();
//! stack.flows(&state, &measures, &mut flows);
//! assert!(flows.iter().all(|flow| flow.m3_per_day == 0.0));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use alloc::vec::Vec;

use crate::bed::measure::{SliceMeasure, mobility, piece_left};
use crate::bed::stack::Stack;
use crate::bed::state::State;
use crate::law::fines_migration::{
    capacity_m3, room_m3, sheet_resistance, skeleton_resistance, way_open,
};

/// Thickness over which the flow from an emptying source vanishes smoothly; m.
const STORE_ROUNDING_M: f64 = 0.001;

/// Flow of fines from one slice to a lower one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flow {
    /// Source slice.
    pub from: usize,
    /// Target slice.
    pub to: usize,
    /// Bulk volume flow; m3/d.
    pub m3_per_day: f64,
}

impl Stack {
    /// All flows.
    ///
    /// A slice with a skeleton draws what its gaps can still take from the sources above, the
    /// lowest first; skeletons and sheets between hold fines back.
    pub fn flows(&self, state: &State, measures: &[SliceMeasure], out: &mut Vec<Flow>) {
        out.clear();
        let days = self.parameters.fines_migration_days;
        for (to, (slice, target)) in self.slices.iter().zip(measures).enumerate() {
            if slice.pieces.is_empty() {
                continue;
            }
            let first = out.len();
            // Soil between a source and the target shields higher sources.
            let mut soil_between = 0.0;
            let (mut store_m3, mut by_particle_size) = (0.0, 0.0);
            for (from, source) in measures.iter().enumerate().skip(to + 1) {
                let soil = self.soil_resistance(source, from);
                let loose_m3 = loose_m3(source);
                if loose_m3 > 0.0 {
                    let first_m3 = loose_m3 * way_open(soil, soil_between, 0.0);
                    store_m3 += first_m3;
                    if source.mobile_particle_size_m > 0.0 {
                        by_particle_size += first_m3 / source.mobile_particle_size_m;
                    }
                    // What may come, for now.
                    out.push(Flow {
                        from,
                        to,
                        m3_per_day: first_m3,
                    });
                }
                soil_between += soil;
            }
            if store_m3 <= 0.0 {
                out.truncate(first);
                continue;
            }
            let particle_size_m =
                crate::law::packing::mean_particle_size_m(store_m3, by_particle_size);
            let demand = Self::room_m3(target, particle_size_m) / days;
            let per_store = demand / (store_m3 + STORE_ROUNDING_M * slice.area_m2 * target.spread);
            let resistance =
                |from: usize| self.resistance(state, &measures[from], from, particle_size_m);
            let into = resistance(to);
            let (mut between, mut passed) = (0.0, to + 1);
            for flow in &mut out[first..] {
                between += (passed..flow.from).map(resistance).sum::<f64>();
                let own = resistance(flow.from);
                flow.m3_per_day *= per_store * way_open(own, between, into);
                between += own;
                passed = flow.from + 1;
            }
        }
        out.retain(|flow| flow.m3_per_day > 0.0);
    }

    /// Bulk volume of fines of that mean particle size that the gaps of a slice can still take; m3.
    pub(crate) fn room_m3(target: &SliceMeasure, particle_size_m: f64) -> f64 {
        let capacity_m3 = capacity_m3(target.gap_m3, particle_size_m / target.pore_m);
        room_m3(capacity_m3, target.fines_m3)
    }

    /// Shielding of higher soil by a slice of soil: its thickness over 2 cm (our own closure).
    /// Fines in the gaps of a skeleton do not shield.
    fn soil_resistance(&self, measure: &SliceMeasure, index: usize) -> f64 {
        const SOIL_FILTER_M: f64 = 0.02;
        if self.slices[index].pieces.is_empty() {
            measure.thickness_m / SOIL_FILTER_M
        } else {
            0.0
        }
    }

    /// Mobile share of each kind of fines of a slice, and last that of their gap.
    pub fn mobilities(
        &self,
        state: &State,
        from: usize,
        source: &SliceMeasure,
        out: &mut Vec<f64>,
    ) {
        let slice = &self.slices[from];
        out.clear();
        let places = 0..slice.slots.fines.len();
        out.extend(places.map(|place| mobility(slice, place, state)));
        out.push(source.mobile_share);
    }

    /// Adds to slice `to` the share `part` of the fines of slice `from`, times `shares` for each
    /// kind and last for their gap.
    pub fn add_fines(
        &self,
        state: &State,
        from: usize,
        to: usize,
        out: &mut State,
        part: f64,
        shares: &[f64],
    ) {
        let (from, to) = (&self.slices[from].slots, &self.slices[to].slots);
        for (source, share) in from.fines.iter().zip(shares) {
            let share = part * share;
            // Immobile or absent.
            if share == 0.0 {
                continue;
            }
            // The target has a slot for every kind that may reach it.
            let place = to.fines.partition_point(|target| target.kind < source.kind);
            let target = &to.fines[place];
            // Mineral matter, pools and nitrogen.
            for row in 0..self.fines[source.kind].pools.len() + 2 {
                out.rows[target.mineral + row] += share * state.rows[source.mineral + row];
            }
        }
        let share = part * shares[from.fines.len()];
        out.rows[to.fine_gap] += share * state.rows[from.fine_gap];
    }

    /// Reduces the initial fines of a slice to `shares`, for each kind and last for their gap,
    /// and keeps what has been added since. Never negative through rounding.
    pub fn keep_fines(&self, state: &State, from: usize, out: &mut State, shares: &[f64]) {
        let slots = &self.slices[from].slots;
        let mut keep = |row: usize, share: f64| {
            let had = state.rows[row];
            let received = out.rows[row] - had;
            out.rows[row] = received + share * had;
        };
        for (held, share) in slots.fines.iter().zip(shares) {
            for row in 0..self.fines[held.kind].pools.len() + 2 {
                keep(held.mineral + row, *share);
            }
        }
        keep(slots.fine_gap, shares[slots.fines.len()]);
    }

    /// Resistance of a slice to fines of a given size.
    fn resistance(
        &self,
        state: &State,
        measure: &SliceMeasure,
        index: usize,
        particle_size_m: f64,
    ) -> f64 {
        let slice = &self.slices[index];
        if slice.pieces.is_empty() {
            return 0.0;
        }
        let skeleton_m = (measure.skeleton_m3 + measure.gap_m3) / (slice.area_m2 * measure.spread);
        let skeleton = skeleton_resistance(particle_size_m / measure.pore_m, skeleton_m);
        let sheets = slice.pieces.iter().filter(|piece| piece.cover > 0.0);
        let sheets = sheets.map(|piece| {
            let left = piece_left(piece, state);
            sheet_resistance(piece.cover, left, piece.sheets)
        });
        skeleton + sheets.sum::<f64>()
    }
}

/// Bulk volume of mobile fines; m3.
#[must_use]
pub fn loose_m3(measure: &SliceMeasure) -> f64 {
    (measure.grains_m3 + measure.fine_gap_m3) * measure.mobile_share
}
