//! Fines on their way: how much goes from each slice to each slice below.

use alloc::vec::Vec;

use crate::measure::{SliceMeasure, piece_left};
use crate::sifting::{capacity_m3, demand_m3_per_day, open_past_sheets, passing_share};
use crate::stack::Stack;
use crate::state::State;

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
    /// A slice with a frame asks for what its gaps can still take; the stores above
    /// share in giving it by their loose volume, each held back by the frames and
    /// sheets in between.
    pub fn flows(
        &self,
        state: &State<L>,
        measures: &[SliceMeasure],
        lane: usize,
        out: &mut Vec<Flow>,
    ) {
        out.clear();
        let days = self.parameters.sifting_days[lane];
        for (to, (slice, taker)) in self.slices.iter().zip(measures).enumerate() {
            if slice.pieces.is_empty() {
                continue;
            }
            let above = &measures[to + 1..];
            let store_m3: f64 = above.iter().map(loose_m3).sum();
            if store_m3 <= 0.0 {
                continue;
            }
            let grains_m3: f64 = above.iter().map(mobile_grains_m3).sum();
            let by_across: f64 = above
                .iter()
                .filter(|giver| giver.mobile_across_m > 0.0)
                .map(|giver| mobile_grains_m3(giver) / giver.mobile_across_m)
                .sum();
            let across_m = crate::packing::mean_across_m(grains_m3, by_across);
            let capacity = capacity_m3(taker.gap_m3, across_m / taker.pore_m);
            let demand = demand_m3_per_day(capacity, taker.fines_m3, days);
            let per_store = demand / (store_m3 + LAST_OF_STORE_M * slice.area_m2[lane]);
            let mut open = 1.0;
            for (from, giver) in measures.iter().enumerate().skip(to + 1) {
                let m3_per_day = per_store * open * loose_m3(giver);
                if m3_per_day > 0.0 {
                    out.push(Flow {
                        from,
                        to,
                        m3_per_day,
                    });
                }
                open *= self.way_through(state, giver, from, across_m, lane);
            }
        }
    }

    /// Share of fines that get through a slice from above.
    fn way_through(
        &self,
        state: &State<L>,
        measure: &SliceMeasure,
        index: usize,
        across_m: f64,
        lane: usize,
    ) -> f64 {
        let slice = &self.slices[index];
        if slice.pieces.is_empty() {
            return 1.0;
        }
        let frame_m = (measure.frame_m3 + measure.gap_m3) / slice.area_m2[lane];
        let mut open = passing_share(across_m / measure.pore_m, frame_m);
        for piece in &slice.pieces {
            if piece.sheets[lane] > 0.0 {
                let left = piece_left(piece, state, lane);
                open *= open_past_sheets(piece.cover[lane], left, piece.sheets[lane]);
            }
        }
        open
    }
}

/// Bulk volume of the fines that may trickle on; m3.
#[must_use]
pub fn loose_m3(measure: &SliceMeasure) -> f64 {
    (measure.grains_m3 + measure.fine_gap_m3) * measure.mobile_share
}

fn mobile_grains_m3(measure: &SliceMeasure) -> f64 {
    measure.grains_m3 * measure.mobile_share
}
