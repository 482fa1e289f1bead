//! A file as text, read whole and no larger than it may be.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::string::FromUtf8Error;

use moulder::internals::fault::{FaultCode, Place};

use crate::print::screen::{file_name, reason};
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

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
        let refusal = |code, said: String| Refusal::new(code, said).file(&name);
        let bytes = read.map_err(|error| {
            let said = format!("{name} cannot be read: {}.", reason(&error));
            Trouble::cannot(refusal(FaultCode::Unreadable, said))
        })?;
        if bytes.len() > most {
            let said = format!(
                "{name} is larger than {} kB, which is more than such a file can hold.",
                most / 1024
            );
            let start = Place::Line { line: 1, column: 1 };
            return Err(Trouble::bad_input(
                refusal(FaultCode::TooBig, said).at(start),
            ));
        }
        let text = String::from_utf8(bytes).map_err(|wrong| {
            let (line, column) = end_of(&wrong);
            let said =
                format!("{name} is no plain text from line {line} on. Save it as text in UTF-8.");
            let place = Place::Line { line, column };
            Trouble::bad_input(refusal(FaultCode::NotText, said).at(place))
        })?;
        Ok(Self { name, text })
    }
}

/// Line and column, both from 1, of the first byte that is no text.
fn end_of(wrong: &FromUtf8Error) -> (usize, usize) {
    let text = &wrong.as_bytes()[..wrong.utf8_error().valid_up_to()];
    // Columns count as they do in a text, without the mark that some editors put first.
    let text = text.strip_prefix("\u{feff}".as_bytes()).unwrap_or(text);
    let lines = text.split(|byte| *byte == b'\n');
    let last = lines.clone().next_back().unwrap_or(&[]);
    let signs = String::from_utf8_lossy(last).chars().count();
    (lines.count(), signs + 1)
}

/// All of it, but no more than shows that it is too much.
fn whole(from: impl Read, most: usize) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let most = u64::try_from(most).unwrap_or(u64::MAX);
    from.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
    Ok(bytes)
}
