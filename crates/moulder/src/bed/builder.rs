//! A bed as a program describes it, in SI, before it is checked.

use std::collections::BTreeMap;

use jiff::civil::Date;
use moulder_core::bed::shape::Shape;

use crate::bed::document::{
    AddedDocument, BedDocument, ClimateDocument, Cover, FedDocument, LayerDocument,
    OutlineDocument, OwnClimateDocument, PutDocument, ReadingDocument, ShapeName, SpotDocument,
    Then, WaterDocument,
};
use crate::bed::{Amount, Boards, Placement, StandsOn};
use crate::library::Library;
use crate::library::climates::Climate;
use crate::library::crop::Crop;
use crate::quantity::units::Units;

/// A quantity in the words of a document: every digit that the number takes.
fn written(value: f64, unit: &str) -> String {
    format!("{value} {unit}")
}

/// A share in the words of a document.
fn percent(share: f64) -> String {
    written(share * 100.0, "%")
}

impl Amount {
    /// The amount in the words of a document.
    fn written(self) -> String {
        match self {
            Self::VolumeM3(m3) => written(m3, "m3"),
            Self::ThicknessM(m) => written(m, "m"),
            Self::WetMassKg(kg) => written(kg, "kg"),
            Self::DryMassKg(kg) => format!("{kg} kg dry"),
        }
    }
}

/// One material of a layer: a name of the library, and how much.
///
/// ```
/// use moulder::{Amount, Ingredient, Placement};
///
/// let prunings = Ingredient::new("woody prunings", Amount::VolumeM3(0.3))
///     .placement(Placement::Compacted)
///     .particle_size_m(0.02)
///     .moisture_share(0.5);
/// ```
#[derive(Debug, Clone, PartialEq)]
#[must_use]
pub struct Ingredient(PutDocument);

impl Ingredient {
    /// So much of a material.
    pub fn new(material: impl Into<String>, amount: Amount) -> Self {
        Self(PutDocument {
            material: material.into(),
            amount: amount.written(),
            ..PutDocument::default()
        })
    }

    /// The state in which a volume or a thickness was measured. When not given: a thickness as it
    /// lies in the filled bed, or loose where the layer was firmed then; a volume loose.
    pub fn placement(mut self, placement: Placement) -> Self {
        self.0.measured = Some(placement);
        self
    }

    /// Size of a piece across its shorter way, the diameter of wood; m. That of the library
    /// when not given.
    pub fn particle_size_m(mut self, size_m: f64) -> Self {
        self.0.across = Some(written(size_m, "m"));
        self
    }

    /// Water on arrival as a share of the wet mass, 0 to 1. That of the library when not given.
    pub fn moisture_share(mut self, share: f64) -> Self {
        self.0.moisture = Some(percent(share));
        self
    }

    /// Share of its carbon lost before it arrived, 0 to 1; none when not given.
    pub fn decayed_share(mut self, share: f64) -> Self {
        self.0.arrived = Some(format!("{} % rotten", share * 100.0));
        self
    }
}

/// A layer: one material, or several mixed.
///
/// ```
/// use moulder::{Amount, Ingredient, Layer};
///
/// let logs = Layer::of("birch log", Amount::ThicknessM(0.30)).named("base");
/// let top = Layer::mixed([
///     Ingredient::new("loamy topsoil", Amount::VolumeM3(0.2)),
///     Ingredient::new("garden compost", Amount::VolumeM3(0.1)),
/// ]);
/// ```
#[derive(Debug, Clone, PartialEq)]
#[must_use]
pub struct Layer(LayerDocument);

impl Layer {
    /// A layer of one material.
    pub fn of(material: impl Into<String>, amount: Amount) -> Self {
        Self::mixed([Ingredient::new(material, amount)])
    }

    /// A layer of several materials, mixed.
    pub fn mixed(ingredients: impl IntoIterator<Item = Ingredient>) -> Self {
        Self(LayerDocument {
            put: ingredients.into_iter().map(|one| one.0).collect(),
            ..LayerDocument::default()
        })
    }

    /// What the owner calls it.
    pub fn named(mut self, name: impl Into<String>) -> Self {
        self.0.name = Some(name.into());
        self
    }

    /// Whether roots live in it; soil when not given.
    pub fn grows(mut self, grows: bool) -> Self {
        self.0.grows = Some(grows);
        self
    }

    /// Tipped and raked level, and no more. How it was filled is uncertain when nothing is given.
    pub fn loose(mut self) -> Self {
        self.0.then.push(Then::Loose);
        self
    }

    /// Firmed by hand once it was in.
    pub fn firmed(mut self) -> Self {
        self.0.then.push(Then::Firmed);
        self
    }

    /// Trodden down once it was in.
    pub fn compacted(mut self) -> Self {
        self.0.then.push(Then::Compacted);
        self
    }

    /// Watered through once it was in.
    pub fn wetted(mut self) -> Self {
        self.0.then.push(Then::Wetted);
        self
    }
}

/// A tape measure reading of the surface.
///
/// ```
/// use moulder::{Reading, date};
///
/// let reading = Reading::below_rim_m(date(2026, 9, 14), 0.30).give_or_take_m(0.01);
/// ```
#[derive(Debug, Clone, PartialEq)]
#[must_use]
pub struct Reading(pub(crate) ReadingDocument);

impl Reading {
    /// How far the surface lay below the rim on a day; m.
    pub fn below_rim_m(on: Date, depth_m: f64) -> Self {
        Self(ReadingDocument {
            on: on.to_string(),
            below_rim: Some(written(depth_m, "m")),
            ..ReadingDocument::default()
        })
    }

    /// How high the surface lay above the ground beside the bed on a day; m.
    pub fn height_m(on: Date, height_m: f64) -> Self {
        Self(ReadingDocument {
            on: on.to_string(),
            height: Some(written(height_m, "m")),
            ..ReadingDocument::default()
        })
    }

    /// How far the tape measure may be off: half of the 80 % interval of its error; m. By the
    /// way it was read when not given.
    pub fn give_or_take_m(mut self, error_m: f64) -> Self {
        self.0.give_or_take = Some(written(error_m, "m"));
        self
    }

    /// Anything worth remembering.
    pub fn note(mut self, note: impl Into<String>) -> Self {
        self.0.note = Some(note.into());
        self
    }
}

/// Material added on a later day.
///
/// ```
/// use moulder::{Addition, Amount, date};
///
/// let compost = Addition::new(date(2027, 3, 1), "garden compost", Amount::VolumeM3(0.1));
/// ```
#[derive(Debug, Clone, PartialEq)]
#[must_use]
pub struct Addition(pub(crate) AddedDocument);

impl Addition {
    /// So much of a material on a day.
    pub fn new(on: Date, material: impl Into<String>, amount: Amount) -> Self {
        Self::of(on, Ingredient::new(material, amount))
    }

    /// An ingredient on a day.
    pub fn of(on: Date, ingredient: Ingredient) -> Self {
        let PutDocument {
            material,
            amount,
            measured,
            across,
            moisture,
            arrived,
        } = ingredient.0;
        Self(AddedDocument {
            on: on.to_string(),
            material,
            amount,
            measured,
            across,
            moisture,
            arrived,
            note: None,
        })
    }
}

/// Irrigation in a season of the year, and what covers the bed.
///
/// ```
/// use moulder::Irrigation;
/// use moulder::document::Cover;
///
/// let summer = Irrigation::litres_per_week(20.0).months(5, 9).cover(Cover::Fleece);
/// ```
#[derive(Debug, Clone, PartialEq)]
#[must_use]
pub struct Irrigation(pub(crate) WaterDocument);

impl Irrigation {
    /// So many litres a week of the season, spread over the whole bed.
    pub fn litres_per_week(litres: f64) -> Self {
        Self(WaterDocument {
            irrigation: Some(written(litres, "L")),
            ..WaterDocument::default()
        })
    }

    /// First and last month of the season, 1 to 12; over the turn of the year where the last
    /// comes before the first. The growing season of its latitude when not given.
    pub fn months(mut self, first: u8, last: u8) -> Self {
        (self.0.from, self.0.to) = (Some(first), Some(last));
        self
    }

    /// What lies over the bed all year; nothing when not given.
    pub fn cover(mut self, cover: Cover) -> Self {
        self.0.cover = Some(cover);
        self
    }
}

/// Describes a bed in SI; [`build`](Self::build) checks it.
///
/// ```
/// use moulder::{Amount, Bed, Crop, Irrigation, Layer, Shape, date};
///
/// let bag = Shape::Bag { width_m: 0.9, length_m: 0.9, bulged: 0.3 };
/// let bed = Bed::builder(bag, date(2026, 3, 14))
///     .name("bag by the gate")
///     .rim_m(0.9)
///     .climate("Cambridge UK")
///     .irrigation(Irrigation::litres_per_week(20.0))
///     .crop(Crop::Hungry)
///     .layer(Layer::of("woody prunings", Amount::VolumeM3(0.3)))
///     .layer(Layer::of("loamy topsoil", Amount::VolumeM3(0.3)))
///     .build()?;
/// assert_eq!(bed.rim_m(), Some(0.9));
///
/// // All that is wrong is reported together.
/// let error = Bed::builder(bag, date(2026, 3, 14)).rim_m(-3.0).build().unwrap_err();
/// assert!(error.faults().len() > 1);
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
#[must_use]
pub struct BedBuilder {
    pub(crate) document: BedDocument,
    pub(crate) library: Library,
}

impl BedBuilder {
    /// A bed of that outline, filled on that day.
    pub(crate) fn new(shape: Shape, filled: Date) -> Self {
        let document = BedDocument {
            format: 1,
            name: None,
            filled: filled.to_string(),
            climate: ClimateDocument::Place(String::new()),
            units: None,
            count: None,
            bed: outline(shape),
            measures: BTreeMap::new(),
            layer: Vec::new(),
            weather: None,
            water: None,
            crop: None,
            fed: Vec::new(),
            seen: Vec::new(),
            reading: Vec::new(),
            added: Vec::new(),
        };
        Self {
            document,
            library: Library::built_in(),
        }
    }

    /// What the owner calls it.
    pub fn name(mut self, name: impl Into<String>) -> Self {
        self.document.name = Some(name.into());
        self
    }

    /// The library that its materials and its climate are looked up in; the built-in one when
    /// not given.
    pub fn library(mut self, library: &Library) -> Self {
        self.library = library.clone();
        self
    }

    /// The climate of the library it stands in, by name: of a station on the list, or of a town.
    pub fn climate(mut self, name: impl Into<String>) -> Self {
        self.document.climate = ClimateDocument::Place(name.into());
        self
    }

    /// A climate of its own: monthly normals.
    pub fn own_climate(mut self, climate: &Climate) -> Self {
        self.document.climate = climate_document(climate);
        self
    }

    /// The climate estimated where it stands: degrees north and east, and height above the sea
    /// in m where it is known.
    pub fn climate_at(mut self, at: [f64; 2], height_m: Option<f64>) -> Self {
        self.document.climate = ClimateDocument::At(SpotDocument {
            at,
            height: height_m.map(|height_m| written(height_m, "m")),
            name: None,
        });
        self
    }

    /// The units the owner thinks in; metric when not given.
    pub fn units(mut self, units: Units) -> Self {
        self.document.units = Some(units);
        self
    }

    /// How many beds like it there are; one when not given.
    pub fn count(mut self, count: u32) -> Self {
        self.document.count = Some(count);
        self
    }

    /// Height of the rim above the ground; m. Every outline but a mound needs one.
    pub fn rim_m(mut self, rim_m: f64) -> Self {
        self.document.bed.rim = Some(written(rim_m, "m"));
        self
    }

    /// Depth dug out below the ground; m, none when not given. It is the upright part of a mound,
    /// whatever its shape said.
    pub fn trench_m(mut self, trench_m: f64) -> Self {
        self.document.bed.trench = Some(written(trench_m, "m"));
        self
    }

    /// What is below it: cautions depend on it.
    pub fn stands_on(mut self, stands_on: StandsOn) -> Self {
        self.document.bed.stands_on = Some(stands_on);
        self
    }

    /// Whether it stands against the wall of a building: cautions depend on it.
    pub fn near_wall(mut self, near_wall: bool) -> Self {
        self.document.bed.near_wall = Some(near_wall);
        self
    }

    /// What its boards are: cautions depend on it.
    pub fn boards(mut self, boards: Boards) -> Self {
        self.document.bed.boards = Some(boards);
        self
    }

    /// The next layer, from the ground up.
    pub fn layer(mut self, layer: Layer) -> Self {
        self.document.layer.push(layer.0);
        self
    }

    /// Irrigation and cover; rain alone when not given.
    pub fn irrigation(mut self, irrigation: Irrigation) -> Self {
        self.document.water = Some(irrigation.0);
        self
    }

    /// What grows on it; hungry crops when not given.
    pub fn crop(mut self, crop: Crop) -> Self {
        self.document.crop = Some(crop);
        self
    }

    /// Feed on a later day: nitrogen that plants can take at once; kg.
    pub fn fed(mut self, on: Date, nitrogen_kg: f64) -> Self {
        self.document.fed.push(FedDocument {
            on: on.to_string(),
            nitrogen: written(nitrogen_kg, "kg"),
            feed: None,
        });
        self
    }

    /// A tape measure reading.
    pub fn reading(mut self, reading: Reading) -> Self {
        self.document.reading.push(reading.0);
        self
    }

    /// Material added on a later day.
    pub fn addition(mut self, addition: Addition) -> Self {
        self.document.added.push(addition.0);
        self
    }

    /// The document that it comes to, which can be written to a file.
    #[must_use]
    pub fn document(&self) -> &BedDocument {
        &self.document
    }
}

/// A climate in the words of a document: an estimated one by its place, which gives it again.
pub(crate) fn climate_document(climate: &Climate) -> ClimateDocument {
    if let Some(estimate) = &climate.estimate {
        return ClimateDocument::At(SpotDocument {
            at: [climate.latitude_deg, estimate.longitude_deg],
            height: Some(written(estimate.height_m, "m")),
            name: Some(climate.name.clone()),
        });
    }
    ClimateDocument::Own(OwnClimateDocument {
        name: Some(climate.name.clone()),
        latitude: climate.latitude_deg,
        high: climate.high_c.to_vec(),
        low: climate.low_c.to_vec(),
        rain: climate.rain_mm.to_vec(),
    })
}

/// An outline in the words of a document.
fn outline(shape: Shape) -> OutlineDocument {
    let m = |value: f64| Some(written(value, "m"));
    match shape {
        Shape::Box { width_m, length_m } => OutlineDocument {
            shape: ShapeName::Box,
            width: m(width_m),
            length: m(length_m),
            ..OutlineDocument::default()
        },
        Shape::Round { diameter_m } => OutlineDocument {
            shape: ShapeName::Round,
            across: m(diameter_m),
            ..OutlineDocument::default()
        },
        Shape::Bag {
            width_m,
            length_m,
            bulged,
        } => OutlineDocument {
            shape: ShapeName::Bag,
            width: m(width_m),
            length: m(length_m),
            bulged: Some(percent(bulged)),
            ..OutlineDocument::default()
        },
        Shape::Mound {
            width_m,
            length_m,
            slope_deg,
            upright_m,
        } => OutlineDocument {
            shape: ShapeName::Mound,
            width: m(width_m),
            length: m(length_m),
            slope: Some(written(slope_deg, "deg")),
            trench: m(upright_m).filter(|_| upright_m != 0.0),
            ..OutlineDocument::default()
        },
    }
}
