//! Reading documents: text to a tree with places, then a walk that checks every field.
//!
//! Reading does not stop at the first fault. It gives a checked [`Bed`] with its notices and
//! defaults, or every [`Fault`] in file order.

#[cfg(feature = "weather-csv")]
pub mod climate_csv;
pub mod field;
pub mod manual;

mod amount;
mod bed;
mod feed;
mod given;
mod later;
mod layer;
mod month;
mod outline;
mod pile;
mod plain;
mod plan;
mod put;
mod seen;
mod site;
mod walk;
mod water;
mod weather;

#[cfg(test)]
#[cfg(feature = "weather-csv")]
mod growth;
#[cfg(test)]
mod tests;

use std::collections::BTreeSet;

use moulder_core::bed::shape::Shape;

use crate::bed::document::{BedDocument, ClimateDocument};
use crate::bed::{Bed, BedWeather};
use crate::fault::notice::{DefaultUsed, Notice};
use crate::fault::{Fault, FaultCode, Faults, Place};
use crate::library::Library;
use crate::text::limit;
use crate::tree::{self, Places, Tree, Unplaced, without_mark};
use field::{FILE, Section};
#[cfg(feature = "weather-csv")]
pub(crate) use plain::to_read;
pub use plan::{read_plan_json, read_plan_toml};
use walk::Walk;

/// Reads a bed file in TOML.
///
/// # Errors
///
/// Every fault, placed by line and column.
pub fn read_toml(text: &str, library: &Library) -> Result<Bed, Faults> {
    let text = without_mark(text);
    fits(text)?;
    is_written(
        text,
        "the file is empty; \"moulder new box\" shows what a bed file holds",
    )?;
    check(&tree::read_toml(text), library)
}

impl BedDocument {
    /// Checks the document.
    ///
    /// # Errors
    ///
    /// Every fault, placed by JSON Pointer.
    ///
    /// ```
    /// use moulder::{Library, document::BedDocument};
    ///
    /// let text = r#"{"format": 1, "filled": "2026-03-14", "climate": "Cambridge UK",
    ///     "bed": {"shape": "round", "across": "1.2 m", "rim": "50 cm"},
    ///     "layer": [{"put": [{"material": "loamy topsoil", "amount": "45 cm"}]}]}"#;
    /// let document: BedDocument = serde_json::from_str(text)?;
    /// assert_eq!(document.check(&Library::built_in())?.rim_m(), Some(0.5));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn check(&self, library: &Library) -> Result<Bed, Faults> {
        // Texts, numbers and lists under text keys always make JSON; if not, null is refused for
        // not being a table.
        let mut value = serde_json::to_value(self).unwrap_or_default();
        // Without a name no climate was given.
        if let (ClimateDocument::Place(name), Some(root)) = (&self.climate, value.as_object_mut())
            && name.is_empty()
        {
            root.shift_remove("climate");
        }
        check(&tree::read_value(&value), library)
    }
}

/// Reads a bed file in JSON.
///
/// # Errors
///
/// Every fault, placed by JSON Pointer; a text that is not JSON gives one fault, placed by line
/// and column.
pub fn read_json(text: &str, library: &Library) -> Result<Bed, Faults> {
    let text = without_mark(text);
    fits(text)?;
    match tree::read_json(text) {
        Ok(tree) => check(&tree, library),
        Err(found) => Err(Faults::one(Places::lines(text).placed(*found))),
    }
}

/// Refuses an empty text by one fault instead of one for each missing field.
fn is_written(text: &str, expected: &str) -> Result<(), Faults> {
    if !text.trim().is_empty() {
        return Ok(());
    }
    Err(Faults::one(Fault {
        code: FaultCode::BadSyntax,
        place: Place::Line { line: 1, column: 1 },
        path: String::new(),
        found: "an empty file".to_owned(),
        expected: expected.to_owned(),
        help: Vec::new(),
    }))
}

/// Refuses a text that is too large, before parsing.
fn fits(text: &str) -> Result<(), Faults> {
    if text.len() <= limit::FILE_BYTES {
        return Ok(());
    }
    Err(Faults::one(Places::lines(text).placed(Unplaced {
        code: FaultCode::TooBig,
        at: 0,
        path: String::new(),
        found: format!("{} kB", text.len().div_ceil(1024)),
        expected: format!("at most {} kB", limit::FILE_BYTES / 1024),
        help: Vec::new(),
    })))
}

/// Checks a tree from any source.
pub(crate) fn check(tree: &Tree<'_>, library: &Library) -> Result<Bed, Faults> {
    let mut walk = Walk::new(library);
    let bed = walk.file(&tree.root);
    settle_bed(tree, walk, bed)
}

/// The bed of a walk, with the defaults and notices of the walk added; or every fault.
fn settle_bed(tree: &Tree<'_>, walk: Walk<'_>, bed: Option<Bed>) -> Result<Bed, Faults> {
    let (mut bed, defaults, notices) = settle(tree, walk, bed, &FILE)?;
    bed.site.defaults.extend(defaults);
    let notices = notices.into_iter();
    bed.notices
        .extend(notices.map(|notice| notice.unless_seen(&bed.site.seen)));
    Ok(bed)
}

/// The result of a walk with its defaults and notices, or every fault.
fn settle<T>(
    tree: &Tree<'_>,
    walk: Walk<'_>,
    whole: Option<T>,
    root: &'static Section,
) -> Result<(T, Vec<DefaultUsed>, Vec<Notice>), Faults> {
    let Walk {
        faults,
        unlisted,
        defaults,
        notices,
        ..
    } = walk;
    let faults = in_file_order(&tree.places, &tree.faults, &faults, root);
    if let (Some(whole), true) = (whole, faults.is_empty()) {
        return Ok((whole, defaults, notices));
    }
    let over = faults.len().saturating_sub(limit::FAULTS_LISTED);
    let listed = faults
        .into_iter()
        .take(limit::FAULTS_LISTED)
        .map(|found| tree.places.placed(found))
        .collect();
    Err(Faults::of(listed, over + unlisted)
        .expect("a part of the bed is only missing when a fault was raised for it"))
}

/// Faults of syntax and of content in file order, without consequential faults.
fn in_file_order(
    places: &Places<'_>,
    syntax: &[Unplaced],
    content: &[Unplaced],
    root: &'static Section,
) -> Vec<Unplaced> {
    // What could not be parsed may be what seems to be missing.
    let unread = syntax
        .iter()
        .any(|found| matches!(found.code, FaultCode::BadSyntax | FaultCode::TooDeep));
    // A later format may have fields that this version does not know.
    let later = content
        .iter()
        .any(|found| found.code == FaultCode::UnknownFormat);
    // A line that could not be parsed says nothing reliable about names and kinds.
    let bad = syntax.iter().filter(|bad| bad.code == FaultCode::BadSyntax);
    let bad: BTreeSet<usize> = bad.filter_map(|bad| places.line(bad.at)).collect();
    let unreadable = |found: &Unplaced| places.line(found.at).is_some_and(|at| bad.contains(&at));
    // `[layer]` for `[[layer]]` is one fault, however many layers repeat it and its fields.
    let no_lists: Vec<(&str, &Section)> = content
        .iter()
        .filter(|found| found.code == FaultCode::WrongKind)
        .filter_map(|found| {
            let name = found.path.strip_prefix('/')?;
            match root.field(name)?.kind {
                field::Kind::Sections(section, _) => Some((name, section)),
                _ => None,
            }
        })
        .collect();
    let follows = |name: &str| {
        let mut no_lists = no_lists.iter();
        no_lists.any(|(list, section)| *list == name || section.field(name).is_some())
    };
    let reported = syntax
        .iter()
        .filter(|found| found.code != FaultCode::RepeatedKey || !follows(&found.found));
    let reported = reported.chain(content.iter().filter(|found| match found.code {
        FaultCode::MissingField => !unread,
        FaultCode::UnknownField => !later && !unreadable(found),
        FaultCode::WrongKind => !unreadable(found),
        _ => true,
    }));
    let mut faults: Vec<Unplaced> = reported.cloned().collect();
    faults.sort_by_key(|found| found.at);
    faults
}

impl Walk<'_> {
    /// The whole file.
    fn file(&mut self, root: &tree::Node) -> Option<Bed> {
        let fields = self.open(&FILE, root, "")?;
        let site = self.site(&fields);
        let count = fields
            .get("count")
            .map_or(Some(1), |given| self.whole_number(&given));
        let layers = fields.get("layer").and_then(|given| self.layers(&given));
        let latitude = site.climate.as_ref().map(|climate| climate.latitude_deg);
        let watering = if let Some(given) = fields.get("water") {
            self.watering(&given, latitude).map(Some)
        } else {
            self.assume(fields.path_of("water"), "rain alone", walk::FORM);
            Some(None)
        };
        let weather = match fields.get("weather") {
            Some(given) => self.weather(&given, site.climate.as_ref()),
            None => Some(BedWeather::default()),
        };
        let crop = self.crop(&fields);
        let fed = self.feedings(&fields, site.filled);
        let outline = site.outline.as_ref();
        let mound = outline.is_some_and(|outline| matches!(outline.shape, Shape::Mound { .. }));
        let (rim_m, trench_m) =
            outline.map_or((None, 0.0), |outline| (outline.rim_m, outline.trench_m));
        let readings = self.readings(&fields, site.filled, (rim_m, trench_m), mound);
        let added = self.additions(&fields, site.filled);
        let bed = Bed {
            site: site.whole()?,
            count: count?,
            layers: layers?,
            weather: weather?,
            irrigation: watering?,
            crop: crop?,
            fed: fed?,
            additions: added?,
            readings: readings?,
            notices: Vec::new(),
        };
        self.pile(&fields, &bed);
        Some(bed)
    }
}
