//! Bioturbation between slices, by the law of [`crate::law::bioturbation`].

use crate::bed::measure::SliceMeasure;
use crate::bed::stack::Stack;
use crate::bed::state::State;
use crate::math::elementary::exp;

impl<const L: usize> Stack<L> {
    /// Exchange between slice `below` and the one above at full rate; m3/d.
    #[must_use]
    pub fn exchange_m3_per_day(&self, measures: &[SliceMeasure], below: usize, lane: usize) -> f64 {
        let (lower, upper) = (&measures[below], &measures[below + 1]);
        let between_m = 0.5 * (lower.thickness_m + upper.thickness_m);
        self.parameters.bioturbation_m2_per_day[lane] * lower.area_m2.min(upper.area_m2) / between_m
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

    /// Mixes the humus of neighbouring slices of a lane; `full_days` gives each slice's days at
    /// full rate.
    ///
    /// Each pair relaxes to a common concentration without overshoot.
    pub fn mix(
        &self,
        state: &mut State<L>,
        measures: &[SliceMeasure],
        full_days: impl Fn(usize) -> f64,
        lane: usize,
    ) {
        for below in 0..measures.len().saturating_sub(1) {
            let days = 0.5 * (full_days(below) + full_days(below + 1));
            let exchanged_m3 = self.exchange_m3_per_day(measures, below, lane) * days;
            let (lower_m3, upper_m3) = (measures[below].volume_m3, measures[below + 1].volume_m3);
            let shared_m3 = lower_m3 * upper_m3 / (lower_m3 + upper_m3);
            let moved_m3 = shared_m3 * (1.0 - exp(-exchanged_m3 / shared_m3));
            for (lower, upper) in self.humus_rows(below) {
                let up = moved_m3
                    * (state.rows[lower][lane] / lower_m3 - state.rows[upper][lane] / upper_m3);
                state.rows[lower][lane] -= up;
                state.rows[upper][lane] += up;
            }
        }
    }
}
