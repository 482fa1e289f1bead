//! What changes in time, laid out as `[quantity][lane]`.
//!
//! ```
//! use moulder_core::bed::state::State;
//!
//! let two_beds = State::<2>::zeros(3);
//! assert_eq!(two_beds.rows, [[0.0; 2]; 3]);
//! ```

use alloc::vec::Vec;

/// The changing quantities of a bed, one bed a lane.
///
/// Which row is which is said by the slots of the [`crate::bed::stack::Stack`] that it
/// belongs to. Carbon is in kg, gaps in m3, stress in kPa, shares plain.
#[derive(Debug, Clone, PartialEq)]
pub struct State<const L: usize> {
    /// One row a quantity.
    pub rows: Vec<[f64; L]>,
}

impl<const L: usize> State<L> {
    /// A state of `quantities` zeros.
    #[must_use]
    pub fn zeros(quantities: usize) -> Self {
        Self {
            rows: alloc::vec![[0.0; L]; quantities],
        }
    }
}
