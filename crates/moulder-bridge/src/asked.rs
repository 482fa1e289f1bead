//! A checked question.

use moulder::internals::bed::Bed;
use moulder::internals::bed::plan_request::PlanRequest;
use moulder::internals::fault::Faults;
use moulder::internals::library::Library;
use moulder::internals::quantity::units::Units;
use moulder::internals::read::climate_csv::read_record;
use moulder::internals::read::{read_json, read_plan_json, read_plan_toml, read_toml};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::{Date, Error, FaultCode};
use serde_json::value::RawValue;
use serde_json::{Map, Value};

use crate::field::{
    AS_FILLED, BED, BEDS_GIVEN, DEEPER_THAN, DOCUMENT_BYTES, DRAWS, Field, Kind, MATERIALS, PLAN,
    SEED, TODAY, UNITS, Use, WEATHER, whole,
};
use crate::refused::Refused;

/// A question whose fields hold what they may hold.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Asked<'q> {
    pub(crate) fields: &'q Map<String, Value>,
    /// Parts of an ensemble, as they were written.
    pub(crate) parts: &'q [&'q RawValue],
}

impl<'q> Asked<'q> {
    fn get(self, field: &Field) -> Option<&'q Value> {
        self.fields.get(field.name).filter(|value| !value.is_null())
    }

    pub(crate) fn has(self, field: &Field) -> bool {
        self.get(field).is_some()
    }

    pub(crate) fn text(self, field: &Field) -> Option<&'q str> {
        self.get(field).and_then(Value::as_str)
    }

    pub(crate) fn flag(self, field: &Field) -> bool {
        self.get(field).and_then(Value::as_bool).unwrap_or_default()
    }

    pub(crate) fn number(self, field: &Field) -> Option<f64> {
        self.get(field).and_then(Value::as_f64)
    }

    pub(crate) fn whole(self, field: &Field) -> Option<u32> {
        let number = self.get(field).and_then(whole)?;
        u32::try_from(number).ok()
    }

    pub(crate) fn list(self, field: &Field) -> &'q [Value] {
        let list = self.get(field).and_then(Value::as_array);
        list.map_or(&[], Vec::as_slice)
    }

    /// The objects of a list.
    pub(crate) fn objects(self, field: &Field) -> impl Iterator<Item = Asked<'q>> {
        let objects = self.list(field).iter().filter_map(Value::as_object);
        objects.map(|fields| Asked { fields, parts: &[] })
    }

    pub(crate) fn wholes(self, field: &Field) -> Vec<u32> {
        let numbers = self.list(field).iter().filter_map(whole);
        numbers
            .filter_map(|number| u32::try_from(number).ok())
            .collect()
    }

    /// A value of a type that is read from JSON.
    pub(crate) fn value<T: serde::de::DeserializeOwned>(self, field: &Field) -> Option<T> {
        let value = self.get(field)?;
        serde_json::from_value(value.clone()).ok()
    }

    /// The day to take for today; else that one.
    pub(crate) fn today(self, else_on: Date) -> Date {
        let day = self.text(&TODAY).and_then(|text| text.parse().ok());
        day.unwrap_or(else_on)
    }

    /// An ensemble, of that size where none is given.
    pub(crate) fn ensemble(self, usual: u32) -> Realisations {
        Realisations {
            ensemble_size: self.whole(&DRAWS).unwrap_or(usual),
            seed: self.get(&SEED).and_then(whole).unwrap_or(1),
            deeper_than_m: self.number(&DEEPER_THAN),
        }
    }

    /// The built-in library under the asker's own materials.
    pub(crate) fn library(self) -> Result<Library, Refused> {
        let library = Library::built_in();
        match self.text(&MATERIALS) {
            None => Ok(library),
            Some(text) => library
                .with_toml(text)
                .map_err(|error| Refused::of(&error, "/materials")),
        }
    }

    /// The bed.
    pub(crate) fn bed(self) -> Result<Bed, Refused> {
        let library = self.library()?;
        self.bed_of(self.get(&BED).unwrap_or(&Value::Null), "/bed", &library)
    }

    /// The beds; the faults of all of them together.
    pub(crate) fn beds(self) -> Result<Vec<Bed>, Refused> {
        let library = self.library()?;
        let documents = self.list(&BEDS_GIVEN).iter().enumerate();
        let read = documents.map(|(at, bed)| self.bed_of(bed, &format!("/beds/{at}"), &library));
        let mut beds = Vec::new();
        let mut refused = Vec::new();
        for read in read {
            match read {
                Ok(bed) => beds.push(bed),
                Err(more) => refused.push(more),
            }
        }
        let mut refused = refused.into_iter();
        let Some(mut first) = refused.next() else {
            return Ok(beds);
        };
        first.join(refused);
        Err(first)
    }

    /// What is refused of the documents of a question that has other faults.
    pub(crate) fn refused_documents(self, fields: &[Use]) -> Vec<Refused> {
        let holds = |kind: fn(&Kind) -> bool| {
            let mut of_kind = fields.iter().filter(|used| kind(&used.field.kind));
            of_kind.any(|used| match self.get(used.field) {
                Some(Value::Array(list)) => list.iter().all(is_document),
                Some(value) => is_document(value),
                None => false,
            })
        };
        let refused = [
            holds(|kind| matches!(kind, Kind::Bed)).then(|| self.bed().err()),
            holds(|kind| matches!(kind, Kind::Beds { .. })).then(|| self.beds().err()),
            holds(|kind| matches!(kind, Kind::Plan)).then(|| self.plan().err()),
        ];
        refused.into_iter().flatten().flatten().collect()
    }

    /// A bed as the question has it: with the asker's weather, in the asker's units.
    fn bed_of(self, document: &Value, at: &str, library: &Library) -> Result<Bed, Refused> {
        let mut library = library.clone();
        let record = match self.text(&WEATHER).map(read_record).transpose() {
            Ok(record) => record,
            Err(faults) => return Err(Refused::of(&faults.into(), "/weather")),
        };
        // A document that names a file of weather gets the one that came with the question.
        let named = as_value(document).as_ref().and_then(file_of_weather);
        if let (Some(name), Some(record)) = (&named, &record) {
            library = library.with_weather(name, record.clone());
        }
        let mut bed = read(document, &library, read_toml, read_json)
            .map_err(|faults| Refused::of(&faults.into(), at))?;
        if let (None, Some(record)) = (&named, record) {
            bed = bed
                .with_weather(record)
                .map_err(|error| Refused::of(&error, "/weather"))?;
        }
        if let Some(units) = self.units() {
            bed = bed.with_units(units);
        }
        if self.flag(&AS_FILLED) {
            bed = bed.as_filled();
        }
        Ok(bed)
    }

    fn units(self) -> Option<Units> {
        self.value(&UNITS)
    }

    /// The amounts of the bed in the words of its document, by layer and material.
    pub(crate) fn amounts(self) -> Vec<Vec<String>> {
        let document = self.get(&BED).and_then(as_value);
        amounts_of(&document.unwrap_or_default())
    }

    /// The text of the only document of a list, for a page that keeps it.
    pub(crate) fn document_text(self, field: &Field) -> Option<String> {
        match self.list(field) {
            [Value::String(text)] => Some(text.clone()),
            [value] => serde_json::to_string_pretty(value).ok(),
            _ => None,
        }
    }

    /// The plan.
    pub(crate) fn plan(self) -> Result<PlanRequest, Refused> {
        let library = self.library()?;
        let document = self.get(&PLAN).unwrap_or(&Value::Null);
        let plan = read(document, &library, read_plan_toml, read_plan_json)
            .map_err(|faults| Refused::of(&faults.into(), "/plan"))?;
        Ok(match self.units() {
            Some(units) => plan.with_units(units),
            None => plan,
        })
    }
}

/// Whether a value can be a document.
fn is_document(value: &Value) -> bool {
    value.is_object() || value.is_string()
}

/// Reads a document: a text in TOML, or an object.
fn read<T>(
    document: &Value,
    library: &Library,
    toml: impl Fn(&str, &Library) -> Result<T, Faults>,
    json: impl Fn(&str, &Library) -> Result<T, Faults>,
) -> Result<T, Faults> {
    match document {
        Value::String(text) if is_json(text) => json(text, library),
        Value::String(text) => toml(text, library),
        value => json(&with_hyphens(value.clone()).to_string(), library),
    }
}

/// A document with the names of its fields as files have them, and without those that hold null. The
/// owner's own measures keep their names; a name that is there in both ways is left for a fault.
fn with_hyphens(document: Value) -> Value {
    match document {
        Value::Object(fields) => {
            let mut renamed = Map::new();
            for (name, value) in fields.into_iter().filter(|(_, value)| !value.is_null()) {
                let of_file = name.replace('_', "-");
                let value = if name == "measures" {
                    value
                } else {
                    with_hyphens(value)
                };
                let is_new = !renamed.contains_key(&of_file);
                renamed.insert(if is_new { of_file } else { name }, value);
            }
            Value::Object(renamed)
        }
        Value::Array(list) => Value::Array(list.into_iter().map(with_hyphens).collect()),
        other => other,
    }
}

/// Whether the text of a document is JSON; else it is TOML, in which nothing begins so.
fn is_json(text: &str) -> bool {
    text.trim_start_matches('\u{feff}')
        .trim_start()
        .starts_with('{')
}

/// A document as a value, where it is one.
fn as_value(document: &Value) -> Option<Value> {
    match document {
        Value::String(text) if is_json(text) => serde_json::from_str(text).ok(),
        Value::String(text) => toml::from_str(text).ok(),
        value => Some(with_hyphens(value.clone())),
    }
}

/// The amounts of a document in its own words.
fn amounts_of(document: &Value) -> Vec<Vec<String>> {
    let list = |value: Option<&Value>| value.and_then(Value::as_array).cloned().unwrap_or_default();
    let layers = list(document.get("layer"));
    let of_layer = |layer: &Value| {
        let put = list(layer.get("put"));
        let amounts = put
            .iter()
            .map(|put| put.get("amount").and_then(Value::as_str));
        amounts
            .map(|text| text.unwrap_or_default().to_owned())
            .collect()
    };
    layers.iter().map(of_layer).collect()
}

/// The name of the file of weather that a document asks for.
fn file_of_weather(document: &Value) -> Option<String> {
    let file = document.get("weather")?.get("file")?.as_str()?;
    Some(file.to_owned())
}

/// A question that is too large to be read.
pub(crate) fn too_large() -> Refused {
    Refused::plain(
        FaultCode::TooBig,
        format!("a question may hold {} MB", MOST_BYTES / (1024 * 1024)),
    )
}

/// Greatest size of a question; bytes. A thousand beds of the greatest size fill a fraction of it.
pub const MOST_BYTES: usize = 64 * 1024 * 1024;
const _: () = assert!(MOST_BYTES > 200 * DOCUMENT_BYTES);

/// The error of a question that only a part of the beds can be asked.
pub(crate) fn refuse(code: FaultCode, path: &str, found: &str, expected: &str) -> Refused {
    let fault = moulder::Fault::in_value(code, path, found, expected);
    Refused::by(&[fault]).unwrap_or_else(|| Refused::from(Error::Stopped))
}
