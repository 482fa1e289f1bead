//! A bed file with the files that go with it: found, read whole, and checked.

use std::path::{Path, PathBuf};

use moulder::internals::bed::Bed;
use moulder::internals::fault::FaultCode;
use moulder::internals::read::climate_csv::read_csv;
use moulder::internals::read::{read_json, read_toml};
use moulder::internals::text::limit::{FILE_BYTES, WEATHER_BYTES};
use serde_json::Value;

use crate::arguments::BedArguments;
use crate::complaint::Complaint;
use crate::output::safe_stem;
use crate::refusal::Refusal;
use crate::shelf;
use crate::text_file::TextFile;
use crate::trouble::Trouble;

impl BedArguments {
    /// The files that are read.
    pub(crate) fn paths(&self) -> Vec<&Path> {
        let others = self.shelf.shelf.iter().chain(&self.weather);
        std::iter::once(&self.bed)
            .chain(others)
            .map(AsRef::as_ref)
            .collect()
    }
}

/// A bed file as text.
#[derive(Debug)]
pub(crate) struct BedFile {
    /// Its name and what it says.
    pub(crate) file: TextFile,
    /// Whether it is JSON; else it is TOML.
    json: bool,
}

impl BedFile {
    /// Reads a file, or what is piped in for "-".
    pub(crate) fn open(path: &Path) -> Result<Self, Trouble> {
        let file = if path.as_os_str() == "-" {
            TextFile::piped(FILE_BYTES)?
        } else {
            TextFile::open(path, FILE_BYTES)?
        };
        let ending = path
            .extension()
            .map(|ending| ending.to_string_lossy().to_lowercase());
        let json = match ending.as_deref() {
            Some("toml") => false,
            Some("json") => true,
            _ => file
                .text
                .trim_start_matches(['\u{feff}', ' ', '\t', '\r', '\n'])
                .starts_with('{'),
        };
        Ok(Self { file, json })
    }

    /// Whether it is JSON.
    pub(crate) const fn is_json(&self) -> bool {
        self.json
    }

    /// Checks the bed that the file describes, with the user's materials and weather. What
    /// is wrong with any of the files is told together.
    pub(crate) fn read(&self, asked: &BedArguments) -> Result<Bed, Trouble> {
        let (shelf, mut complaints) = shelf::with_own(&asked.shelf)?;
        let weather = match &asked.weather {
            Some(path) => Some((safe_stem(path), TextFile::open(path, WEATHER_BYTES)?)),
            None => None,
        };
        // Without a whole shelf a bed's materials cannot be told from slips.
        let bed = if complaints.is_empty() {
            let read = if self.json { read_json } else { read_toml };
            match read(&self.file.text, &shelf) {
                Ok(bed) => Some(bed),
                Err(faults) => {
                    complaints.push(Complaint::of_text(&self.file, &faults));
                    None
                }
            }
        } else {
            None
        };
        let climate = match weather {
            Some((name, file)) => {
                let own = bed.as_ref().filter(|_| self.has_own_climate());
                let latitude = asked.latitude.or(own.map(|bed| bed.climate().latitude_deg));
                if latitude.is_none() && bed.is_some() {
                    return Err(Trouble::bad_input(without_latitude(&file.name)));
                }
                // Its slips are the same wherever it was measured.
                match read_csv(&file.text, &name, latitude.unwrap_or(0.0)) {
                    Ok(climate) => Some(climate),
                    Err(faults) => {
                        complaints.push(Complaint::of_text(&file, &faults));
                        None
                    }
                }
            }
            None => None,
        };
        let Some(mut bed) = bed.filter(|_| complaints.is_empty()) else {
            return Err(Trouble::BadInput(complaints));
        };
        if let Some(climate) = climate {
            bed = bed.with_climate(&climate);
        }
        if let Some(units) = asked.units {
            bed = bed.with_units(units.into());
        }
        Ok(bed)
    }

    /// The file as a value, where it is one.
    fn value(&self) -> Option<Value> {
        let text = self.file.text.trim_start_matches('\u{feff}');
        if self.json {
            serde_json::from_str(text).ok()
        } else {
            toml::from_str(text).ok()
        }
    }

    /// Whether the bed brings months of its own, and so says where it lies.
    fn has_own_climate(&self) -> bool {
        self.value()
            .is_some_and(|file| file.get("climate").is_some_and(Value::is_object))
    }

    /// The amounts in the words of the file, by layer and material; empty where they
    /// cannot be found.
    pub(crate) fn amounts(&self) -> Vec<Vec<String>> {
        let file = self.value();
        let list =
            |value: Option<&Value>| value.and_then(Value::as_array).cloned().unwrap_or_default();
        list(file.as_ref().and_then(|file| file.get("layer")))
            .iter()
            .map(|layer| {
                list(layer.get("put"))
                    .iter()
                    .map(|put| put.get("amount").and_then(|amount| amount.as_str()))
                    .map(|amount| amount.unwrap_or_default().to_owned())
                    .collect()
            })
            .collect()
    }
}

/// Weather says by itself nothing of where it was measured.
fn without_latitude(weather: &str) -> Refusal {
    let said = format!(
        "{weather} says what the weather is, not where: add --latitude, as in --latitude 52.6 \
         (south is negative)."
    );
    let refusal = Refusal::new(FaultCode::MissingOption, said).file(weather);
    refusal.option("--latitude")
}

/// Several beds, each with its file, under the same shelf, weather and units.
/// What is wrong with any of them is told together.
pub(crate) fn read_all(
    asked: &BedArguments,
    paths: impl IntoIterator<Item = PathBuf>,
) -> Result<Vec<(Bed, TextFile)>, Trouble> {
    let mut beds = Vec::new();
    let mut refused = Vec::new();
    for path in paths {
        let own = BedArguments {
            bed: path,
            ..asked.clone()
        };
        let read = BedFile::open(&own.bed).and_then(|file| Ok((file.read(&own)?, file)));
        match read {
            Ok((bed, file)) => beds.push((bed, file.file)),
            Err(Trouble::BadInput(complaints)) => refused.extend(complaints),
            Err(trouble) => return Err(trouble),
        }
    }
    if refused.is_empty() {
        Ok(beds)
    } else {
        Err(Trouble::BadInput(refused))
    }
}
