//! One draw: a definite number for every uncertain one.

use moulder_core::value::Value;

/// Picks a number within each value's spread.
///
/// So far there is one draw, the middle of everything; draws from the spreads come
/// with the bands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Draw {
    /// The best value of everything.
    Middle,
}

impl Draw {
    /// The number that this draw has for a value.
    ///
    /// ```
    /// use moulder::draw::Draw;
    /// use moulder_core::temperature::Q10_WOOD;
    ///
    /// assert_eq!(Draw::Middle.of(&Q10_WOOD), Q10_WOOD.best);
    /// ```
    #[must_use]
    pub fn of(self, value: &Value) -> f64 {
        match self {
            Self::Middle => value.best,
        }
    }
}
