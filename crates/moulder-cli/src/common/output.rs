//! Where an answer goes: the screen, or a file that appears whole or not at all.

use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use clap::Args;
use moulder::internals::fault::FaultCode;

use crate::common::draft::Draft;
use crate::print::lines::{plain, safe};
use crate::print::look::Look;
use crate::print::screen::{file_name, print, reason};
use crate::trouble::refusal::Refusal;
use crate::trouble::{Trouble, screen};

/// How an answer looks and where it goes.
#[derive(Debug, Args)]
pub(crate) struct OutputArguments {
    #[command(flatten)]
    pub(crate) look: Look,

    #[command(flatten)]
    pub(crate) destination: Destination,
}

impl OutputArguments {
    /// Puts an answer where it belongs (see [`Output::put`]), which is checked before any
    /// work is done.
    pub(crate) fn put(
        &self,
        read: &[&Path],
        hint: &str,
        answer: impl FnOnce() -> Result<String, Trouble>,
    ) -> Result<(), Trouble> {
        let output = Output::open(&self.destination, read)?;
        output.put(&answer()?, hint)
    }
}

/// Where an answer goes.
#[derive(Debug, Args)]
pub(crate) struct Destination {
    /// Write to this file instead of the screen; the file appears whole or not at all
    #[arg(short, long, value_name = "FILE", group = "written")]
    pub(crate) output: Option<PathBuf>,

    /// Replace the file if there is one already
    #[arg(long, requires = "written")]
    pub(crate) force: bool,
}

/// Where an answer goes.
#[derive(Debug)]
pub(crate) struct Output {
    /// The option that names the file.
    option: &'static str,
    file: Option<PathBuf>,
    force: bool,
}

impl Output {
    /// Checks where the answer shall go before any work is done. `read` are the files
    /// that are read for the answer and must outlive it.
    pub(crate) fn open(asked: &Destination, read: &[&Path]) -> Result<Self, Trouble> {
        Self::to("--output", asked.output.as_deref(), asked.force, read)
    }

    /// The same for a file that another option names.
    pub(crate) fn to(
        option: &'static str,
        file: Option<&Path>,
        force: bool,
        read: &[&Path],
    ) -> Result<Self, Trouble> {
        let output = Self {
            option,
            file: file
                .filter(|path| path.as_os_str() != "-")
                .map(Path::to_owned),
            force,
        };
        let Some(path) = &output.file else {
            return Ok(output);
        };
        let name = file_name(path);
        behind_links(option, path)?;
        let Ok(there) = fs::metadata(path) else {
            return Ok(output);
        };
        if !there.is_file() {
            let said = format!("{name} is no plain file and cannot be written to.");
            return Err(unwritable(option, &name, said));
        }
        if let Ok(write) = fs::canonicalize(path) {
            let mut read = read.iter().flat_map(fs::canonicalize);
            if read.any(|read| read == write) {
                let said =
                    format!("{name} is read for this answer. Write the answer to another file.");
                return Err(unwritable(option, &name, said));
            }
        }
        if !output.force {
            return Err(exists(option, &name));
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
        tell(path, &plain(&said))
    }

    /// Writes a draft beside it first, so that nobody ever sees half.
    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
        let name = file_name(path);
        let path = &behind_links(self.option, path)?;
        let written = Draft::of(path).and_then(|mut draft| {
            draft.write(bytes)?;
            draft.become_file(path, self.force)
        });
        written.map_err(|error| match error.kind() {
            // Somebody else may have written it since we looked.
            ErrorKind::AlreadyExists if !self.force => exists(self.option, &name),
            _ => unwritable(
                self.option,
                &name,
                format!("{name} cannot be written: {}.", reason(&error)),
            ),
        })
    }
}

/// Replaces what a file says, whole or not at all; not where it no longer says `old`, or is
/// protected.
pub(crate) fn replace(path: &Path, old: &str, new: &str) -> Result<(), Trouble> {
    let name = file_name(path);
    let refused = |said: String| {
        let refusal = Refusal::new(FaultCode::Unwritable, said).file(&name);
        Trouble::cannot(refusal.option("<BED>"))
    };
    let failed =
        |error: io::Error| refused(format!("{name} cannot be written: {}.", reason(&error)));
    let path = &behind_links("--output", path)?;
    if fs::metadata(path).map_err(failed)?.permissions().readonly() {
        let said = format!(
            "{name} cannot be written: it is protected. Allow writing to it, and try again."
        );
        return Err(refused(said));
    }
    let mut draft = Draft::of(path).map_err(failed)?;
    draft.write(new.as_bytes()).map_err(failed)?;
    if fs::read(path).map_err(failed)? != old.as_bytes() {
        let said = format!(
            "{name} was changed by another program just now, and stays as it is. Try again."
        );
        return Err(refused(said));
    }
    draft.become_file(path, true).map_err(failed)
}

/// Says that a file is written and what it holds now; what stands in it is safe by then.
pub(crate) fn tell(path: &Path, said: &str) -> Result<(), Trouble> {
    print(said).map_err(|error| {
        Trouble::written(&format!(
            "{} is written and whole, but that could not be printed: {}.",
            file_name(path),
            reason(&error)
        ))
    })
}

/// The file that a link leads to, whether it is there yet or not: the link stays a link.
fn behind_links(option: &str, path: &Path) -> Result<PathBuf, Trouble> {
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
    Err(unwritable(option, &name, said))
}

fn exists(option: &str, name: &str) -> Trouble {
    let said = format!("{name} is there already, and stays as it is. Add --force to replace it.");
    unwritable(option, name, said)
}

/// An answer that cannot be put where it was to go.
fn unwritable(option: &str, name: &str, said: String) -> Trouble {
    let refusal = Refusal::new(FaultCode::Unwritable, said).file(name);
    Trouble::cannot(refusal.option(option))
}
