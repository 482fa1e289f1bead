//! Checked beds: SI units, names resolved.

#[macro_use]
pub mod site;

pub mod builder;
pub mod document;
pub mod plan_request;

use std::sync::Arc;

use jiff::civil::Date;
use moulder_core::bed::shape::Shape;
use moulder_core::weather::EtoMethod;

use crate::bed::site::BedSite;
use crate::fault::notice::Notice;
use crate::library::climates::Climate;
use crate::library::crop::Crop;
use crate::library::material::{Class, Material};
use crate::library::weather_record::WeatherRecord;
use crate::quantity::units::Units;

/// A checked bed: every value lies within its stated range.
///
/// Made by [`Bed::builder`], or read from a document by [`Bed::from_toml`], [`Bed::from_json`]
/// and [`Bed::from_document`].
///
/// ```
/// use moulder::{Amount, Bed, Layer, Shape, date};
///
/// let bed = Bed::builder(Shape::Box { width_m: 1.2, length_m: 2.4 }, date(2026, 3, 14))
///     .rim_m(0.6)
///     .climate("Cambridge UK")
///     .layer(Layer::of("birch log", Amount::ThicknessM(0.30)))
///     .layer(Layer::of("loamy topsoil", Amount::ThicknessM(0.30)))
///     .build()?;
/// assert!(bed.has_wood());
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Bed {
    /// What a plan and a bed have in common.
    pub(crate) site: BedSite,
    /// Number of identical beds.
    pub(crate) count: u32,
    /// Layers from the ground up.
    pub(crate) layers: Vec<Layer>,
    /// Weather that was measured, and how evapotranspiration is computed.
    pub(crate) weather: BedWeather,
    /// Irrigation and cover; none where rain alone falls on it.
    pub(crate) irrigation: Option<Irrigation>,
    /// Crop.
    pub(crate) crop: Crop,
    /// Nitrogen fed later, in order of date.
    pub(crate) fed: Vec<Feed>,
    /// Additions, in order of date, then of the file.
    pub(crate) additions: Vec<Addition>,
    /// Tape measure readings, in order of date, then of the file.
    pub(crate) readings: Vec<Reading>,
    /// Notices about the document.
    pub(crate) notices: Vec<Notice>,
}

impl Bed {
    /// Number of identical beds.
    #[must_use]
    pub const fn count(&self) -> u32 {
        self.count
    }

    /// Layers from the ground up.
    #[must_use]
    pub fn layers(&self) -> &[Layer] {
        &self.layers
    }

    /// Weather that was measured day by day; none where all is generated.
    #[must_use]
    pub fn weather_record(&self) -> Option<&WeatherRecord> {
        self.weather.record.as_deref()
    }

    /// Irrigation and cover; none where rain alone falls on it.
    #[must_use]
    pub const fn irrigation(&self) -> Option<Irrigation> {
        self.irrigation
    }

    /// Crop.
    #[must_use]
    pub const fn crop(&self) -> Crop {
        self.crop
    }

    /// Nitrogen fed later, in order of date.
    #[must_use]
    pub fn fed(&self) -> &[Feed] {
        &self.fed
    }

    /// Loose volume that fills it from one height above its base to another, where its area has
    /// grown by that factor: a bag bulges; m3.
    pub(crate) fn room_m3(&self, from_m: f64, to_m: f64, swelling: f64) -> f64 {
        self.shape.volume_m3(from_m, to_m) * swelling
    }

    /// Additions, in order of date.
    #[must_use]
    pub fn additions(&self) -> &[Addition] {
        &self.additions
    }

    /// Tape measure readings, in order of date.
    #[must_use]
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    /// The bed without its readings: as it was filled, and not as it was found since.
    ///
    /// ```
    /// use moulder::{Bed, Reading, date};
    ///
    /// let bed = Bed::example().with_reading(Reading::below_rim_m(date(2026, 5, 14), 0.10))?;
    /// assert!(bed.as_filled().readings().is_empty());
    /// # Ok::<(), moulder::Error>(())
    /// ```
    #[must_use]
    pub fn as_filled(&self) -> Self {
        Self {
            readings: Vec::new(),
            ..self.clone()
        }
    }

    /// Notices about the document.
    #[must_use]
    pub fn notices(&self) -> &[Notice] {
        &self.notices
    }

    /// Whether there is any wood in it.
    #[must_use]
    pub fn has_wood(&self) -> bool {
        let mut put = self.layers.iter().flat_map(|layer| &layer.put);
        put.any(|ingredient| ingredient.material.class == Class::Wood)
    }
}

values_of_site!(Bed);

/// Unchecked changes of a checked bed, for the crates and tests of this workspace.
pub trait EditBed {
    /// Mutable access to all fields.
    fn edit(&mut self) -> BedFields<'_>;
}

/// Mutable views of the fields of a bed.
#[derive(Debug)]
#[allow(
    missing_docs,
    reason = "the fields of a bed, which are documented there"
)]
pub struct BedFields<'b> {
    pub name: &'b mut String,
    pub filled: &'b mut Date,
    pub count: &'b mut u32,
    pub climate: &'b mut Climate,
    pub units: &'b mut Units,
    pub shape: &'b mut Shape,
    pub layers: &'b mut Vec<Layer>,
    pub irrigation: &'b mut Option<Irrigation>,
    pub crop: &'b mut Crop,
    pub fed: &'b mut Vec<Feed>,
    pub additions: &'b mut Vec<Addition>,
    pub readings: &'b mut Vec<Reading>,
}

impl EditBed for Bed {
    fn edit(&mut self) -> BedFields<'_> {
        BedFields {
            name: &mut self.site.name,
            filled: &mut self.site.filled,
            count: &mut self.count,
            climate: &mut self.site.climate,
            units: &mut self.site.units,
            shape: &mut self.site.shape,
            layers: &mut self.layers,
            irrigation: &mut self.irrigation,
            crop: &mut self.crop,
            fed: &mut self.fed,
            additions: &mut self.additions,
            readings: &mut self.readings,
        }
    }
}

/// Weather that was measured, and how evapotranspiration is computed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct BedWeather {
    /// Days that were measured.
    pub(crate) record: Option<Arc<WeatherRecord>>,
    /// Method of reference evapotranspiration.
    pub(crate) eto_by: EtoMethod,
}

impl Default for BedWeather {
    /// Nothing measured, and evapotranspiration as FAO-56 advises.
    fn default() -> Self {
        Self {
            record: None,
            eto_by: EtoMethod::PenmanMonteith,
        }
    }
}

/// Irrigation and cover.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Irrigation {
    /// Irrigation in a week of the season, over the whole bed; L.
    pub litres_per_week: f64,
    /// First month of the season, 1 to 12.
    pub from: u8,
    /// Last month of the season, 1 to 12; if before the first, the season spans the turn of the
    /// year.
    pub to: u8,
    /// Share of the rain that passes the cover, all year; 0 to 1.
    pub rain_share: f64,
}

impl Irrigation {
    /// Whether a month (1 to 12) is in the season.
    ///
    /// ```
    /// use moulder::filled::Irrigation;
    ///
    /// let south = Irrigation { litres_per_week: 20.0, from: 11, to: 3, rain_share: 1.0 };
    /// assert!(south.is_season(12) && south.is_season(3) && !south.is_season(4));
    /// ```
    #[must_use]
    pub const fn is_season(&self, month: u8) -> bool {
        if self.from <= self.to {
            self.from <= month && month <= self.to
        } else {
            self.from <= month || month <= self.to
        }
    }
}

/// A later addition.
#[derive(Debug, Clone, PartialEq)]
pub struct Addition {
    /// The day.
    pub on: Date,
    /// What was added.
    pub ingredient: Ingredient,
}

impl Addition {
    /// The layer it makes, tipped; roots continue into it where it is soil.
    #[must_use]
    pub fn layer(&self) -> Layer {
        Layer {
            name: format!("{}, added {}", self.ingredient.material.name, self.on),
            grows: self.ingredient.material.class == Class::Soil,
            put: vec![self.ingredient.clone()],
            firmness: Firmness::Loose,
            watered: false,
        }
    }
}

/// A tape measure reading, before any addition of that day.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The day.
    pub on: Date,
    /// Height of the surface above the ground beside the bed; m. Depths below the rim are
    /// converted.
    pub height_m: f64,
    /// 80 % half-width of the reading error, where given; m.
    pub give_or_take_m: Option<f64>,
    /// The owner's note.
    pub note: Option<String>,
}

/// Nitrogen fed on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feed {
    /// The day.
    pub on: Date,
    /// Plant-available nitrogen in it; kg.
    pub nitrogen_kg: f64,
    /// Share of nitrogen in the feed, by weight; none where it is not told.
    pub feed_share: Option<f64>,
}

/// What is below a bed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum StandsOn {
    /// Open ground.
    Ground,
    /// Slabs, concrete or tar on the ground.
    Paving,
    /// A deck of timber.
    Deck,
    /// A balcony.
    Balcony,
    /// A roof, or the ceiling of a cellar.
    Roof,
}

/// What the boards of a bed are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Boards {
    /// Bare timber.
    Untreated,
    /// Timber treated against rot, of whatever age.
    Treated,
    /// Painted or varnished timber.
    Painted,
    /// Tarred timber, as old railway sleepers are.
    Tarred,
    /// No timber: bricks, stone, metal.
    None,
}

/// One layer as filled.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// Its name.
    pub name: String,
    /// Whether roots grow in it.
    pub grows: bool,
    /// Its ingredients, mixed.
    pub put: Vec<Ingredient>,
    /// How firmly it was filled.
    pub firmness: Firmness,
    /// Whether it was wetted through after filling.
    pub watered: bool,
}

/// How firmly a layer was filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Firmness {
    /// Nobody says: drawn, for all such layers together.
    #[default]
    Unknown,
    /// Tipped and raked level.
    #[serde(rename = "tipped")]
    Loose,
    /// Firmed by hand.
    Firmed,
    /// Trodden down.
    #[serde(rename = "trodden")]
    Compacted,
}

/// One ingredient of a layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Ingredient {
    /// The material.
    pub material: Material,
    /// How much.
    pub amount: Amount,
    /// State in which the amount was measured.
    pub placement: Placement,
    /// Particle size; m.
    pub particle_size_m: f64,
    /// Water content on arrival, share of the wet mass.
    pub moisture_wet: f64,
    /// Share of the carbon already decayed on arrival.
    pub rotten: f64,
}

/// An amount as measured.
///
/// ```
/// use moulder::{Amount, Ingredient};
///
/// let logs = Ingredient::new("birch log", Amount::DryMassKg(40.0));
/// let soil = Ingredient::new("loamy topsoil", Amount::VolumeM3(0.25));
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Bulk volume, voids included; m3.
    VolumeM3(f64),
    /// Thickness over the whole bed; m.
    ThicknessM(f64),
    /// Mass as it arrived, water included; kg.
    WetMassKg(f64),
    /// Oven-dry mass; kg.
    DryMassKg(f64),
}

/// The state in which a volume or a thickness was measured.
///
/// ```
/// use moulder::{Amount, Ingredient, Placement};
///
/// let leaves = Ingredient::new("deciduous leaves", Amount::VolumeM3(0.3));
/// let trodden = leaves.placement(Placement::Compacted);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
// The schema of bed files holds no Rust.
#[cfg_attr(
    feature = "schema",
    schemars(
        description = "The state in which a volume or a thickness was measured.",
        rename = "Measured"
    )
)]
#[serde(rename_all = "kebab-case")]
pub enum Placement {
    /// Loose, as tipped.
    #[default]
    #[serde(rename = "tipped")]
    Loose,
    /// As it lies in the filled bed.
    #[serde(rename = "in-place")]
    InPlace,
    /// After treading.
    #[serde(rename = "trodden")]
    Compacted,
    /// After a thorough watering.
    #[serde(rename = "watered")]
    Wetted,
}
