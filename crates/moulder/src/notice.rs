//! What a reader should know: notices, and defaults used. Numbers and codes here, words elsewhere.

use serde::Serialize;

/// Something a reader should know about a bed or a forecast.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct Notice {
    /// Stable word code, and the key of its text ("thin-soil").
    pub code: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// The layer it speaks of, counted from the ground, 0 first.
    pub layer: Option<usize>,
    /// The figures that its text shows, by name.
    pub values: Vec<(&'static str, String)>,
}

/// How much a notice matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Good to know.
    Note,
    /// May spoil the result.
    Warning,
    /// May hurt someone or something.
    Danger,
}

/// A value assumed because the document is silent.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct DefaultUsed {
    /// Where it would stand in the document (a JSON Pointer).
    pub path: String,
    /// The value, as it would be written.
    pub value: String,
    /// The source, or "our own closure".
    pub source: String,
    /// Half-width it adds to the forecast, m; not known until bands are drawn.
    pub width_it_adds_m: Option<f64>,
}
