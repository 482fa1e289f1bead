//! Composition of a slice by volume: pieces, fines, open gaps.

use crate::bed::measure::{SliceMeasure, fine_carbon_kg, piece_envelope_m3, piece_left};
use crate::bed::stack::{Slice, Stack};
use crate::bed::state::State;
use crate::law::envelope::MINERAL_DENSITY_KG_M3;
use crate::law::moisture::Matter;

/// Volume of a slice or layer by component; m3. `wood_m3`, `soft_m3`, `fines_m3` and `open_m3`
/// add up to the total.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Volumes {
    /// Envelope of the wood at its current moisture.
    pub wood_m3: f64,
    /// Envelope of the other pieces: leaves, card, turf.
    pub soft_m3: f64,
    /// Bulk volume of all fines, humus included.
    pub fines_m3: f64,
    /// Part of the fines that has migrated in from above.
    pub migrated_m3: f64,
    /// Open gaps between pieces.
    pub open_m3: f64,
}

impl Volumes {
    /// Total; m3.
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

    /// Sum of two.
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

impl Stack {
    /// Composition of a slice; adds up to its measured volume.
    ///
    /// Humus formed here counts with the fines filled in.
    #[must_use]
    pub fn slice_volumes(&self, slice: &Slice, measure: &SliceMeasure, state: &State) -> Volumes {
        let others = slice
            .pieces
            .iter()
            .filter(|piece| piece.matter != Matter::Wood);
        let soft_m3: f64 = others
            .map(|piece| piece_envelope_m3(piece, piece_left(piece, state)))
            .sum();
        let mut from_above_m3 = 0.0;
        for (fine, slots) in self.fines_in(slice) {
            if !slots.at_home {
                let carbon_kg = fine_carbon_kg(slots, fine.pools.len(), state);
                from_above_m3 += state.rows[slots.mineral].max(0.0) / MINERAL_DENSITY_KG_M3
                    + carbon_kg * fine.organic_per_carbon / fine.organic_density_kg_m3;
            }
        }
        // Bulk volume, at the packing of all fines of the slice.
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
