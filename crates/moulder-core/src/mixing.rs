//! Life in the bed: worms and other soil animals carry humus between neighbouring slices.
//!
//! ```text
//! flux = A D x (c_below - c_above)/dz,    c = humus in a volume of slice
//! ```
//!
//! x is what warmth, water and air leave of the animals' work, taken to be what they leave
//! of the rot of humus. The nitrogen of the humus goes with it. So what is set free below
//! comes to the roots. Mineral soil is not carried up, which is our own closure and leaves
//! something out: on pasture worms heaped up 0.2-0.22 inch of mould a year, some 5 mm, for
//! 29 years; where a ploughed field is first laid down to grass, much less (Darwin 1881,
//! p. 142).

use crate::elementary::exp;
use crate::measure::SliceMeasure;
use crate::stack::Stack;
use crate::state::State;
use crate::value::{Spread, Status, Value};

/// Mixing of humus by soil animals at 10 degC, moist and aired.
///
/// Worms eat through 4-10 % of a good topsoil a year (at second hand), up to 500 t/ha in
/// temperate grassland (Bouche 1975, at second hand): some 8 mm of soil, each carried some
/// 5 cm (our own closure).
///
/// ```
/// use moulder_core::mixing::MIXING;
///
/// // In ten years humus comes as far as a hand is wide.
/// assert!((MIXING.best * 10.0).sqrt() > 0.05 && (MIXING.best * 10.0).sqrt() < 0.1);
/// ```
pub static MIXING: Value = Value::new(
    4e-4,
    Spread::new(1e-4, 2e-3),
    "m2/yr",
    "our own closure on what worms eat: 40-500 t/ha a year, carried 5 cm; not taken from the casts of Darwin 1881, p. 142, 0.2-0.22 inch (5 mm) of mould a year heaped on a pasture, which the law leaves out",
    Status::Judgement,
);

impl<const L: usize> Stack<L> {
    /// The exchange between slice `below` and the one above it, per day at full rate; m3/d.
    #[must_use]
    pub fn exchange_m3_per_day(&self, measures: &[SliceMeasure], below: usize, lane: usize) -> f64 {
        let (lower, upper) = (&measures[below], &measures[below + 1]);
        let between_m = 0.5 * (lower.thickness_m + upper.thickness_m);
        self.parameters.mixing_m2_per_day[lane] * lower.area_m2.min(upper.area_m2) / between_m
    }

    /// The rows of humus and of its nitrogen in slice `below` and in the one above it.
    #[must_use]
    pub fn humus_rows(&self, below: usize) -> [(usize, usize); 2] {
        let (lower, upper) = (&self.slices[below].slots, &self.slices[below + 1].slots);
        [
            (lower.humus, upper.humus),
            (lower.humus_nitrogen, upper.humus_nitrogen),
        ]
    }

    /// Mixes the humus of neighbouring slices of a lane; `full_days` says for how many days
    /// at full rate each slice's animals are at work.
    ///
    /// Each pair draws towards one density and never past it.
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
