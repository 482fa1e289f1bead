//! A file while it is being written: beside the one that it becomes, under a name of ours.
//!
//! A program that is killed leaves its draft behind. Who writes a draft holds a lock on it,
//! which ends with the program however that ends; so a draft that can be locked is one that
//! nobody writes any more, and the next write into that folder removes it.

use std::ffi::OsStr;
use std::fs::{self, DirEntry, File, Metadata, TryLockError};
use std::io::{self, ErrorKind, Write};
use std::path::Path;

use tempfile::{Builder, NamedTempFile};

/// Around the signs of chance in a draft's name.
const BEGINS: &str = ".moulder-";
const ENDS: &str = ".part";
/// Signs of chance in a draft's name.
const CHANCE: usize = 6;
/// How often a draft is begun anew when somebody sweeps it away before it is locked.
const TRIES: u32 = 16;

/// A file that is not yet what it becomes.
#[derive(Debug)]
pub(crate) struct Draft {
    file: NamedTempFile,
}

impl Draft {
    /// Begins a draft of that file, and removes what killed programs left beside it.
    pub(crate) fn of(path: &Path) -> io::Result<Self> {
        let folder = match path.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        for _ in 0..TRIES {
            let draft = Self::begun(path, folder)?;
            if draft.is_held() {
                draft.sweep(folder);
                return Ok(draft);
            }
        }
        Err(ErrorKind::ResourceBusy.into())
    }

    fn begun(path: &Path, folder: &Path) -> io::Result<Self> {
        let mut builder = Builder::new();
        builder.prefix(BEGINS).suffix(ENDS).rand_bytes(CHANCE);
        permit(&mut builder, path);
        let file = builder.tempfile_in(folder)?;
        keep_permissions(&file, path)?;
        Ok(Self { file })
    }

    /// Locks it. Not where somebody who sweeps was faster: then it is gone, or soon will be.
    /// Where there are no locks nobody else gets one either, and nothing is swept.
    fn is_held(&self) -> bool {
        let locked = self.file.as_file().try_lock();
        !matches!(locked, Err(TryLockError::WouldBlock)) && self.file.path().exists()
    }

    /// Puts that into it, down to the disk.
    pub(crate) fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.file.write_all(bytes)?;
        self.file.as_file().sync_all()
    }

    /// Makes it the file at `path`; of one that is there already only where it may `replace`
    /// it.
    pub(crate) fn become_file(self, path: &Path, replace: bool) -> io::Result<()> {
        let kept = if replace {
            self.file.persist(path)
        } else {
            self.file.persist_noclobber(path)
        };
        kept.map(drop).map_err(|lost| lost.error)
    }

    /// Removes the drafts in the folder that nobody writes any more. What cannot be removed
    /// stays: it is in nobody's way.
    fn sweep(&self, folder: &Path) {
        let entries = fs::read_dir(folder).into_iter().flatten().flatten();
        for entry in entries.filter(|entry| self.is_another(entry)) {
            remove_if_left(&entry.path());
        }
    }

    /// Whether that is another draft, of the same owner.
    fn is_another(&self, entry: &DirEntry) -> bool {
        let name = entry.file_name();
        Some(&*name) != self.file.path().file_name()
            && is_draft(&name)
            && entry.metadata().is_ok_and(|other| {
                let own = self.file.as_file().metadata();
                other.is_file() && own.is_ok_and(|own| have_one_owner(&own, &other))
            })
    }
}

/// Removes a draft under its own lock, so that nobody begins to write it meanwhile.
fn remove_if_left(path: &Path) {
    let Ok(draft) = File::open(path) else {
        return;
    };
    if draft.try_lock().is_ok() {
        // Somebody else may have removed it.
        let _ = fs::remove_file(path);
    }
}

/// Whether a draft could be called so.
fn is_draft(name: &OsStr) -> bool {
    let name = name.to_str();
    let inside = name.and_then(|name| name.strip_prefix(BEGINS)?.strip_suffix(ENDS));
    inside.is_some_and(|chance| {
        chance.len() == CHANCE && chance.bytes().all(|sign| sign.is_ascii_alphanumeric())
    })
}

#[cfg(unix)]
fn have_one_owner(one: &Metadata, other: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    one.uid() == other.uid()
}

#[cfg(not(unix))]
fn have_one_owner(_one: &Metadata, _other: &Metadata) -> bool {
    true
}

/// Says who may read the new file: as the one it replaces, else as any new file.
#[cfg(unix)]
fn permit(builder: &mut Builder<'_, '_>, path: &Path) {
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

/// The mask of the user holds for new files alone: one that is replaced keeps who may what.
#[cfg(unix)]
fn keep_permissions(file: &NamedTempFile, path: &Path) -> io::Result<()> {
    match fs::metadata(path) {
        Ok(replaced) => file.as_file().set_permissions(replaced.permissions()),
        Err(_) => Ok(()),
    }
}

#[cfg(not(unix))]
fn keep_permissions(_file: &NamedTempFile, _path: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(not(unix))]
fn permit(_builder: &mut Builder<'_, '_>, _path: &Path) {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_drafts_name_is_one() {
        let folder = tempfile::tempdir().unwrap();
        let draft = Draft::of(&folder.path().join("bed.toml")).unwrap();
        assert!(is_draft(draft.file.path().file_name().unwrap()));
        for other in [
            ".moulder-.part",
            ".moulder-notes.part",
            ".moulder-abc12.part",
            ".moulder-abc123",
            "moulder-abc123.part",
            ".moulder-abc-12.part",
        ] {
            assert!(!is_draft(OsStr::new(other)), "{other}");
        }
    }

    /// Two programs that write into one folder leave each other's drafts alone, and a draft
    /// that was swept away before it was locked does not count as one.
    #[test]
    fn a_draft_that_is_written_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bed.toml");
        let first = Draft::of(&path).unwrap();
        let second = Draft::of(&path).unwrap();
        assert!(first.file.path().exists() && second.file.path().exists());
        let begun = Draft::begun(&path, folder.path()).unwrap();
        first.sweep(folder.path());
        assert!(second.file.path().exists() && !begun.file.path().exists());
        assert!(!begun.is_held());
    }
}
