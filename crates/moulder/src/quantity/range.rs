//! A figure with the range it may lie in.
//!
//! ```
//! use moulder::internals::quantity::range::Range;
//!
//! let depth_m = Range { best: 0.1, low: 0.08, high: 0.13 };
//! assert!(depth_m.low <= depth_m.best && depth_m.best <= depth_m.high);
//! ```

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A figure with the range it may lie in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Range {
    /// The middle figure.
    pub best: f64,
    /// The low end.
    pub low: f64,
    /// The high end.
    pub high: f64,
}
