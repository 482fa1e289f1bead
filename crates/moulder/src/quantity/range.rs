//! A value with its range.

use serde::{Deserialize, Serialize};

/// A value with its range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Range {
    /// The best value.
    pub best: f64,
    /// The low end.
    pub low: f64,
    /// The high end.
    pub high: f64,
}
