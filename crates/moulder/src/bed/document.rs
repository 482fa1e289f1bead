//! The bed file as a value, for programs that write or hold one.
//!
//! Quantities are texts, as in a file; nothing is checked until [`BedDocument::check`].

use std::collections::BTreeMap;

#[cfg(feature = "schema")]
use schemars::Schema;
use serde::{Deserialize, Serialize};

use crate::bed::{Boards, Placement, StandsOn};
use crate::library::crop::Crop;
use crate::quantity::units::Units;

/// A bed file, form 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct BedDocument {
    /// Version of the form: 1.
    #[cfg_attr(feature = "schema", schemars(range(min = 1, max = 1)))]
    pub format: u32,
    /// What the owner calls the bed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The day it was filled, as YYYY-MM-DD; from 1900 to 2200.
    pub filled: String,
    /// The climate it stands in.
    pub climate: ClimateDocument,
    /// The units that answers come in; metric when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub units: Option<Units>,
    /// How many beds like it there are; one when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// The outline.
    pub bed: OutlineDocument,
    /// What the owner's own measures hold: a volume by name.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub measures: BTreeMap<String, String>,
    /// The layers from the ground up.
    pub layer: Vec<LayerDocument>,
    /// Weather that was measured; all is drawn about the climate when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weather: Option<WeatherDocument>,
    /// Watering and cover; rain alone when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water: Option<WaterDocument>,
    /// What grows on it; hungry when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crop: Option<Crop>,
    /// Feed that was or will be given.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fed: Vec<FedDocument>,
    /// Codes of the notices that the owner has seen to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub seen: Vec<String>,
    /// What a tape said later.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reading: Vec<ReadingDocument>,
    /// What was put in later.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub added: Vec<AddedDocument>,
}

/// A climate: the name of a place, its degrees, or twelve months of the owner's own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(untagged)]
pub enum ClimateDocument {
    /// The name of a place on the list, or of a town.
    Place(String),
    /// Where the bed stands.
    At(SpotDocument),
    /// Months of the owner's own.
    Own(OwnClimateDocument),
}

/// A place by its degrees.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct SpotDocument {
    /// Degrees north and east; south and west negative.
    pub at: [f64; 2],
    /// Height above the sea; that of the nearest town, or of the land around, when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<String>,
    /// Name of the place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
}

/// Twelve months of the owner's own, January first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct OwnClimateDocument {
    /// Name of the place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Degrees, south negative.
    pub latitude: f64,
    /// Mean daily high of each month; degrees Celsius.
    pub high: Vec<f64>,
    /// Mean daily low of each month; degrees Celsius.
    pub low: Vec<f64>,
    /// Rain of each month; mm.
    pub rain: Vec<f64>,
}

/// The outline of a bed.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct OutlineDocument {
    /// What holds the filling.
    pub shape: ShapeName,
    /// Width of a box, bag or mound ("90 cm").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<String>,
    /// Length of a box, bag or mound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<String>,
    /// Diameter of a round bed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub across: Option<String>,
    /// Height of the rim above the ground; not for a mound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rim: Option<String>,
    /// Depth dug out below the ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trench: Option<String>,
    /// How far a bag had bulged when heights were taken ("30 %").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bulged: Option<String>,
    /// Slope of a mound's sides ("40 deg").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slope: Option<String>,
    /// What is below the bed; cautions ask for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stands_on: Option<StandsOn>,
    /// Whether it stands against the wall of a building; cautions ask for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub near_wall: Option<bool>,
    /// What its boards are; not for a bag or a mound. Cautions ask for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boards: Option<Boards>,
}

/// What holds the filling.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ShapeName {
    /// Upright walls on a rectangle.
    #[default]
    Box,
    /// Upright walls on a circle.
    Round,
    /// A cloth bag.
    Bag,
    /// A heap with sloping sides.
    Mound,
}

/// Feed given on a day.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct FedDocument {
    /// The day, as YYYY-MM-DD.
    pub on: String,
    /// Nitrogen in it that plants can take at once ("10 g").
    pub nitrogen: String,
    /// Nitrogen in the feed, by weight ("13 %").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feed: Option<String>,
}

/// One layer.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct LayerDocument {
    /// What the owner calls it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Whether roots live here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grows: Option<bool>,
    /// What was put in, all of it mixed.
    pub put: Vec<PutDocument>,
    /// What was done to the layer once it was in; unknown when not given.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub then: Vec<Then>,
}

/// What can be done to a layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Then {
    /// Nothing: tipped and raked level.
    #[serde(rename = "tipped")]
    Loose,
    /// Firmed by hand.
    #[serde(rename = "firmed")]
    Firmed,
    /// Trodden down.
    #[serde(rename = "trodden")]
    Compacted,
    /// Watered through.
    #[serde(rename = "watered")]
    Wetted,
}

/// One material of a layer.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct PutDocument {
    /// A material on the shelf.
    pub material: String,
    /// A volume, a thickness, or a weight ("3 barrow", "30 cm", "40 kg", "12 kg dry").
    pub amount: String,
    /// The state in which a volume or thickness was measured. When not given: a thickness as it
    /// lies in the filled bed, or tipped where the layer was firmed then; a volume tipped.
    #[serde(default, rename = "as", skip_serializing_if = "Option::is_none")]
    pub measured: Option<Placement>,
    /// Size of a piece across its shorter way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub across: Option<String>,
    /// Water on arrival: "fresh", "dry", "wet", or a percentage of the wet weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture: Option<String>,
    /// How far it had rotted: "sound", "half-rotten", or "30 % rotten".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arrived: Option<String>,
}

/// Watering and cover.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct WaterDocument {
    /// Water given in a week of the season ("20 L"); nothing when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub irrigation: Option<String>,
    /// First month of watering; May in the north, November in the south when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(range(min = 1, max = 12)))]
    pub from: Option<u8>,
    /// Last month of watering, which may lie before the first; September in the north,
    /// March in the south when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(range(min = 1, max = 12)))]
    pub to: Option<u8>,
    /// What lies over the bed all year; open when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cover: Option<Cover>,
}

/// Weather that was measured, and how drying is worked out.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct WeatherDocument {
    /// Name of a CSV file of days, which a library must hold (`Library::with_weather`); all days
    /// are generated when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// How evapotranspiration is computed; as FAO-56 advises when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub evapotranspiration: Option<Evapotranspiration>,
}

/// Reference evapotranspiration from temperatures alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Evapotranspiration {
    /// Penman-Monteith with the dew point at the low and 2 m/s of wind.
    #[serde(rename = "fao-56")]
    Fao56,
    /// Hargreaves's.
    Hargreaves,
}

/// What lies over a bed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Cover {
    /// Nothing.
    Open,
    /// Garden fleece, which lets most of the rain through.
    Fleece,
    /// A sheet, which lets hardly any through.
    Sheet,
}

/// One tape reading.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct ReadingDocument {
    /// The day, as YYYY-MM-DD.
    pub on: String,
    /// From the rim down to the soil, with a minus where it stands above; this or the height.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub below_rim: Option<String>,
    /// From the ground up to the soil.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<String>,
    /// How far the tape may be off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub give_or_take: Option<String>,
    /// Anything worth remembering.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// One later addition.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct AddedDocument {
    /// The day, as YYYY-MM-DD.
    pub on: String,
    /// A material on the shelf.
    pub material: String,
    /// How much, as for a layer.
    pub amount: String,
    /// The state in which a volume or thickness was measured. When not given: a thickness as it
    /// lies, a volume tipped.
    #[serde(default, rename = "as", skip_serializing_if = "Option::is_none")]
    pub measured: Option<Placement>,
    /// Size of a piece across its shorter way; that on the shelf when not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub across: Option<String>,
    /// Water on arrival: fresh, dry, wet, or a percentage of the wet weight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture: Option<String>,
    /// How far it had rotted before: sound, half-rotten, or "30 % rotten".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arrived: Option<String>,
    /// Anything worth remembering.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

#[cfg(feature = "schema")]
/// The JSON Schema (2020-12) of a bed file.
#[must_use]
pub fn schema() -> Schema {
    schemars::schema_for!(BedDocument)
}

#[cfg(test)]
#[cfg(feature = "schema")]
mod tests {
    use std::collections::BTreeSet;

    use serde_json::Value;

    use super::*;
    use crate::bed::{Amount, Firmness};
    use crate::fault::{FaultCode, Place};
    use crate::library::Library;
    use crate::library::weather_record::{MeasuredDay, WeatherRecord};
    use crate::read::field::{Need, SECTIONS};

    /// The library with the weather that the document names.
    fn library() -> Library {
        let dry = MeasuredDay {
            rain_mm: Some(0.0),
            ..MeasuredDay::default()
        };
        let record = WeatherRecord::new([(jiff::civil::date(2026, 3, 14), dry)]).unwrap();
        crate::support::library().with_weather("by the shed.csv", record)
    }

    /// A document that sets every field a bag can have.
    fn full() -> BedDocument {
        BedDocument {
            format: 1,
            name: Some("Bag by the gate".into()),
            filled: "2026-03-14".into(),
            climate: ClimateDocument::Own(OwnClimateDocument {
                name: Some("Our valley".into()),
                latitude: 52.2,
                high: vec![15.0; 12],
                low: vec![5.0; 12],
                rain: vec![50.0; 12],
            }),
            units: Some(Units::UkGarden),
            count: Some(3),
            bed: OutlineDocument {
                shape: ShapeName::Bag,
                width: Some("90 cm".into()),
                length: Some("90 cm".into()),
                rim: Some("90 cm".into()),
                trench: Some("10 cm".into()),
                bulged: Some("30 %".into()),
                stands_on: Some(StandsOn::Paving),
                near_wall: Some(true),
                ..OutlineDocument::default()
            },
            measures: [("bucket".to_owned(), "14 L".to_owned())].into(),
            layer: vec![LayerDocument {
                name: Some("base".into()),
                grows: Some(true),
                put: vec![PutDocument {
                    material: "birch log".into(),
                    amount: "3 buckets".into(),
                    measured: Some(Placement::Compacted),
                    across: Some("12 cm".into()),
                    moisture: Some("40 %".into()),
                    arrived: Some("half-rotten".into()),
                }],
                then: vec![Then::Compacted, Then::Wetted],
            }],
            weather: Some(WeatherDocument {
                file: Some("by the shed.csv".into()),
                evapotranspiration: Some(Evapotranspiration::Hargreaves),
            }),
            water: Some(WaterDocument {
                irrigation: Some("1 bucket".into()),
                from: Some(4),
                to: Some(10),
                cover: Some(Cover::Fleece),
            }),
            crop: Some(Crop::Modest),
            fed: vec![FedDocument {
                on: "2026-05-10".into(),
                nitrogen: "10 g".into(),
                feed: Some("13 %".into()),
            }],
            seen: vec!["wall-contact".into()],
            reading: vec![ReadingDocument {
                on: "2026-06-14".into(),
                below_rim: Some("17 cm".into()),
                give_or_take: Some("1 cm".into()),
                note: Some("after rain".into()),
                ..ReadingDocument::default()
            }],
            added: vec![AddedDocument {
                on: "2026-09-20".into(),
                material: "turf".into(),
                amount: "60 L".into(),
                measured: Some(Placement::Loose),
                across: Some("8 cm".into()),
                moisture: Some("fresh".into()),
                arrived: Some("sound".into()),
                note: Some("bagged".into()),
            }],
        }
    }

    #[test]
    #[expect(
        clippy::float_cmp,
        reason = "units are ratios of whole numbers, so these are exact"
    )]
    fn a_full_document_is_a_bed() {
        let bed = full().check(&library()).unwrap();
        assert_eq!(bed.name, "Bag by the gate");
        assert_eq!(bed.climate.name, "Our valley");
        assert_eq!(bed.units, Units::UkGarden);
        assert_eq!(bed.trench_m, 0.1);
        assert_eq!(bed.stands_on, Some(StandsOn::Paving));
        assert_eq!((bed.near_wall, bed.boards), (Some(true), None));
        assert_eq!(bed.seen, ["wall-contact"]);
        let put = &bed.layers[0].put[0];
        assert_eq!(put.amount, Amount::VolumeM3(3.0 * 0.014));
        assert_eq!(put.placement, Placement::Compacted);
        assert_eq!(
            (put.particle_size_m, put.moisture_wet, put.rotten),
            (0.12, 0.4, 0.5)
        );
        assert!(bed.layers[0].firmness == Firmness::Compacted && bed.layers[0].watered);
        assert_eq!(bed.weather_record().unwrap().last(), bed.filled());
        assert_eq!(
            bed.weather.eto_by,
            moulder_core::weather::EtoMethod::Hargreaves
        );
        let watering = bed.irrigation.unwrap();
        assert_eq!((watering.from, watering.to), (4, 10));
        assert_eq!((watering.litres_per_week, watering.rain_share), (14.0, 0.7));
    }

    #[test]
    fn a_document_reads_back_and_reads_the_same_as_its_text() {
        let text = serde_json::to_string(&full()).unwrap();
        assert_eq!(serde_json::from_str::<BedDocument>(&text).unwrap(), full());
        assert_eq!(
            crate::read::read_json(&text, &library()),
            full().check(&library())
        );
        let toml = toml::to_string(&full()).unwrap();
        assert_eq!(
            crate::read::read_toml(&toml, &library()),
            full().check(&library())
        );
    }

    #[test]
    fn faults_are_placed_by_pointer() {
        let mut document = full();
        document.layer[0].put[0].material = "brich log".into();
        let faults = document.check(&library()).unwrap_err();
        assert_eq!(faults.as_slice().len(), 1);
        let fault = &faults.as_slice()[0];
        assert_eq!(fault.code, FaultCode::UnknownMaterial);
        assert_eq!(
            fault.place,
            Place::Pointer {
                pointer: "/layer/0/put/0/material".into()
            }
        );
    }

    /// The table of fields and the schema have the same fields and require the same ones.
    #[test]
    fn the_schema_and_the_walk_agree() {
        let schema = schema().to_value();
        let object = |name: &str| -> Value {
            match name {
                "" => schema.clone(),
                "climate" => schema["$defs"]["OwnClimateDocument"].clone(),
                "climate at" => schema["$defs"]["SpotDocument"].clone(),
                "bed" => schema["$defs"]["OutlineDocument"].clone(),
                "layer" => schema["$defs"]["LayerDocument"].clone(),
                "put" => schema["$defs"]["PutDocument"].clone(),
                "weather" => schema["$defs"]["WeatherDocument"].clone(),
                "water" => schema["$defs"]["WaterDocument"].clone(),
                "fed" => schema["$defs"]["FedDocument"].clone(),
                "reading" => schema["$defs"]["ReadingDocument"].clone(),
                "added" => schema["$defs"]["AddedDocument"].clone(),
                other => unreachable!("no section {other}"),
            }
        };
        for section in SECTIONS {
            let object = object(section.name);
            let described: BTreeSet<&str> = object["properties"]
                .as_object()
                .unwrap()
                .keys()
                .map(String::as_str)
                .collect();
            let walked: BTreeSet<&str> = section.fields.iter().map(|field| field.name).collect();
            assert_eq!(described, walked, "{}", section.in_words);
            let needed: BTreeSet<&str> = object["required"]
                .as_array()
                .into_iter()
                .flatten()
                .map(|name| name.as_str().unwrap())
                .collect();
            let required: BTreeSet<&str> = section
                .fields
                .iter()
                .filter(|field| field.need == Need::Required)
                .map(|field| field.name)
                .collect();
            assert_eq!(needed, required, "{}", section.in_words);
            assert_eq!(object["additionalProperties"], false);
        }
    }
}
