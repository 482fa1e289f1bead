//! Where text goes: the screen, or a file that appears whole or not at all.
//!
//! All printing of the program passes through here. There is no colour, so there is
//! none to turn off.

use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

use moulder::fault::FaultCode;
use serde::Serialize;

use crate::arguments::Destination;
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
        let said = format!("{} is written. {hint}", file_name(path));
        screen(&wrapped(&said, TextWidth::PLAIN))
    }

    /// Writes to a file of another name beside it first, so that nobody ever sees half.
    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
        let name = file_name(path);
        let path = &behind_links(path);
        let cannot = |error: &io::Error| {
            let said = format!("{name} cannot be written: {}.", reason(error));
            unwritable(&name, said)
        };
        let folder = match path.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        let mut builder = tempfile::Builder::new();
        permit(&mut builder, path);
        let mut file = builder
            .tempfile_in(folder)
            .map_err(|error| cannot(&error))?;
        file.write_all(bytes)
            .and_then(|()| file.as_file().sync_all())
            .map_err(|error| cannot(&error))?;
        if self.force {
            file.persist(path).map_err(|lost| cannot(&lost.error))?;
        } else {
            file.persist_noclobber(path).map_err(|lost| {
                // Somebody else may have written it since we looked.
                if lost.error.kind() == ErrorKind::AlreadyExists {
                    exists(&name)
                } else {
                    cannot(&lost.error)
                }
            })?;
        }
        Ok(())
    }
}

/// The file that a link leads to, whether it is there yet or not: the link stays a link.
fn behind_links(path: &Path) -> PathBuf {
    /// Longer chains of links are loops, which the write itself refuses.
    const MOST: u32 = 40;
    let mut path = path.to_owned();
    for _ in 0..MOST {
        let Ok(next) = fs::read_link(&path) else {
            break;
        };
        let folder = path.parent().unwrap_or(Path::new(""));
        path = folder.join(next);
    }
    path
}

/// Says who may read the new file: as the one it replaces, else as any new file.
#[cfg(unix)]
fn permit(builder: &mut tempfile::Builder<'_, '_>, path: &Path) {
    use std::fs::Permissions;
    use std::os::unix::fs::PermissionsExt;
    /// Everybody may read and write, less what the user's own mask takes away.
    const ANY_NEW_FILE: u32 = 0o666;
    let permissions = fs::metadata(path).map_or_else(
        |_| Permissions::from_mode(ANY_NEW_FILE),
        |replaced| replaced.permissions(),
    );
    builder.permissions(permissions);
}

#[cfg(not(unix))]
fn permit(_builder: &mut tempfile::Builder<'_, '_>, _path: &Path) {}

fn exists(name: &str) -> Trouble {
    let said = format!("{name} is there already, and stays as it is. Add --force to replace it.");
    unwritable(name, said)
}

/// An answer that cannot be put where it was to go.
fn unwritable(name: &str, said: String) -> Trouble {
    let refusal = Refusal::new(FaultCode::Unwritable, said).file(name);
    Trouble::cannot(refusal.option("--output"))
}

/// Prints an answer. A reader who has seen enough (`| head`) is no trouble.
pub(crate) fn screen(text: &str) -> Result<(), Trouble> {
    let mut screen = io::stdout().lock();
    match screen
        .write_all(text.as_bytes())
        .and_then(|()| screen.flush())
    {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            let said = format!("The answer cannot be printed: {}.", reason(&error));
            Err(Trouble::cannot(Refusal::new(FaultCode::Unwritable, said)))
        }
        _ => Ok(()),
    }
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
