//! A figure with the range it may lie in.

use schemars::JsonSchema;
use serde::Serialize;

/// A figure with the range it may lie in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Range {
    /// The middle figure.
    pub best: f64,
    /// The low end.
    pub low: f64,
    /// The high end.
    pub high: f64,
}
