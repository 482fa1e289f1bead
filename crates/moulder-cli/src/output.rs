//! Where text goes: the screen, or a file that appears whole or not at all.
//!
//! All printing of the program passes through here. There is no colour, so there is
//! none to turn off.

use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

use moulder::internals::fault::FaultCode;
use serde::Serialize;

use crate::arguments::Destination;
use crate::draft::Draft;
use crate::lines::{TextWidth, ended, safe, wrapped};
use crate::refusal::Refusal;
use crate::trouble::Trouble;

/// Where an answer goes.
#[derive(Debug)]
pub(crate) struct Output {
    file: Option<PathBuf>,
    force: bool,
}

impl Output {
    /// Checks where the answer shall go before any work is done. `read` are the files
    /// that are read for the answer and must outlive it.
    pub(crate) fn open(asked: &Destination, read: &[&Path]) -> Result<Self, Trouble> {
        let output = Self {
            file: asked.output.clone().filter(|path| path.as_os_str() != "-"),
            force: asked.force,
        };
        let Some(path) = &output.file else {
            return Ok(output);
        };
        let name = file_name(path);
        behind_links(path)?;
        let Ok(there) = fs::metadata(path) else {
            return Ok(output);
        };
        if !there.is_file() {
            let said = format!("{name} is no plain file and cannot be written to.");
            return Err(unwritable(&name, said));
        }
        if let Ok(write) = fs::canonicalize(path) {
            let mut read = read.iter().flat_map(fs::canonicalize);
            if read.any(|read| read == write) {
                let said =
                    format!("{name} is read for this answer. Write the answer to another file.");
                return Err(unwritable(&name, said));
            }
        }
        if !output.force {
            return Err(exists(&name));
        }
        Ok(output)
    }

    /// The file's ending in small letters; none for the screen or a name without one.
    pub(crate) fn ending(&self) -> Option<String> {
        let ending = self.file.as_ref()?.extension()?;
        Some(ending.to_string_lossy().to_lowercase())
    }

    /// What the file is called in which the answer will stand, safe to print.
    pub(crate) fn name(&self) -> Option<String> {
        let path = self.file.as_ref()?;
        path.file_name().map(|name| safe(&name.to_string_lossy()))
    }

    /// Puts the answer where it belongs. After a file is written, the screen says so,
    /// with a hint on what to do next.
    pub(crate) fn put(&self, text: &str, hint: &str) -> Result<(), Trouble> {
        if self.file.is_none() {
            return screen(text);
        }
        self.put_bytes(text.as_bytes(), hint)
    }

    /// As [`put`](Self::put), for what is no text and is never shown on the screen.
    pub(crate) fn put_bytes(&self, bytes: &[u8], hint: &str) -> Result<(), Trouble> {
        let Some(path) = &self.file else {
            return Ok(());
        };
        self.write(path, bytes)?;
        let name = file_name(path);
        let said = format!("{name} is written. {hint}");
        print(&wrapped(&said, TextWidth::PLAIN)).map_err(|error| {
            Trouble::written(&format!(
                "{name} is written and whole, but that could not be printed: {}.",
                reason(&error)
            ))
        })
    }

    /// Writes a draft beside it first, so that nobody ever sees half.
    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
        let name = file_name(path);
        let path = &behind_links(path)?;
        let written = Draft::of(path).and_then(|mut draft| {
            draft.write(bytes)?;
            draft.become_file(path, self.force)
        });
        written.map_err(|error| match error.kind() {
            // Somebody else may have written it since we looked.
            ErrorKind::AlreadyExists if !self.force => exists(&name),
            _ => unwritable(
                &name,
                format!("{name} cannot be written: {}.", reason(&error)),
            ),
        })
    }
}

/// The file that a link leads to, whether it is there yet or not: the link stays a link.
fn behind_links(path: &Path) -> Result<PathBuf, Trouble> {
    /// Longer chains of links lead in a circle, or might as well.
    const MOST: u32 = 40;
    let mut behind = path.to_owned();
    for _ in 0..MOST {
        let Ok(next) = fs::read_link(&behind) else {
            return Ok(behind);
        };
        let folder = behind.parent().unwrap_or(Path::new(""));
        behind = folder.join(next);
    }
    let name = file_name(path);
    let said = format!(
        "{name} cannot be written: it is a link that leads to links in a circle. Write to another \
         file, or remove the link."
    );
    Err(unwritable(&name, said))
}

fn exists(name: &str) -> Trouble {
    let said = format!("{name} is there already, and stays as it is. Add --force to replace it.");
    unwritable(name, said)
}

/// An answer that cannot be put where it was to go.
fn unwritable(name: &str, said: String) -> Trouble {
    let refusal = Refusal::new(FaultCode::Unwritable, said).file(name);
    Trouble::cannot(refusal.option("--output"))
}

/// Prints an answer.
pub(crate) fn screen(text: &str) -> Result<(), Trouble> {
    print(text).map_err(|error| {
        let said = format!("The answer cannot be printed: {}.", reason(&error));
        Trouble::cannot(Refusal::new(FaultCode::Unwritable, said))
    })
}

/// Prints a text. A reader who has seen enough (`| head`) is no trouble.
fn print(text: &str) -> io::Result<()> {
    let mut screen = io::stdout().lock();
    let printed = screen
        .write_all(text.as_bytes())
        .and_then(|()| screen.flush());
    printed.or_else(|error| match error.kind() {
        ErrorKind::BrokenPipe => Ok(()),
        _ => Err(error),
    })
}

/// Says why there is no answer.
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
