//! The bed files: `ID.toml` is the central bed of a case, `ID.NAME.toml` a named variant of it.

use std::path::{Path, PathBuf};

use moulder::internals::bed::Bed;
use moulder::internals::library::Library;
use moulder::internals::read::read_toml;

use crate::observed::Case;

/// Cases without a bed, and why.
pub(crate) const OUT_OF_SCOPE: [(&str, &str); 1] = [(
    "peat-02",
    "drained peat grassland over fifty years: no peat on the library, no water table in \
     the model, and most of it lies below any bed",
)];

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

/// The folder of the cases and their beds.
pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/cases")
}

/// Reads all bed files, by case; the central bed of a case before its variants.
///
/// # Errors
///
/// Every fault of every file.
pub(crate) fn beds() -> Result<Vec<CaseBed>, Vec<String>> {
    let listed = std::fs::read_dir(folder().join("beds")).map_err(|e| vec![e.to_string()])?;
    let mut paths: Vec<PathBuf> = listed.flatten().map(|entry| entry.path()).collect();
    paths.sort();
    let library = Library::built_in();
    let mut beds = Vec::new();
    let mut faults = Vec::new();
    for path in paths {
        match read(&path, &library) {
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

/// Mismatches between cases and beds: a case with neither bed nor reason, or with both, and a
/// bed or a reason of no case.
pub(crate) fn misfits(cases: &[Case], beds: &[CaseBed]) -> Vec<String> {
    let mut misfits = Vec::new();
    for Case { id, .. } in cases {
        let middles = beds
            .iter()
            .filter(|bed| bed.id == *id && bed.variant.is_none());
        match (middles.count(), out_of_scope(id)) {
            (0, None) => misfits.push(format!("{id}: neither a bed nor a reason for none")),
            (0, Some(_)) | (_, None) => {}
            (_, Some(_)) => misfits.push(format!("{id}: a bed, and a reason for none")),
        }
    }
    let reasons = OUT_OF_SCOPE.iter().map(|(id, _)| *id);
    for id in beds.iter().map(|bed| bed.id.as_str()).chain(reasons) {
        if !cases.iter().any(|case| case.id == id) {
            misfits.push(format!("{id}: no such case"));
        }
    }
    misfits
}

/// Why a case has no bed.
pub(crate) fn out_of_scope(id: &str) -> Option<&'static str> {
    let found = OUT_OF_SCOPE.iter().find(|(case, _)| *case == id);
    found.map(|(_, reason)| *reason)
}
