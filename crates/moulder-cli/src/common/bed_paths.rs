//! Bed files that are asked for by their names, or by the folder they lie in.

use std::fs;
use std::path::PathBuf;

use moulder::internals::fault::FaultCode;

use crate::common::bed_file::BedArguments;
use crate::print::screen::file_name;
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

/// Most beds at once.
const MOST_BEDS: usize = 500;

/// Every bed file that was asked for, those of folders by name.
pub(crate) fn bed_paths(asked: &BedArguments, more: &[PathBuf]) -> Result<Vec<PathBuf>, Trouble> {
    let mut paths = Vec::new();
    for path in std::iter::once(&asked.bed).chain(more) {
        if !path.is_dir() {
            paths.push(path.clone());
            continue;
        }
        let shown = file_name(path);
        let unread = |error: std::io::Error| {
            let said = format!("The folder {shown} cannot be read: {error}.");
            Trouble::cannot(Refusal::new(FaultCode::Unreadable, said).file(&shown))
        };
        let mut found = Vec::new();
        for entry in fs::read_dir(path).map_err(unread)? {
            let file = entry.map_err(unread)?.path();
            let ending = file.extension().map(|e| e.to_string_lossy().to_lowercase());
            if matches!(ending.as_deref(), Some("toml" | "json")) {
                found.push(file);
            }
        }
        if found.is_empty() {
            let said = format!("There is no bed file (.toml or .json) in the folder {shown}.");
            let refusal = Refusal::new(FaultCode::TooFew, said).file(&shown);
            return Err(Trouble::bad_input(refusal.option("<BED>")));
        }
        found.sort();
        are_plain(&found)?;
        paths.extend(found);
    }
    if paths.len() > MOST_BEDS {
        let said = format!(
            "{} bed files are more than the {MOST_BEDS} that are planned at once.",
            paths.len()
        );
        let refusal = Refusal::new(FaultCode::TooMany, said).option("<BED>");
        return Err(Trouble::bad_input(refusal));
    }
    Ok(paths)
}

/// Refuses what cannot be read as a file is: nobody asked for it by its name, and a pipe
/// without a writer would be waited for without end.
fn are_plain(found: &[PathBuf]) -> Result<(), Trouble> {
    let other = found
        .iter()
        .find(|path| fs::metadata(path).is_ok_and(|there| !there.is_file()));
    other.map_or(Ok(()), |other| {
        let name = file_name(other);
        let said = format!(
            "{name} cannot be read: it is no plain file. Of a folder only plain files are read: \
             move it out, or give it another ending."
        );
        Err(Trouble::cannot(
            Refusal::new(FaultCode::Unreadable, said).file(&name),
        ))
    })
}
