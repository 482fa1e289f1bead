//! A bed file: found, read whole, and checked.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use moulder::bed::Bed;
use moulder::catalogue::Catalogue;
use moulder::fault::Faults;
use moulder::limit::FILE_BYTES;
use moulder::read::{read_json, read_toml};
use moulder::station::Stations;

use crate::output::{file_name, reason};
use crate::trouble::Trouble;

/// A bed file as text.
#[derive(Debug)]
pub(crate) struct BedFile {
    /// What to call it when speaking of it.
    pub(crate) name: String,
    /// What it says.
    pub(crate) text: String,
    /// Whether it is JSON; else it is TOML.
    pub(crate) json: bool,
}

impl BedFile {
    /// Reads a file, or what is piped in for "-".
    pub(crate) fn open(path: &Path) -> Result<Self, Trouble> {
        let piped = path.as_os_str() == "-";
        let name = if piped {
            "what was piped in".to_owned()
        } else {
            file_name(path)
        };
        let bytes = if piped {
            whole(io::stdin().lock())
        } else {
            File::open(path).and_then(whole)
        };
        let bytes = bytes.map_err(|error| {
            Trouble::cannot(&format!("{name} cannot be read: {}.", reason(&error)))
        })?;
        if bytes.len() > FILE_BYTES {
            return Err(Trouble::bad_input(&format!(
                "{name} is larger than {} kB, which is more than any bed needs.",
                FILE_BYTES / 1024
            )));
        }
        let text = String::from_utf8(bytes).map_err(|wrong| {
            let before = &wrong.as_bytes()[..wrong.utf8_error().valid_up_to()];
            let line = before.split(|byte| *byte == b'\n').count();
            Trouble::bad_input(&format!(
                "{name} is no plain text from line {line} on. Save it as text in UTF-8."
            ))
        })?;
        let ending = path
            .extension()
            .map(|ending| ending.to_string_lossy().to_lowercase());
        let json = match ending.as_deref() {
            Some("toml") => false,
            Some("json") => true,
            _ => text
                .trim_start_matches(['\u{feff}', ' ', '\t', '\r', '\n'])
                .starts_with('{'),
        };
        Ok(Self { name, text, json })
    }

    /// Checks the bed that the file describes.
    pub(crate) fn read(&self) -> Result<Bed, Faults> {
        let (catalogue, stations) = (Catalogue::built_in(), Stations::built_in());
        if self.json {
            read_json(&self.text, &catalogue, &stations)
        } else {
            read_toml(&self.text, &catalogue, &stations)
        }
    }

    /// The amounts in the words of the file, by layer and material; empty where they
    /// cannot be found.
    pub(crate) fn amounts(&self) -> Vec<Vec<String>> {
        let text = self.text.trim_start_matches('\u{feff}');
        let file: Option<serde_json::Value> = if self.json {
            serde_json::from_str(text).ok()
        } else {
            toml::from_str(text).ok()
        };
        let list = |value: Option<&serde_json::Value>| {
            value
                .and_then(serde_json::Value::as_array)
                .cloned()
                .unwrap_or_default()
        };
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

/// All of it, but no more than shows that it is too much.
fn whole(from: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let most = u64::try_from(FILE_BYTES).unwrap_or(u64::MAX);
    from.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
    Ok(bytes)
}
