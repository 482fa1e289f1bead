//! Bioturbation between slices, by the law of [`crate::law::bioturbation`].

use crate::bed::measure::SliceMeasure;
use crate::bed::stack::Stack;
use crate::bed::state::State;
use crate::law::bioturbation::{cast_m_per_day, cast_share};
use crate::math::elementary::exp;

impl Stack {
    /// Exchange between slice `below` and the one above at full rate; m3/d.
    #[must_use]
    pub fn exchange_m3_per_day(&self, measures: &[SliceMeasure], below: usize) -> f64 {
        let (lower, upper) = (&measures[below], &measures[below + 1]);
        let between_m = 0.5 * (lower.thickness_m + upper.thickness_m);
        self.parameters.bioturbation_m2_per_day * lower.area_m2.min(upper.area_m2) / between_m
    }

    /// Rows of humus and humus nitrogen in slice `below` and in the one above.
    #[must_use]
    pub fn humus_rows(&self, below: usize) -> [(usize, usize); 2] {
        let (lower, upper) = (&self.slices[below].slots, &self.slices[below + 1].slots);
        [
            (lower.humus, upper.humus),
            (lower.humus_nitrogen, upper.humus_nitrogen),
        ]
    }

    /// Rows of all fines of slice `below`, humus included, each with its row in the one above,
    /// which has a skeleton.
    pub fn fines_rows(&self, below: usize) -> impl Iterator<Item = (usize, usize)> {
        let (lower, upper) = (&self.slices[below].slots, &self.slices[below + 1].slots);
        let kinds = lower.fines.iter().flat_map(|from| {
            // The upper slice has a slot for every kind of the lower one.
            let place = upper.fines.partition_point(|to| to.kind < from.kind);
            let (from_row, to_row) = (from.mineral, upper.fines[place].mineral);
            let rows = 0..self.fines[from.kind].pools.len() + 2;
            rows.map(move |row| (from_row + row, to_row + row))
        });
        kinds
            .chain([(lower.fine_gap, upper.fine_gap)])
            .chain(self.humus_rows(below))
    }

    /// Share of the fines of slice `below` that animals raise into the gaps of the one above, at
    /// full rate `days` after filling; 1/d.
    #[must_use]
    pub fn raised_per_day(&self, measures: &[SliceMeasure], below: usize, days: f64) -> f64 {
        let (lower, upper) = (&measures[below], &measures[below + 1]);
        if self.slices[below + 1].pieces.is_empty() || lower.fines_m3 <= 0.0 {
            return 0.0;
        }
        let area_m2 = lower.area_m2.min(upper.area_m2);
        let room_m = |slice| Self::room_m3(slice, lower.fine_particle_size_m) / area_m2;
        let room_below_m = if self.slices[below].pieces.is_empty() {
            0.0
        } else {
            room_m(lower)
        };
        let parameters = &self.parameters;
        let cast_m_per_day = cast_m_per_day(
            [
                parameters.cast_m_per_day,
                parameters.cast_depth_m,
                parameters.animals_days,
            ],
            upper.depth_m + 0.5 * upper.thickness_m,
            days,
        );
        let held_m = lower.fines_m3 / area_m2;
        cast_m_per_day * cast_share(held_m, room_below_m, room_m(upper)) / held_m
    }

    /// Mixes the humus of neighbouring slices and raises fines, `days` after filling;
    /// `full_days` gives each slice's days at full rate.
    ///
    /// Each pair relaxes to a common concentration without overshoot; sources decrease
    /// exponentially.
    pub fn mix(
        &self,
        state: &mut State,
        measures: &[SliceMeasure],
        full_days: impl Fn(usize) -> f64,
        days: f64,
    ) {
        for below in 0..measures.len().saturating_sub(1) {
            let exposure = 0.5 * (full_days(below) + full_days(below + 1));
            let exchanged_m3 = self.exchange_m3_per_day(measures, below) * exposure;
            let (lower_m3, upper_m3) = (measures[below].volume_m3, measures[below + 1].volume_m3);
            let shared_m3 = lower_m3 * upper_m3 / (lower_m3 + upper_m3);
            let moved_m3 = shared_m3 * (1.0 - exp(-exchanged_m3 / shared_m3));
            for (lower, upper) in self.humus_rows(below) {
                let up = moved_m3 * (state.rows[lower] / lower_m3 - state.rows[upper] / upper_m3);
                state.rows[lower] -= up;
                state.rows[upper] += up;
            }
            let raised = self.raised_per_day(measures, below, days);
            if raised > 0.0 {
                let share = 1.0 - exp(-raised * exposure);
                for (lower, upper) in self.fines_rows(below) {
                    let up = share * state.rows[lower];
                    state.rows[lower] -= up;
                    state.rows[upper] += up;
                }
            }
        }
    }
}
