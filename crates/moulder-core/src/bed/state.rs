//! State variables.
//!
//! ```
//! use moulder_core::bed::state::State;
//!
//! assert_eq!(State::zeros(3).rows, [0.0; 3]);
//! ```

use alloc::vec::Vec;

/// State variables of a bed.
///
/// The slots of the [`crate::bed::stack::Stack`] give the row indices. Carbon is in kg, gaps in
/// m3, stress in kPa, shares are dimensionless.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// One row per variable.
    pub rows: Vec<f64>,
}

impl State {
    /// A state of `quantities` zero rows.
    #[must_use]
    pub fn zeros(quantities: usize) -> Self {
        Self {
            rows: alloc::vec![0.0; quantities],
        }
    }
}
