//! The units of an answer.

use clap::ValueEnum;
use moulder::internals::quantity::units::Units;

/// The units an owner thinks in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsName {
    /// Centimetres, litres, kilograms
    Metric,
    /// Inches, cubic feet and yards, pounds
    Us,
    /// Inches for heights, litres and kilograms for the rest
    UkGarden,
}

impl From<UnitsName> for Units {
    fn from(name: UnitsName) -> Self {
        match name {
            UnitsName::Metric => Self::Metric,
            UnitsName::Us => Self::Us,
            UnitsName::UkGarden => Self::UkGarden,
        }
    }
}
