//! The bed files: `ID.toml` is the central bed of a case, `ID.NAME.toml` a named variant of it.

use std::path::{Path, PathBuf};

use moulder::internals::bed::Bed;
use moulder::internals::library::Library;
use moulder::internals::read::read_toml;

use crate::observed::Case;

/// Classes that settle also by causes outside the model, and these causes.
pub(crate) const PARTLY: [(&str, &str); 1] = [(
    "stacked_wood",
    "a stack also shifts, leans and loses bark, which the model does not know",
)];

/// A bed file of a case.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct CaseBed {
    /// Its case.
    pub(crate) id: String,
    /// Name of the variant; none for the central bed.
    pub(crate) variant: Option<String>,
    pub(crate) bed: Bed,
}

/// Name of the variant that shows a case before anything was done to it.
const LOOSE: &str = "loose";

impl CaseBed {
    pub(crate) fn is_loose(&self) -> bool {
        self.variant.as_deref() == Some(LOOSE)
    }
}

/// The folder of an example.
pub(crate) fn folder(example: &str) -> PathBuf {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    examples.join(example)
}

/// Reads all bed files of an example, by case; the central bed of a case before its variants.
///
/// # Errors
///
/// Every fault of every file.
pub(crate) fn beds(example: &str, library: &Library) -> Result<Vec<CaseBed>, Vec<String>> {
    let listed =
        std::fs::read_dir(folder(example).join("beds")).map_err(|e| vec![e.to_string()])?;
    let mut paths: Vec<PathBuf> = listed.flatten().map(|entry| entry.path()).collect();
    paths.sort();
    let mut beds = Vec::new();
    let mut faults = Vec::new();
    for path in paths {
        match read(&path, library) {
            Ok(bed) => beds.push(bed),
            Err(fault) => faults.push(format!("{}: {fault}", path.display())),
        }
    }
    beds.sort_by(|a, b| (&a.id, &a.variant).cmp(&(&b.id, &b.variant)));
    if faults.is_empty() {
        Ok(beds)
    } else {
        Err(faults)
    }
}

fn read(path: &Path, library: &Library) -> Result<CaseBed, String> {
    let name = path.file_name().and_then(|name| name.to_str());
    let stem = name.and_then(|name| name.strip_suffix(".toml"));
    let stem = stem.ok_or("not a bed file")?;
    let text = std::fs::read_to_string(path).map_err(|error| error.to_string())?;
    let bed = read_toml(&text, library).map_err(|faults| faults.to_string())?;
    let (id, variant) = match stem.split_once('.') {
        Some((id, variant)) => (id, Some(variant.to_owned())),
        None => (stem, None),
    };
    let id = id.to_owned();
    Ok(CaseBed { id, variant, bed })
}

/// Mismatches between cases and beds: a case with neither bed nor reason, or with both, without
/// the bed of its loose state, and a bed of no case.
pub(crate) fn misfits(cases: &[Case], beds: &[CaseBed]) -> Vec<String> {
    let mut misfits = Vec::new();
    for case in cases {
        let id = &case.id;
        let of_case = || beds.iter().filter(|bed| bed.id == *id);
        match (of_case().any(|bed| bed.variant.is_none()), &case.not_scored) {
            (false, None) => misfits.push(format!("{id}: neither a bed nor a reason for none")),
            (true, Some(_)) => misfits.push(format!("{id}: a bed, and a reason for none")),
            (false, Some(_)) | (true, None) => {}
        }
        if case.starts_loose && !of_case().any(CaseBed::is_loose) {
            misfits.push(format!("{id}: no bed of its loose state"));
        }
    }
    for id in beds.iter().map(|bed| bed.id.as_str()) {
        if !cases.iter().any(|case| case.id == id) {
            misfits.push(format!("{id}: no such case"));
        }
    }
    misfits
}
