//! The charts, one a file.

pub(crate) mod carbon;
pub(crate) mod causes;
pub mod comparison;
pub mod fit;
pub(crate) mod height;
pub(crate) mod layers;
pub(crate) mod moment;
pub(crate) mod nitrogen;
pub(crate) mod opening;
pub mod topups;
pub mod unknowns;
pub(crate) mod warmth;
pub(crate) mod water;
pub(crate) mod weight;
