//! What a fill is chosen for, and the rules of good practice that it keeps.

use serde::{Deserialize, Serialize};

/// Aim of a fill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Aim {
    /// Least cost.
    Cheapest,
    /// Least settlement.
    SinksLeast,
    /// Most nitrogen from the mixed layer: largest N - C/30.
    FeedsBest,
    /// Most use of what is free.
    UsesMost,
}

impl Aim {
    /// All of them, in the order in which equal ones are listed.
    pub const ALL: [Self; 4] = [
        Self::Cheapest,
        Self::SinksLeast,
        Self::FeedsBest,
        Self::UsesMost,
    ];
}

/// A rule of good practice, relaxed where there is no other solution.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Rule {
    /// At most half of the loose fill is coarse wood.
    CoarseWoodAtMostHalf,
    /// Card is at most 2 cm deep.
    CardInAFewSheets,
    /// Where there is card or turf, 1 cm or more of it lies under the soil.
    CoveredUnderTheSoil,
    /// The mixed layer has a carbon to nitrogen of 20 or more.
    NotTooGreen,
    /// At most half of the growing soil is compost, where there is soil.
    CompostAtMostHalf,
    /// The growing soil is at most half as deep again as required.
    SoilNotMuchDeeper,
}

impl Rule {
    /// All of them; the last is relaxed first.
    pub const ALL: [Self; 6] = [
        Self::CoarseWoodAtMostHalf,
        Self::CardInAFewSheets,
        Self::CoveredUnderTheSoil,
        Self::NotTooGreen,
        Self::CompostAtMostHalf,
        Self::SoilNotMuchDeeper,
    ];
}
