//! Quantities as text: units, the user's own measures, heights and amounts.

pub mod amount;
pub mod height;
pub mod measures;
pub mod parse;
pub mod range;
pub mod unit;
pub mod units;
