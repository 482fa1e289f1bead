//! State variables, stored as `[quantity][lane]`.
//!
//! ```
//! use moulder_core::bed::state::State;
//!
//! let two_beds = State::<2>::zeros(3);
//! assert_eq!(two_beds.rows, [[0.0; 2]; 3]);
//! ```

use alloc::vec::Vec;

/// State variables of `L` beds, one per lane.
///
/// The slots of the [`crate::bed::stack::Stack`] give the row indices. Carbon is in kg, gaps in
/// m3, stress in kPa, shares are dimensionless.
#[derive(Debug, Clone, PartialEq)]
pub struct State<const L: usize> {
    /// One row per variable.
    pub rows: Vec<[f64; L]>,
}

impl<const L: usize> State<L> {
    /// A state of `quantities` zero rows.
    #[must_use]
    pub fn zeros(quantities: usize) -> Self {
        Self {
            rows: alloc::vec![[0.0; L]; quantities],
        }
    }
}
