//! A material: what a gardener can put into a bed, every number with its source.

use moulder_core::value::Value;
use serde::{Deserialize, Serialize};

/// Something that can be put into a bed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Material {
    /// The name a bed file uses ("beech log").
    pub name: String,
    /// Other names it answers to.
    #[serde(default)]
    pub also: Vec<String>,
    /// One line for a reader.
    pub about: String,
    /// Which laws of temperature and moisture it rots by.
    pub class: Class,
    /// How its pieces lie, which sets the width of the pores between them.
    pub form: Form,
    /// Mineral share of the dry mass, which never decays; kg/kg dry.
    pub mineral_share: Value,
    /// Carbon in the organic part; kg/kg organic dry.
    pub carbon_share: Value,
    /// Carbon to nitrogen by mass.
    pub carbon_to_nitrogen: Value,
    /// Water on arrival; its unit says "kg/kg wet" or "kg/kg dry".
    pub moisture: Value,
    /// Water it holds against drainage; kg/kg dry. Absent for wood, whose store follows
    /// from its density.
    #[serde(default, rename = "holds")]
    pub field_capacity: Option<Value>,
    /// Dry organic mass per volume of the pieces themselves, their own pores included; kg/m3.
    pub organic_density: Value,
    /// Size of a piece across its shorter way; m.
    #[serde(rename = "across")]
    pub particle_size: Value,
    /// Gap volume per piece volume as loosely tipped.
    pub void_ratio: Value,
    /// Gap volume per piece volume that no settling closes.
    #[serde(rename = "least-void-ratio")]
    pub min_void_ratio: Value,
    /// Strain per tenfold stress in `strain = compression log10(1 + stress/reference stress)`, tipped state.
    pub compression: Value,
    /// Stress at which that law bends; kPa.
    pub reference_stress: Value,
    /// Strain on first wetting of the tipped state.
    pub collapse_tipped: Value,
    /// Strain on first wetting after treading.
    pub collapse_trodden: Value,
    /// Exponent alpha by which gaps follow the pieces that rot; 0 keeps gaps, 1 keeps the void ratio.
    pub void_closure: Value,
    /// Exponent p by which the pieces' volume trails their mass; 1 no lag, 3 a log.
    pub lag: Value,
    /// Exponent b of `(across/across of the rate)^b` on the decay rate.
    pub size_exponent: Value,
    /// Set for whole sheets that hold fines back while they last.
    #[serde(default)]
    pub sheet: Option<Sheet>,
    /// Share of its grains that trickles into open gaps below; the rest is held by
    /// cohesion and roots. Absent where nothing trickles.
    #[serde(default)]
    pub loose: Option<Value>,
    /// Carbon pools; their shares sum to one.
    pub pools: Vec<Pool>,
}

impl Material {
    /// A material of another name that is like this one until its figures are changed.
    /// [`Library::with`](crate::library::Library::with) checks it.
    #[must_use]
    pub fn derived(&self, name: impl Into<String>, about: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            also: Vec::new(),
            about: about.into(),
            ..self.clone()
        }
    }

    /// Whether all of it lies as grains, like soil or compost; turf only in part.
    #[must_use]
    pub fn is_grains(&self) -> bool {
        self.loose.is_some() && !self.pools.iter().any(|pool| pool.in_soil)
    }
}

/// Water on arrival as a share of the wet mass, whichever way it is given.
///
/// ```
/// use moulder::internals::library::materials::Catalogue;
/// use moulder::internals::library::material::wet_share;
///
/// let catalogue = Catalogue::built_in();
/// let soil = catalogue.find("loamy topsoil").ok_or("no topsoil")?;
/// assert!((0.1..0.3).contains(&wet_share(&soil.moisture)));
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn wet_share(moisture: &Value) -> f64 {
    if moisture.unit == "kg/kg dry" {
        moisture.best / (1.0 + moisture.best)
    } else {
        moisture.best
    }
}

/// Which laws of temperature and moisture a material rots by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Class {
    /// Logs, branches, chips: Q10 law, wood moisture.
    Wood,
    /// Leaves, grass, card, turf: Lloyd-Taylor law, wet-basis moisture.
    Plant,
    /// Soil and compost: Lloyd-Taylor law, water-filled pores.
    Soil,
}

/// How pieces lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// Long pieces: logs, brush.
    Rods,
    /// Anything about as long as wide: chips, crumbs, leaves, torn card.
    Lumps,
}

/// A sheet that holds fines back while it lasts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Sheet {
    /// Share of the area that one whole sheet covers.
    pub cover: Value,
    /// Thickness of one sheet as laid; m.
    pub thickness: Value,
}

/// A carbon pool of a material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Pool {
    /// What it stands for ("whole wood", "sugars and proteins").
    pub name: String,
    /// Share of the material's carbon.
    pub share: Value,
    /// Share of what decays that becomes humus; 0 where the rate already counts all carbon left.
    #[serde(rename = "humified")]
    pub humification_coefficient: Value,
    /// What the rates count.
    pub counts: Counts,
    /// True when this carbon lies in soil that the other pools hold together as a mat:
    /// with the material's mineral matter it comes loose as the mat rots (turf).
    #[serde(default)]
    pub in_soil: bool,
    /// Measured rates; the geometric mean of their reference rates is used.
    pub rates: Vec<Rate>,
}

/// What a published decay rate counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Counts {
    /// The piece that is left; what turned to humus is gone from it.
    PieceLeft,
    /// All carbon left, humus included.
    AllCarbonLeft,
}

/// A decay rate with the conditions it holds for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Rate {
    /// First-order rate; 1/yr.
    pub rate: Value,
    /// Where it was measured; absent for a rate already at reference conditions
    /// (10 degC, moist, aired).
    #[serde(default)]
    pub site: Option<Site>,
    /// Size of the pieces it was measured on; m. Absent where size does not matter.
    #[serde(default, rename = "across-m")]
    pub particle_size_m: Option<f64>,
}

/// Where a field rate was measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Site {
    /// Name of the place.
    pub place: String,
    /// Mean temperature over the year; degC.
    pub mean_c: f64,
    /// Half the range between the warmest and the coldest month; degC.
    pub half_range_c: f64,
    /// Share of the moist, aired rate that the site's moisture and air allow.
    pub moisture_factor: f64,
    /// Who says so, and what was assumed.
    pub source: String,
}
