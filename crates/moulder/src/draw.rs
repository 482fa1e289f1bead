//! One draw: a definite number for every uncertain one.

use moulder_core::value::Value;
use moulder_solve::schedule::Schedule;

use crate::sample::Sample;

/// Picks a number within each value's spread.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Draw<'a> {
    /// The best value of everything.
    Middle,
    /// What a sample holds for the figures of the laws; it comes with a bed of its own,
    /// whose materials hold definite numbers already.
    Of(&'a Sample),
}

impl Draw<'_> {
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
            Self::Of(sample) => sample.law(value),
        }
    }

    /// The steps by which it is marched: longer ones for one of many.
    pub(crate) fn schedule(self) -> Schedule {
        match self {
            Self::Middle => Schedule::default(),
            Self::Of(_) => Schedule::brisk(),
        }
    }
}
