//! The file of scores, for a comparison with a later run.

use serde::{Deserialize, Serialize};

use crate::marks::{Scores, width_eta};
use crate::row::Row;

/// Version of the file's form.
const FORMAT: u32 = 1;

/// The scores of a run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Saved {
    pub(crate) format: u32,
    pub(crate) draws: u32,
    pub(crate) readings: Vec<SavedReading>,
}

/// Those of a reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct SavedReading {
    /// The case and the number of the reading in it.
    pub(crate) key: String,
    pub(crate) class: String,
    pub(crate) set: String,
    /// Its source.
    pub(crate) group: String,
    pub(crate) overlaps: bool,
    pub(crate) is_inside: Option<bool>,
    /// Median strain, and width of the 80 % interval of what the case leaves open and of the bed
    /// as told, in eta.
    pub(crate) median: f64,
    pub(crate) width_open_eta: f64,
    pub(crate) width_told_eta: f64,
    pub(crate) interval_eta: f64,
    pub(crate) crps_eta: f64,
    pub(crate) interval_cm: Option<f64>,
    pub(crate) crps_cm: Option<f64>,
}

impl Saved {
    pub(crate) fn of(rows: &[Row<'_>], draws: u32) -> Self {
        Self {
            format: FORMAT,
            draws,
            readings: rows.iter().map(SavedReading::of).collect(),
        }
    }
}

impl SavedReading {
    fn of(row: &Row<'_>) -> Self {
        let Row { subject, ours, .. } = row;
        let Scores { interval, crps } = ours.eta;
        Self {
            key: subject.key(),
            class: subject.case.class.clone(),
            set: subject.set.name().to_owned(),
            group: subject.case.group.clone(),
            overlaps: ours.overlaps,
            is_inside: ours.is_inside,
            median: subject.strain(subject.open.median()),
            width_open_eta: width_eta(subject, &subject.members()),
            width_told_eta: width_eta(subject, &subject.members_told()),
            interval_eta: interval,
            crps_eta: crps,
            interval_cm: ours.cm.map(|scores| scores.interval),
            crps_cm: ours.cm.map(|scores| scores.crps),
        }
    }
}

/// # Errors
///
/// A file that cannot be read, or is of another form.
pub(crate) fn read(file: &str) -> Result<Saved, Vec<String>> {
    let fault = |fault: String| vec![format!("{file}: {fault}")];
    let text = std::fs::read_to_string(file).map_err(|error| fault(error.to_string()))?;
    let saved: Saved = serde_json::from_str(&text).map_err(|error| fault(error.to_string()))?;
    if saved.format == FORMAT {
        Ok(saved)
    } else {
        Err(fault(format!("form {} and not {FORMAT}", saved.format)))
    }
}

/// # Errors
///
/// A file that cannot be written.
pub(crate) fn write(file: &str, saved: &Saved) -> Result<(), Vec<String>> {
    let fault = |fault: String| vec![format!("{file}: {fault}")];
    let text = serde_json::to_string_pretty(saved).map_err(|error| fault(error.to_string()))?;
    std::fs::write(file, text + "\n").map_err(|error| fault(error.to_string()))
}
