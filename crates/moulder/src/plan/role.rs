//! Roles of materials in a bed: common practice, no source.

use serde::{Deserialize, Serialize};

use crate::bed::Ingredient;
use crate::library::material::{Class, Form};

/// Long wood from this size on is laid at the bottom; m. Brush as cut runs to about 4 cm.
const COARSE_M: f64 = 0.05;

/// A layer of a bed, from the ground up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Role {
    /// Logs and thick branches, at the bottom.
    CoarseWood,
    /// Brush and non-woody material.
    Mixed,
    /// Card, over loose layers.
    Card,
    /// Turf, grass side down.
    Turf,
    /// Soil and compost with the roots.
    Soil,
}

impl Role {
    /// All of them, from the ground up.
    pub const ALL: [Self; 5] = [
        Self::CoarseWood,
        Self::Mixed,
        Self::Card,
        Self::Turf,
        Self::Soil,
    ];

    /// The role of a material.
    ///
    /// ```
    /// use moulder::{Bed, fills::Role};
    ///
    /// let bed = Bed::example();
    /// assert_eq!(Role::from_ingredient(&bed.layers()[0].put[0]), Role::Mixed);
    /// ```
    #[must_use]
    pub fn from_ingredient(ingredient: &Ingredient) -> Self {
        let material = &ingredient.material;
        let coarse = material.form == Form::Rods && ingredient.particle_size_m >= COARSE_M;
        if material.pools.iter().any(|pool| pool.in_soil) {
            Self::Turf
        } else if material.is_sheet() {
            Self::Card
        } else if material.class == Class::Soil || material.is_grains() {
            Self::Soil
        } else if material.class == Class::Wood && coarse {
            Self::CoarseWood
        } else {
            Self::Mixed
        }
    }

    /// Name of its layer in a bed file.
    #[must_use]
    pub const fn layer_name(self) -> &'static str {
        match self {
            Self::CoarseWood => "logs",
            Self::Mixed => "brush and soft stuff",
            Self::Card => "card",
            Self::Turf => "turf",
            Self::Soil => "growing soil",
        }
    }
}
