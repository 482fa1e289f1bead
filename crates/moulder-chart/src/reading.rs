//! A reading with a tape.

/// The height of a surface as somebody read it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When: months since filling (see [`crate::calendar::Calendar::months_to`]).
    pub month: f64,
    /// Height of the surface over the ground beside the bed; m.
    pub height_m: f64,
    /// How far off the reading may be; m.
    pub plus_minus_m: f64,
}
