//! The sloping sides of a mound: a state of the bed, and what it does to the slices.
//!
//! The equations are in [`crate::law::slump`].

use alloc::vec::Vec;

use crate::bed::measure::SliceMeasure;
use crate::bed::stack::Stack;
use crate::bed::state::State;
use crate::law::slump::Mound;
use crate::math::elementary::sqrt;

/// The sides of a mound.
#[derive(Debug, Clone, PartialEq)]
pub struct Slopes {
    /// Row of the horizontal run of a side above the ground; m.
    pub run: usize,
    /// That run as built, to which the areas of the slices belong; m.
    pub built_run_m: f64,
    /// By how much the mound is longer than wide; m.
    pub ridge_m: f64,
    /// Run over rise at which each slice rests, bottom first.
    pub rest_run: Vec<f64>,
}

impl Stack {
    /// The bed as a mound: sides that run `run_m` above the ground, `ridge_m` longer than wide,
    /// of slices that rest at `rest_run`, run over rise.
    #[must_use]
    pub fn with_slopes(
        mut self,
        mut state: State,
        run_m: f64,
        ridge_m: f64,
        rest_run: Vec<f64>,
    ) -> (Self, State) {
        state.rows.push(run_m);
        self.slopes = Some(Slopes {
            run: self.quantities,
            built_run_m: run_m,
            ridge_m,
            rest_run,
        });
        self.quantities += 1;
        (self, state)
    }

    /// Takes a mound as it stands for the one that was built: what is laid on moves nothing
    /// below it.
    pub(crate) fn rebuild_slopes(&mut self, state: &State, days: f64) {
        let Some(run) = self.slopes.as_ref().map(|slopes| slopes.run) else {
            return;
        };
        let mut measures = Vec::new();
        self.measure(state, days, &mut measures);
        for (slice, measure) in self.slices.iter_mut().zip(&measures) {
            slice.area_m2 *= measure.spread;
            slice.sides.perimeter_m *= measure.widening;
            slice.sides.quarter_width_m *= measure.widening;
        }
        if let Some(slopes) = &mut self.slopes {
            slopes.built_run_m = state.rows[run];
        }
    }

    /// Lengthens the sides of a mound by those of the slices laid on last, which run `run_m` and
    /// rest at `rest_run`.
    pub fn lengthen_slopes(&mut self, state: &mut State, run_m: f64, rest_run: &[f64]) {
        let Some(slopes) = &mut self.slopes else {
            return;
        };
        slopes.rest_run.extend(rest_run);
        slopes.built_run_m += run_m;
        state.rows[slopes.run] += run_m;
    }

    /// What of a bed is a mound above the ground, by the volumes of its slices; `None` for walls.
    #[must_use]
    pub fn mound(&self, state: &State, measures: &[SliceMeasure]) -> Option<Mound> {
        let slopes = self.slopes.as_ref()?;
        let mut mound = Mound {
            height_m: 0.0,
            volume_m3: 0.0,
            rest_run_m: 0.0,
            wetted: 0.0,
            built_run_m: slopes.built_run_m,
            ridge_m: slopes.ridge_m,
            slump_days: self.parameters.slump_days,
        };
        let slices = self.slices.iter().zip(measures).zip(&slopes.rest_run);
        for ((slice, measure), rest_run) in slices {
            let above = slice.sides.share;
            let built_m = above * measure.volume_m3 / slice.area_m2;
            mound.height_m += built_m;
            mound.volume_m3 += above * measure.volume_m3;
            mound.rest_run_m += built_m * rest_run;
            mound.wetted += built_m * state.rows[slice.slots.wetted];
        }
        mound.wetted /= mound.height_m.max(f64::MIN_POSITIVE);
        Some(mound)
    }

    /// Lowers and spreads the slices of a mound by its slump, as far as they lie above the
    /// ground; each keeps its volume.
    pub(crate) fn spread(&self, state: &State, measures: &mut [SliceMeasure]) {
        let (Some(slopes), Some(mound)) = (&self.slopes, self.mound(state, measures)) else {
            return;
        };
        let left = mound.left(state.rows[slopes.run]);
        for (slice, measure) in self.slices.iter().zip(measures) {
            let above = slice.sides.share;
            measure.spread = 1.0 / (1.0 - above + above * left);
            measure.widening = sqrt(measure.spread);
            measure.area_m2 *= measure.spread;
            measure.thickness_m = measure.volume_m3 / measure.area_m2;
        }
    }
}
