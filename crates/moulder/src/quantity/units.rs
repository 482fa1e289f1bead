//! The owner's units.

/// The units an owner thinks in.
///
/// ```
/// use moulder::{Bed, Units};
///
/// assert_eq!(Bed::example().with_units(Units::Us).units(), Units::Us);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
// The schema of bed files holds no Rust.
#[cfg_attr(
    feature = "schema",
    schemars(description = "The units an owner thinks in.")
)]
#[serde(rename_all = "kebab-case")]
pub enum Units {
    /// Centimetres, litres, kilograms.
    #[default]
    Metric,
    /// Inches, cubic feet and yards, pounds.
    Us,
    /// Inches for heights, litres and kilograms for the rest.
    UkGarden,
}
