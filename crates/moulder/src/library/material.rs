//! Materials: what a bed may be filled with, every number with its source.

use moulder_core::law::settlement::{closing_exponent, closing_strain, left_after_load};
use moulder_core::value::Value;
use serde::{Deserialize, Serialize};

/// A material.
///
/// ```
/// use moulder::Library;
///
/// let library = Library::built_in();
/// let beech = library.material("beech log")?;
/// assert!(beech.field_capacity.is_none() && !beech.is_grains());
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(
    rename_all(serialize = "snake_case", deserialize = "kebab-case"),
    deny_unknown_fields
)]
pub struct Material {
    /// The name in a bed file ("beech log").
    pub name: String,
    /// Synonyms.
    #[serde(default)]
    pub also: Vec<String>,
    /// One line of description.
    pub about: String,
    /// Its class, which selects the rate modifiers of temperature and moisture.
    pub class: Class,
    /// Shape of its pieces, which sets the width of the pores between them.
    pub form: Form,
    /// Mineral share of the dry mass, which does not decay; kg/kg dry.
    pub mineral_share: Value,
    /// Carbon content of the organic matter; kg/kg organic dry.
    pub carbon_share: Value,
    /// Carbon to nitrogen ratio by mass.
    pub carbon_to_nitrogen: Value,
    /// Water content on arrival, in "kg/kg wet" or "kg/kg dry".
    pub moisture: Value,
    /// Field capacity; kg/kg dry. Absent for wood, whose water store follows from its density.
    #[serde(default, rename = "holds")]
    pub field_capacity: Option<Value>,
    /// Dry organic mass per volume of the pieces, their own pores included; kg/m3.
    pub organic_density: Value,
    /// Particle size: diameter, or the shorter way across; m.
    #[serde(rename = "across")]
    pub particle_size: Value,
    /// Void ratio as loosely tipped.
    pub void_ratio: Value,
    /// Least void ratio, which no settlement closes.
    #[serde(rename(serialize = "least_void_ratio", deserialize = "least-void-ratio"))]
    pub min_void_ratio: Value,
    /// Strain per tenfold stress in `strain = compression log10(1 + stress/reference stress)`,
    /// loose state.
    pub compression: Value,
    /// Reference stress of that law; kPa.
    pub reference_stress: Value,
    /// Creep to compression ratio `C_alpha/C_c`.
    pub creep: Value,
    /// Collapse strain on first wetting, loose and dry; drawn as a share of its excess voids.
    pub collapse_tipped: Value,
    /// Collapse strain on first wetting, compacted.
    pub collapse_trodden: Value,
    /// Exponent alpha by which voids close as the pieces decay; 0 keeps the voids, 1 the void
    /// ratio.
    pub void_closure: Value,
    /// Exponent p by which the volume of the pieces lags their mass; 1 no lag, 3 a log.
    pub lag: Value,
    /// Exponent b of `(particle size/particle size of the rate)^b` on the decay rate.
    pub size_exponent: Value,
    /// Whether it is fresh and green: it wilts and collapses without rain.
    #[serde(default)]
    pub wilts: bool,
    /// Set for whole sheets, and for what lies as a mat, that hold fines back while they last.
    #[serde(default)]
    pub sheet: Option<Sheet>,
    /// Share of its fines that migrates into open voids below; cohesion and roots hold the rest.
    /// Absent where nothing migrates.
    #[serde(default)]
    pub loose: Option<Value>,
    /// Carbon pools; their shares sum to one.
    pub pools: Vec<Pool>,
}

impl Material {
    /// A copy under another name, to be changed. [`Library::with`](crate::library::Library::with)
    /// checks it.
    #[must_use]
    pub fn derived(&self, name: impl Into<String>, about: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            also: Vec::new(),
            about: about.into(),
            ..self.clone()
        }
    }

    /// Void ratio when trodden, with that residual stress.
    pub(crate) fn trodden_void_ratio(&self, trodden_kpa: f64) -> f64 {
        let (tipped, least) = (self.void_ratio.best, self.min_void_ratio.best);
        let exponent = closing_exponent(self.compression.best, tipped, least);
        least
            + (tipped - least)
                * left_after_load(exponent, self.reference_stress.best, 0.0, trodden_kpa)
    }

    /// Strains at which its excess voids would all have closed, tipped and trodden: collapse on
    /// wetting stays below.
    pub(crate) fn closing_strains(&self, trodden_kpa: f64) -> [f64; 2] {
        let least = self.min_void_ratio.best;
        [self.void_ratio.best, self.trodden_void_ratio(trodden_kpa)]
            .map(|void_ratio| closing_strain(void_ratio, least))
    }

    /// Whether it comes in whole sheets, like card or turf.
    #[must_use]
    pub fn is_sheet(&self) -> bool {
        self.sheet.as_ref().is_some_and(|sheet| !sheet.mat)
    }

    /// Whether all of it is granular, like soil or compost; turf is only in part.
    #[must_use]
    pub fn is_grains(&self) -> bool {
        self.loose.is_some() && !self.pools.iter().any(|pool| pool.in_soil)
    }
}

/// Water content on arrival as a share of the wet mass.
#[must_use]
pub fn wet_share(moisture: &Value) -> f64 {
    if moisture.unit == "kg/kg dry" {
        moisture.best / (1.0 + moisture.best)
    } else {
        moisture.best
    }
}

/// Class of a material, which selects its rate modifiers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Class {
    /// Logs, branches, chips: Q10 law, wood moisture content.
    Wood,
    /// Leaves, grass, card, turf: Lloyd-Taylor law, wet-basis moisture content.
    Plant,
    /// Soil and compost: Lloyd-Taylor law, water-filled pore space.
    Soil,
}

/// Shape of pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// Long pieces: logs, brush.
    Rods,
    /// About as long as wide: chips, crumbs, leaves, torn card.
    Lumps,
}

/// A sheet, or a mat of flat pieces, that holds fines back while it lasts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(
    rename_all(serialize = "snake_case", deserialize = "kebab-case"),
    deny_unknown_fields
)]
pub struct Sheet {
    /// Share of the area that one whole sheet covers.
    pub cover: Value,
    /// Thickness of one sheet as laid; of a mat that of a loose layer with this cover; m.
    pub thickness: Value,
    /// Set for a mat of pieces, as leaves or grass clippings form.
    #[serde(default)]
    pub mat: bool,
}

/// A carbon pool of a material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(
    rename_all(serialize = "snake_case", deserialize = "kebab-case"),
    deny_unknown_fields
)]
pub struct Pool {
    /// What it represents ("whole wood", "sugars and proteins").
    pub name: String,
    /// Share of the material's carbon.
    pub share: Value,
    /// Humification coefficient: share of the decayed carbon that becomes humus; 0 where the rate
    /// counts all carbon left.
    #[serde(rename = "humified")]
    pub humification_coefficient: Value,
    /// What the rates count.
    pub counts: Counts,
    /// How many times as fast sound wood is colonised as colonised wood decays, above 1; absent
    /// where decay starts at once. See [`moulder_core::law::decay`].
    #[serde(default)]
    pub colonised: Option<Value>,
    /// Whether this carbon is in soil that the other pools hold together as a mat (turf): as the
    /// mat decays it comes loose with the mineral matter.
    #[serde(default)]
    pub in_soil: bool,
    /// Measured rates; the geometric mean of their reference rates is used.
    pub rates: Vec<Rate>,
}

/// What a published decay rate counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Counts {
    /// The piece that is left, without the humus formed from it.
    PieceLeft,
    /// All carbon left, humus included.
    AllCarbonLeft,
}

/// A decay rate with the conditions it holds for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(
    rename_all(serialize = "snake_case", deserialize = "kebab-case"),
    deny_unknown_fields
)]
pub struct Rate {
    /// First-order rate; 1/yr.
    pub rate: Value,
    /// Where it was measured; absent for a rate at reference conditions (10 degC, moist,
    /// aerated).
    #[serde(default)]
    pub site: Option<Site>,
    /// Particle size it was measured on; m. Absent where size does not matter.
    #[serde(default, rename(serialize = "across_m", deserialize = "across-m"))]
    pub particle_size_m: Option<f64>,
    /// Years from the start to the last look of its study; absent where no one tells. It matters
    /// where wood is colonised first.
    #[serde(default)]
    pub years: Option<f64>,
    /// How it was fitted. It matters where wood is colonised first.
    #[serde(default)]
    pub fitted: Fitted,
}

/// How a published rate was fitted to what was left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Fitted {
    /// One exponential from all that was there at the start.
    #[default]
    FromStart,
    /// A slope with an intercept of its own, over years after the start: the late rate.
    Slope,
}

/// Where a field rate was measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(
    rename_all(serialize = "snake_case", deserialize = "kebab-case"),
    deny_unknown_fields
)]
pub struct Site {
    /// Name of the place.
    pub place: String,
    /// Mean temperature over the year; degC.
    pub mean_c: f64,
    /// Source of place and mean temperature, and what was assumed.
    pub source: String,
    /// Half the range between the warmest and the coldest month; K.
    pub half_range_c: Value,
    /// Combined rate modifier of moisture and oxygen at the site.
    pub moisture_factor: Value,
}

#[cfg(test)]
mod tests {
    use super::wet_share;
    use moulder_core::value::{Spread, Status, Value};

    #[test]
    fn water_content_is_converted_to_wet_basis() {
        let water = |unit| Value::new(0.25, Spread::new(0.2, 0.3), unit, "", Status::Read);
        assert!((wet_share(&water("kg/kg dry")) - 0.2).abs() < 1e-15);
        assert!((wet_share(&water("kg/kg wet")) - 0.25).abs() < 1e-15);
    }
}
