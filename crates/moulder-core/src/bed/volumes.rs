//! What a slice is made of by volume: pieces, fines, and the gaps left open between them.

use crate::bed::measure::{SliceMeasure, fine_carbon_kg, piece_envelope_m3, piece_left};
use crate::bed::stack::{Slice, Stack};
use crate::bed::state::State;
use crate::law::envelope::MINERAL_DENSITY_KG_M3;
use crate::law::moisture::Matter;

/// The volume of a slice or a layer by what fills it; m3.
///
/// `wood_m3`, `soft_m3`, `fines_m3` and `open_m3` add up to the whole.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Volumes {
    /// Envelope of its wood, as dry as it is.
    pub wood_m3: f64,
    /// Envelope of its other pieces: leaves, card, the mat of turf.
    pub soft_m3: f64,
    /// Bulk of all fines, their own small gaps and humus included.
    pub fines_m3: f64,
    /// The part of that which has trickled in from above.
    pub migrated_m3: f64,
    /// Gaps between pieces that nothing fills.
    pub open_m3: f64,
}

impl Volumes {
    /// All of it; m3.
    ///
    /// ```
    /// use moulder_core::bed::volumes::Volumes;
    ///
    /// let logs = Volumes { wood_m3: 0.5, open_m3: 0.3, ..Volumes::default() };
    /// assert_eq!(logs.sum_m3(), 0.8);
    /// ```
    #[must_use]
    pub fn sum_m3(&self) -> f64 {
        self.wood_m3 + self.soft_m3 + self.fines_m3 + self.open_m3
    }

    /// Both together.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        Self {
            wood_m3: self.wood_m3 + other.wood_m3,
            soft_m3: self.soft_m3 + other.soft_m3,
            fines_m3: self.fines_m3 + other.fines_m3,
            migrated_m3: self.migrated_m3 + other.migrated_m3,
            open_m3: self.open_m3 + other.open_m3,
        }
    }
}

impl<const L: usize> Stack<L> {
    /// What a measured slice is made of; its sum is the volume measured.
    ///
    /// Humus made in the slice counts with the fines that were always there.
    #[must_use]
    pub fn slice_volumes(
        &self,
        slice: &Slice<L>,
        measure: &SliceMeasure,
        state: &State<L>,
        lane: usize,
    ) -> Volumes {
        let others = slice
            .pieces
            .iter()
            .filter(|piece| piece.matter != Matter::Wood);
        let soft_m3: f64 = others
            .map(|piece| piece_envelope_m3(piece, piece_left(piece, state, lane), lane))
            .sum();
        let mut from_above_m3 = 0.0;
        for (fine, slots) in self.fines_in(slice) {
            if !slots.at_home {
                let carbon_kg = fine_carbon_kg(slots, fine.pools.len(), state, lane);
                from_above_m3 += state.rows[slots.mineral][lane].max(0.0) / MINERAL_DENSITY_KG_M3
                    + carbon_kg * fine.organic_per_carbon[lane] / fine.organic_density_kg_m3[lane];
            }
        }
        // With their gaps: as loose as the fines they lie among.
        let bulk = measure.fines_m3 / measure.grains_m3.max(f64::MIN_POSITIVE);
        let wood_m3 = (measure.skeleton_m3 - soft_m3).max(0.0);
        Volumes {
            wood_m3,
            soft_m3: measure.skeleton_m3 - wood_m3,
            fines_m3: measure.fines_m3,
            migrated_m3: (from_above_m3 * bulk).min(measure.fines_m3),
            open_m3: measure.volume_m3 - measure.skeleton_m3 - measure.fines_m3,
        }
    }
}
