//! Crops and their nitrogen demand.

use moulder_core::value::{Spread, Status, Value};

/// Nitrogen demand of a hungry crop.
static HUNGRY: Value = Value::new(
    20.0,
    Spread::new(15.0, 28.0),
    "g/m2/yr",
    "general literature: cabbages, squash, tomatoes, sweet corn take 150-280 kg/ha",
    Status::Memory,
);

/// Nitrogen demand of a modest crop.
static MODEST: Value = Value::new(
    8.0,
    Spread::new(5.0, 12.0),
    "g/m2/yr",
    "general literature: lettuce, carrots, onions, herbs take 50-120 kg/ha",
    Status::Memory,
);

/// No crop.
static NONE: Value = Value::new(
    0.0,
    Spread::new(0.0, 0.0),
    "g/m2/yr",
    "nothing grows",
    Status::Judgement,
);

/// What grows on a bed, by its hunger for nitrogen.
///
/// ```
/// use moulder::{Bed, Crop};
///
/// assert_eq!(Bed::example().with_crop(Crop::Modest).crop(), Crop::Modest);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
// The schema of bed files holds no Rust.
#[cfg_attr(
    feature = "schema",
    schemars(description = "What grows on a bed, by its hunger for nitrogen.")
)]
#[serde(rename_all = "kebab-case")]
pub enum Crop {
    /// Cabbages, squash, tomatoes, sweet corn.
    #[default]
    Hungry,
    /// Lettuce, carrots, onions, herbs.
    Modest,
    /// Nothing.
    None,
}

impl Crop {
    /// Its name with the article ("a hungry").
    #[must_use]
    pub const fn article_and_name(self) -> &'static str {
        match self {
            Self::Hungry => "a hungry",
            Self::Modest => "a modest",
            Self::None => "no",
        }
    }

    /// Nitrogen demand in a year; g/m2.
    ///
    /// ```
    /// use moulder::Crop;
    ///
    /// assert!(Crop::Hungry.need().best > Crop::Modest.need().best);
    /// ```
    #[must_use]
    pub fn need(self) -> &'static Value {
        match self {
            Self::Hungry => &HUNGRY,
            Self::Modest => &MODEST,
            Self::None => &NONE,
        }
    }
}
