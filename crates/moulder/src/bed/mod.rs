//! A bed that has been read and checked: SI units, names resolved, nothing left to doubt.

pub mod builder;
pub mod document;
pub mod plan_request;

use jiff::civil::Date;
use moulder_core::bed::shape::Shape;

use crate::fault::notice::{DefaultUsed, Notice};
use crate::library::climates::Climate;
use crate::library::crop::Crop;
use crate::library::material::{Class, Material};
use crate::quantity::units::Units;

/// A checked bed: every figure in it lies within its stated range.
///
/// It is made by [`Bed::builder`], or read from a document by [`Bed::from_toml`],
/// [`Bed::from_json`] and [`Bed::from_document`].
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
    /// What the owner calls it.
    pub(crate) name: String,
    /// The day it was filled: day zero of every forecast.
    pub(crate) filled: Date,
    /// The climate it stands in.
    pub(crate) climate: Climate,
    /// The units the owner thinks in.
    pub(crate) units: Units,
    /// How many beds like it there are.
    pub(crate) count: u32,
    /// Its outline.
    pub(crate) shape: Shape,
    /// Height of the rim above the ground; m. A mound has none.
    pub(crate) rim_m: Option<f64>,
    /// Depth of the trench the bed starts in; m, 0 on level ground.
    pub(crate) trench_m: f64,
    /// What is below it, where the document says so.
    pub(crate) stands_on: Option<StandsOn>,
    /// Whether it stands against the wall of a building, where the document says so.
    pub(crate) near_wall: Option<bool>,
    /// What its boards are, where the document says so.
    pub(crate) boards: Option<Boards>,
    /// Layers from the ground up.
    pub(crate) layers: Vec<Layer>,
    /// What the owner waters and what is laid over it; none where rain alone falls on it.
    pub(crate) irrigation: Option<Irrigation>,
    /// What grows on it.
    pub(crate) crop: Crop,
    /// Nitrogen given to it later, in order of date.
    pub(crate) fed: Vec<Feed>,
    /// What was laid on it later, in order of date; of one day, in the order of the file.
    pub(crate) additions: Vec<Addition>,
    /// What a tape said later, in order of date; of one day, in the order of the file.
    pub(crate) readings: Vec<Reading>,
    /// What was assumed where the document is silent.
    pub(crate) defaults: Vec<DefaultUsed>,
    /// Codes of the notices that the owner has seen to.
    pub(crate) seen: Vec<&'static str>,
    /// What a reader should know about the document.
    pub(crate) notices: Vec<Notice>,
}

impl Bed {
    /// What the owner calls it.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The day it was filled: day zero of every forecast.
    #[must_use]
    pub const fn filled(&self) -> Date {
        self.filled
    }

    /// The climate it stands in.
    #[must_use]
    pub fn climate(&self) -> &Climate {
        &self.climate
    }

    /// The units the owner thinks in.
    #[must_use]
    pub const fn units(&self) -> Units {
        self.units
    }

    /// How many beds like it there are.
    #[must_use]
    pub const fn count(&self) -> u32 {
        self.count
    }

    /// Its outline.
    #[must_use]
    pub const fn shape(&self) -> Shape {
        self.shape
    }

    /// Height of the rim above the ground; m. A mound has none.
    #[must_use]
    pub const fn rim_m(&self) -> Option<f64> {
        self.rim_m
    }

    /// Depth of the trench the bed starts in; m, 0 on level ground.
    #[must_use]
    pub const fn trench_m(&self) -> f64 {
        self.trench_m
    }

    /// What is below it, where that is known.
    #[must_use]
    pub const fn stands_on(&self) -> Option<StandsOn> {
        self.stands_on
    }

    /// Whether it stands against the wall of a building, where that is known.
    #[must_use]
    pub const fn near_wall(&self) -> Option<bool> {
        self.near_wall
    }

    /// What its boards are, where that is known.
    #[must_use]
    pub const fn boards(&self) -> Option<Boards> {
        self.boards
    }

    /// Its layers from the ground up.
    #[must_use]
    pub fn layers(&self) -> &[Layer] {
        &self.layers
    }

    /// Irrigation and cover; none where rain alone falls on it.
    #[must_use]
    pub const fn irrigation(&self) -> Option<Irrigation> {
        self.irrigation
    }

    /// What grows on it.
    #[must_use]
    pub const fn crop(&self) -> Crop {
        self.crop
    }

    /// Nitrogen given to it later, in order of date.
    #[must_use]
    pub fn fed(&self) -> &[Feed] {
        &self.fed
    }

    /// What was added later, in order of date.
    #[must_use]
    pub fn additions(&self) -> &[Addition] {
        &self.additions
    }

    /// Its tape measure readings, in order of date.
    #[must_use]
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    /// What was assumed where the document is silent.
    #[must_use]
    pub fn defaults(&self) -> &[DefaultUsed] {
        &self.defaults
    }

    /// Codes of the notices that the owner has acknowledged.
    #[must_use]
    pub fn seen(&self) -> &[&'static str] {
        &self.seen
    }

    /// What a reader should know about the document.
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

/// Changes of a checked bed that nobody checks again: for the program's own crates and tests.
pub trait EditBed {
    /// All fields, for whatever is to be changed.
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
            name: &mut self.name,
            filled: &mut self.filled,
            count: &mut self.count,
            climate: &mut self.climate,
            units: &mut self.units,
            shape: &mut self.shape,
            layers: &mut self.layers,
            irrigation: &mut self.irrigation,
            crop: &mut self.crop,
            fed: &mut self.fed,
            additions: &mut self.additions,
            readings: &mut self.readings,
        }
    }
}

/// Water from the owner's hand, and how much rain a cover lets through.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Irrigation {
    /// Water given in a week of the season, spread over the whole bed; L.
    pub litres_per_week: f64,
    /// First month of the season, 1 to 12.
    pub from: u8,
    /// Last month of the season, 1 to 12; before the first, the season runs over the
    /// turn of the year.
    pub to: u8,
    /// Share of the rain that reaches the bed, all year; 0 to 1.
    pub rain_share: f64,
}

impl Irrigation {
    /// Whether a month (1 to 12) is in the season.
    ///
    /// ```
    /// use moulder::internals::bed::Irrigation;
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

/// What was laid on a bed on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Addition {
    /// The day.
    pub on: Date,
    /// What it was.
    pub ingredient: Ingredient,
}

impl Addition {
    /// The layer it makes: roots go on living in it where it is soil.
    #[must_use]
    pub fn layer(&self) -> Layer {
        Layer {
            name: format!("{}, added {}", self.ingredient.material.name, self.on),
            grows: self.ingredient.material.class == Class::Soil,
            put: vec![self.ingredient.clone()],
            trodden: false,
            watered: false,
        }
    }
}

/// What a tape said on a day, before anything was laid on that day.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The day.
    pub on: Date,
    /// Height of the surface over the ground beside the bed; m. What was read from the rim
    /// down is told from the ground up.
    pub height_m: f64,
    /// How far the tape may be off, where the document says so; m.
    pub give_or_take_m: Option<f64>,
    /// What the owner noted.
    pub note: Option<String>,
}

/// Nitrogen given on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feed {
    /// The day.
    pub on: Date,
    /// Nitrogen in it that plants can take at once; kg.
    pub nitrogen_kg: f64,
}

/// What is below a bed.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
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
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
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
    /// What the owner calls it.
    pub name: String,
    /// Whether roots live here.
    pub grows: bool,
    /// What was put in, all of it mixed.
    pub put: Vec<Ingredient>,
    /// Whether the layer was trodden once it was in.
    pub trodden: bool,
    /// Whether the layer was watered through once it was in.
    pub watered: bool,
}

/// One material in a layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Ingredient {
    /// The material, with all its numbers.
    pub material: Material,
    /// How much.
    pub amount: Amount,
    /// In which state the amount was measured.
    pub placement: Placement,
    /// Size of a piece across its shorter way; m.
    pub particle_size_m: f64,
    /// Water on arrival, share of the wet mass.
    pub moisture_wet: f64,
    /// Share of the carbon already gone on arrival.
    pub rotten: f64,
}

/// An amount as measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Bulk volume, gaps included; m3.
    VolumeM3(f64),
    /// Thickness over the whole bed; m.
    ThicknessM(f64),
    /// Mass as it arrived, water included; kg.
    WetMassKg(f64),
    /// Oven-dry mass; kg.
    DryMassKg(f64),
}

/// The state in which a volume or a thickness was measured.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Default,
    serde::Serialize,
    serde::Deserialize,
    schemars::JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Placement {
    /// Loose, as tipped.
    #[default]
    #[serde(rename = "tipped")]
    Loose,
    /// After treading.
    #[serde(rename = "trodden")]
    Compacted,
    /// After a thorough watering.
    #[serde(rename = "watered")]
    Wetted,
}
