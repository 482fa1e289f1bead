//! The calibrations under which series are scored: each without its own source.

use std::collections::BTreeMap;
use std::sync::Arc;

use moulder::internals::library::Library;
use moulder::internals::library::calibration::Calibration;

use crate::files::{CaseBed, beds, folder};

/// A calibration, and the beds of an example under it.
pub(crate) struct Under {
    pub(crate) calibration: Arc<Calibration>,
    pub(crate) beds: Vec<CaseBed>,
}

impl Under {
    fn new(example: &str, calibration: Arc<Calibration>) -> Result<Self, Vec<String>> {
        let beds = beds(example, &Library::calibrated(&calibration))?;
        Ok(Self { calibration, beds })
    }
}

/// The beds of an example under the calibration that ships, and under each that leaves out a
/// source, by that source.
pub(crate) struct LeftOut {
    kept: Under,
    without: BTreeMap<String, Under>,
}

impl LeftOut {
    /// # Errors
    ///
    /// Every fault of a bed, and a file of calibrations that cannot be read.
    pub(crate) fn read(example: &str) -> Result<Self, Vec<String>> {
        let file = folder("posterior").join("left_out.json");
        let fault = |error: String| vec![format!("{}: {error}", file.display())];
        let text = std::fs::read_to_string(&file).map_err(|error| fault(error.to_string()))?;
        let read: BTreeMap<String, Calibration> =
            serde_json::from_str(&text).map_err(|error| fault(error.to_string()))?;
        let mut without = BTreeMap::new();
        for (group, calibration) in read {
            without.insert(group, Under::new(example, Arc::new(calibration))?);
        }
        Ok(Self {
            kept: Under::new(example, Arc::clone(Calibration::kept()))?,
            without,
        })
    }

    /// Those for a source: without it, where it is in the calibration that ships.
    pub(crate) fn of(&self, group: &str) -> &Under {
        self.without.get(group).unwrap_or(&self.kept)
    }

    /// The beds under the calibration that ships.
    pub(crate) fn kept(&self) -> &[CaseBed] {
        &self.kept.beds
    }
}
