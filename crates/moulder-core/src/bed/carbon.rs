//! Carbon by what it lies in.

use crate::bed::stack::{Rot, Slice, Stack};
use crate::bed::state::State;

/// Carbon by what it lies in; kg.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CarbonKinds {
    /// In wood of any size.
    pub wood_kg: f64,
    /// In soft stuff: leaves, grass, card, the mat of turf.
    pub soft_kg: f64,
    /// In what came as soil or compost, the soil of turf included, and has not rotted.
    pub soil_kg: f64,
    /// In humus made in the bed since filling, whatever it was made of.
    pub humus_kg: f64,
}

impl CarbonKinds {
    /// All of it; kg.
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

    /// This less the other.
    #[must_use]
    pub fn less(&self, other: &Self) -> Self {
        Self {
            wood_kg: self.wood_kg - other.wood_kg,
            soft_kg: self.soft_kg - other.soft_kg,
            soil_kg: self.soil_kg - other.soil_kg,
            humus_kg: self.humus_kg - other.humus_kg,
        }
    }

    /// Both together.
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

impl<const L: usize> Stack<L> {
    /// The carbon in a slice by what it lies in; its sum is
    /// [`slice_carbon_kg`](Self::slice_carbon_kg).
    #[must_use]
    pub fn slice_carbon_kinds(
        &self,
        slice: &Slice<L>,
        state: &State<L>,
        lane: usize,
    ) -> CarbonKinds {
        let pools_kg = |first: usize, count: usize| -> f64 {
            let rows = &state.rows[first..first + count];
            rows.iter().map(|row| row[lane]).sum()
        };
        let mut kinds = CarbonKinds {
            humus_kg: state.rows[slice.slots.humus][lane],
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
