//! The screen, and texts made safe for it.
//!
//! All printing of the program passes through here. There is no colour, so there is none to
//! turn off.

use std::io::{self, ErrorKind, Write};
use std::path::Path;

use serde::Serialize;

use crate::print::lines::{ended, safe};

/// Prints a text. A reader who has seen enough (`| head`) is no trouble.
pub(crate) fn print(text: &str) -> io::Result<()> {
    let mut screen = io::stdout().lock();
    let printed = screen
        .write_all(text.as_bytes())
        .and_then(|()| screen.flush());
    printed.or_else(|error| match error.kind() {
        ErrorKind::BrokenPipe => Ok(()),
        _ => Err(error),
    })
}

/// Prints to standard error.
pub(crate) fn complain(text: &str) {
    // When even this fails, the exit code is all that is left to tell.
    let _ = io::stderr()
        .lock()
        .write_all(ended(text.to_owned()).as_bytes());
}

/// A value as JSON for people and programs.
pub(crate) fn pretty<T: Serialize>(value: &T) -> String {
    let text = serde_json::to_string_pretty(value)
        .expect("numbers, texts and lists under text keys always make JSON");
    ended(text)
}

/// A file's name as it was typed, safe to print.
pub(crate) fn file_name(path: &Path) -> String {
    safe(&path.to_string_lossy())
}

/// A file's name without folder and ending, safe to print.
pub(crate) fn safe_stem(path: &Path) -> String {
    let stem = path.file_stem().unwrap_or_default();
    safe(&stem.to_string_lossy())
}

/// Why a file could not be read or written, without the system's numbers.
pub(crate) fn reason(error: &io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "there is no such file or folder".to_owned(),
        ErrorKind::PermissionDenied => "you are not allowed to".to_owned(),
        ErrorKind::IsADirectory => "it is a folder".to_owned(),
        ErrorKind::NotADirectory => "a part of its path is no folder".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        kind => kind.to_string(),
    }
}
