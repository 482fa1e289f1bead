//! Stations with their normals.

use crate::Spot;

/// A station with the normals that it published; what it did not measure is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Its name, as published.
    pub name: String,
    /// Where it stands.
    pub spot: Spot,
    /// Height above the sea; m.
    pub height_m: f64,
    /// Means of the daily highs and of the daily lows of each month; degC.
    pub high_and_low_c: Option<([f64; 12], [f64; 12])>,
    /// Rain of each month; mm.
    pub rain_mm: Option<[f64; 12]>,
}
