//! The built-in library of materials, with the user's own files over it.

use std::iter;
use std::path::{Path, PathBuf};

use clap::Args;
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::error::Error;
use moulder::internals::library::Library;
use moulder::internals::library::material::Material;
use moulder::internals::text::limit::SHELF_BYTES;

use crate::common::text_file::TextFile;
use crate::print::lines::safe;
use crate::trouble::Trouble;
use crate::trouble::complaint::Complaint;
use crate::trouble::refusal::Refusal;

/// Materials of one's own.
#[derive(Debug, Clone, Args)]
pub(crate) struct ShelfArguments {
    /// A TOML file of your own materials, which go before ours; may be given more than once
    #[arg(long, value_name = "FILE")]
    pub(crate) shelf: Vec<PathBuf>,
}

impl ShelfArguments {
    /// The files that are read, and another.
    pub(crate) fn paths_with<'p>(&'p self, other: &'p Path) -> Vec<&'p Path> {
        let own = self.shelf.iter().map(PathBuf::as_path);
        iter::once(other).chain(own).collect()
    }

    /// The user's files over the built-in library, the last on top; and their faults.
    pub(crate) fn library(&self) -> Result<(Library, Vec<Complaint>), Trouble> {
        let mut library = Library::built_in();
        let mut complaints = Vec::new();
        for path in &self.shelf {
            let file = TextFile::open(path, SHELF_BYTES)?;
            match library.with_toml(&file.text) {
                Ok(with) => library = with,
                Err(Error::Library(faults)) => complaints.push(Complaint::of_shelf(&file, &faults)),
                Err(error) => {
                    return Err(Trouble::cannot(Refusal::new(
                        error.code(),
                        error.to_string(),
                    )));
                }
            }
        }
        Ok((library, complaints))
    }

    /// The same, refused where the files have faults.
    pub(crate) fn faultless(&self) -> Result<Library, Trouble> {
        match self.library()? {
            (library, complaints) if complaints.is_empty() => Ok(library),
            (_, complaints) => Err(Trouble::BadInput(complaints)),
        }
    }

    /// The material of a name.
    pub(crate) fn material(&self, name: &str) -> Result<Material, Trouble> {
        named(&self.faultless()?, name, "--with").cloned()
    }
}

/// The material of a name, which was typed after that option; or what is nearest to it.
pub(crate) fn named<'a>(
    library: &'a Library,
    name: &str,
    option: &str,
) -> Result<&'a Material, Trouble> {
    library.find_material(name).ok_or_else(|| {
        let said = format!("There is no \"{}\" on the shelf.", safe(name));
        let more = "moulder materials lists all there is.";
        let nearest = library.materials_like(name);
        let refusal = Refusal::unknown(FaultCode::UnknownMaterial, &said, more, name, &nearest);
        Trouble::bad_input(refusal.option(option))
    })
}
