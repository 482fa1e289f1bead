//! What a bed and a plan of one have in common: where it stands, its outline, its owner.

use jiff::civil::Date;
use moulder_core::bed::shape::Shape;

use crate::bed::{Boards, StandsOn};
use crate::fault::notice::DefaultUsed;
use crate::library::climates::Climate;
use crate::quantity::units::Units;

/// What a [`Bed`](crate::Bed) and a [`PlanRequest`](crate::PlanRequest) have in common.
#[derive(Debug, Clone, PartialEq)]
pub struct BedSite {
    /// Name of the bed.
    pub(crate) name: String,
    /// Day of filling: day zero of every forecast.
    pub(crate) filled: Date,
    /// The climate it stands in.
    pub(crate) climate: Climate,
    /// The owner's units.
    pub(crate) units: Units,
    /// The units of the document, in which tapes are read, whatever answers are told in.
    pub(crate) tape_units: Units,
    /// Its outline.
    pub(crate) shape: Shape,
    /// Height of the rim above the ground; m. A mound has none.
    pub(crate) rim_m: Option<f64>,
    /// Depth of the trench the bed starts in; m, 0 on level ground.
    pub(crate) trench_m: f64,
    /// What it stands on, where given.
    pub(crate) stands_on: Option<StandsOn>,
    /// Whether it stands against the wall of a building, where given.
    pub(crate) near_wall: Option<bool>,
    /// Material of its boards, where given.
    pub(crate) boards: Option<Boards>,
    /// Codes of the notices that the owner has acknowledged.
    pub(crate) seen: Vec<&'static str>,
    /// Defaults used where the document is silent.
    pub(crate) defaults: Vec<DefaultUsed>,
}

/// Gives a type the values of its field `site` as its own.
macro_rules! values_of_site {
    ($of:ident) => {
        // For this crate, which reads the fields themselves.
        #[doc(hidden)]
        impl std::ops::Deref for $of {
            type Target = $crate::bed::site::BedSite;

            fn deref(&self) -> &$crate::bed::site::BedSite {
                &self.site
            }
        }

        impl $of {
            /// Name of the bed.
            #[must_use]
            pub fn name(&self) -> &str {
                &self.site.name
            }

            /// Day of filling: day zero of every forecast.
            #[must_use]
            pub const fn filled(&self) -> jiff::civil::Date {
                self.site.filled
            }

            /// The climate it stands in.
            #[must_use]
            pub fn climate(&self) -> &$crate::library::climates::Climate {
                &self.site.climate
            }

            /// The owner's units.
            #[must_use]
            pub const fn units(&self) -> $crate::quantity::units::Units {
                self.site.units
            }

            /// Its outline.
            #[must_use]
            pub const fn shape(&self) -> moulder_core::bed::shape::Shape {
                self.site.shape
            }

            /// Height of the rim above the ground; m. A mound has none.
            #[must_use]
            pub const fn rim_m(&self) -> Option<f64> {
                self.site.rim_m
            }

            /// Depth of the trench the bed starts in; m, 0 on level ground.
            #[must_use]
            pub const fn trench_m(&self) -> f64 {
                self.site.trench_m
            }

            /// What it stands on, where given.
            #[must_use]
            pub const fn stands_on(&self) -> Option<$crate::bed::StandsOn> {
                self.site.stands_on
            }

            /// Whether it stands against the wall of a building, where given.
            #[must_use]
            pub const fn near_wall(&self) -> Option<bool> {
                self.site.near_wall
            }

            /// Material of its boards, where given.
            #[must_use]
            pub const fn boards(&self) -> Option<$crate::bed::Boards> {
                self.site.boards
            }

            /// Codes of the notices that the owner has acknowledged.
            #[must_use]
            pub fn seen(&self) -> &[&'static str] {
                &self.site.seen
            }

            /// Defaults used where the document is silent.
            #[must_use]
            pub fn defaults(&self) -> &[$crate::fault::notice::DefaultUsed] {
                &self.site.defaults
            }
        }
    };
}
