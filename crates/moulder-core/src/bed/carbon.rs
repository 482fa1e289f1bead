//! Carbon by kind of material.

use crate::bed::stack::{Rot, Slice, Stack};
use crate::bed::state::State;

/// Carbon by kind of material; kg.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CarbonKinds {
    /// Wood of any size.
    pub wood_kg: f64,
    /// Non-woody material: leaves, grass, card, turf.
    pub soft_kg: f64,
    /// Undecayed organic matter of soil and compost, the soil of turf included.
    pub soil_kg: f64,
    /// Humus formed in the bed since filling, from any source.
    pub humus_kg: f64,
}

impl CarbonKinds {
    /// Total; kg.
    ///
    /// ```
    /// use moulder_core::bed::carbon::CarbonKinds;
    ///
    /// let logs = CarbonKinds { wood_kg: 40.0, humus_kg: 1.5, ..CarbonKinds::default() };
    /// assert_eq!(logs.sum_kg(), 41.5);
    /// ```
    #[must_use]
    pub fn sum_kg(&self) -> f64 {
        self.wood_kg + self.soft_kg + self.soil_kg + self.humus_kg
    }

    /// Difference of two.
    #[must_use]
    pub fn less(&self, other: &Self) -> Self {
        Self {
            wood_kg: self.wood_kg - other.wood_kg,
            soft_kg: self.soft_kg - other.soft_kg,
            soil_kg: self.soil_kg - other.soil_kg,
            humus_kg: self.humus_kg - other.humus_kg,
        }
    }

    /// Sum of two.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        Self {
            wood_kg: self.wood_kg + other.wood_kg,
            soft_kg: self.soft_kg + other.soft_kg,
            soil_kg: self.soil_kg + other.soil_kg,
            humus_kg: self.humus_kg + other.humus_kg,
        }
    }
}

impl Stack {
    /// Carbon of a slice by kind of material; adds up to
    /// [`slice_carbon_kg`](Self::slice_carbon_kg).
    #[must_use]
    pub fn slice_carbon_kinds(&self, slice: &Slice, state: &State) -> CarbonKinds {
        let pools_kg =
            |first: usize, count: usize| -> f64 { state.rows[first..first + count].iter().sum() };
        let mut kinds = CarbonKinds {
            humus_kg: state.rows[slice.slots.humus],
            ..CarbonKinds::default()
        };
        for piece in &slice.pieces {
            let carbon_kg = pools_kg(piece.first_pool, piece.pools.len());
            match piece.rot {
                Rot::Wood => kinds.wood_kg += carbon_kg,
                Rot::Soft => kinds.soft_kg += carbon_kg,
            }
        }
        for (fine, slots) in self.fines_in(slice) {
            kinds.soil_kg += pools_kg(slots.first_pool, fine.pools.len());
        }
        kinds
    }
}
