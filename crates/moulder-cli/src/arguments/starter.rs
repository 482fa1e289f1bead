//! What `moulder new` takes.

use clap::{Args, ValueEnum};

use super::destination::Destination;
use super::units::UnitsName;

#[derive(Debug, Args)]
pub(crate) struct NewArguments {
    /// What holds the filling
    #[arg(value_enum)]
    pub(crate) shape: StarterShape,

    /// The units it is written in
    #[arg(long, value_enum, value_name = "UNITS", default_value = "metric")]
    pub(crate) units: UnitsName,

    /// Where on earth: decides the day of filling and the climate
    #[arg(long, value_enum, value_name = "HALF", default_value = "north")]
    pub(crate) hemisphere: Hemisphere,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

/// The shapes that there is a starter for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum StarterShape {
    /// Upright walls on a rectangle: boards, sleepers, bricks
    Box,
    /// Upright walls on a circle: a ring, a tank, a round planter
    Round,
    /// A cloth bag, such as a builder's bulk bag
    Bag,
    /// A heap with sloping sides and no walls
    Mound,
}

/// Halves of the earth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Hemisphere {
    /// North of the equator
    North,
    /// South of the equator, where spring begins in September
    South,
}
