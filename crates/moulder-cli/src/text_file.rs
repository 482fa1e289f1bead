//! A file as text, read whole and no larger than it may be.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use crate::output::{file_name, reason};
use crate::trouble::Trouble;

/// A file as text.
#[derive(Debug)]
pub(crate) struct TextFile {
    /// What to call it when speaking of it.
    pub(crate) name: String,
    /// What it says.
    pub(crate) text: String,
}

impl TextFile {
    /// Reads a file of at most that many bytes.
    pub(crate) fn open(path: &Path, most: usize) -> Result<Self, Trouble> {
        let read = File::open(path).and_then(|file| whole(file, most));
        Self::of(file_name(path), read, most)
    }

    /// Reads what is piped in.
    pub(crate) fn piped(most: usize) -> Result<Self, Trouble> {
        let read = whole(io::stdin().lock(), most);
        Self::of("what was piped in".to_owned(), read, most)
    }

    fn of(name: String, read: io::Result<Vec<u8>>, most: usize) -> Result<Self, Trouble> {
        let bytes = read.map_err(|error| {
            Trouble::cannot(&format!("{name} cannot be read: {}.", reason(&error)))
        })?;
        if bytes.len() > most {
            return Err(Trouble::bad_input(&format!(
                "{name} is larger than {} kB, which is more than such a file can hold.",
                most / 1024
            )));
        }
        let text = String::from_utf8(bytes).map_err(|wrong| {
            let before = &wrong.as_bytes()[..wrong.utf8_error().valid_up_to()];
            let line = before.split(|byte| *byte == b'\n').count();
            Trouble::bad_input(&format!(
                "{name} is no plain text from line {line} on. Save it as text in UTF-8."
            ))
        })?;
        Ok(Self { name, text })
    }
}

/// All of it, but no more than shows that it is too much.
fn whole(from: impl Read, most: usize) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let most = u64::try_from(most).unwrap_or(u64::MAX);
    from.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
    Ok(bytes)
}
