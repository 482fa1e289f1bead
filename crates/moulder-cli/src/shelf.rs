//! The shelf that ships with the program, with the user's own files laid over it.

use moulder::internals::fault::error::Error;
use std::fmt::Write;

use moulder::internals::fault::FaultCode;
use moulder::internals::library::Library;
use moulder::internals::library::material::Material;
use moulder::internals::text::limit::SHELF_BYTES;
use moulder::internals::text::phrase::joined;

use crate::arguments::ShelfArguments;
use crate::complaint::Complaint;
use crate::lines::safe;
use crate::refusal::Refusal;
use crate::text_file::TextFile;
use crate::trouble::Trouble;

/// The user's files laid over our shelf, the last on top; and what is wrong with them.
pub(crate) fn with_own(asked: &ShelfArguments) -> Result<(Library, Vec<Complaint>), Trouble> {
    let mut library = Library::built_in();
    let mut complaints = Vec::new();
    for path in &asked.shelf {
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

/// The material of a name, which was typed after that option; or what is nearest to it.
pub(crate) fn named<'a>(
    library: &'a Library,
    name: &str,
    option: &str,
) -> Result<&'a Material, Trouble> {
    let Some(material) = library.find_material(name) else {
        let mut said = format!("There is no \"{}\" on the shelf.", safe(name));
        let nearest = library.materials_like(name);
        if !nearest.is_empty() {
            let names: Vec<String> = nearest.iter().map(|near| format!("\"{near}\"")).collect();
            let _ = write!(said, " Did you mean {}?", joined(&names, "or"));
        }
        said.push_str(" moulder materials lists all there is.");
        let refusal = Refusal::new(FaultCode::UnknownMaterial, said);
        let refusal = refusal.option(option).found(name, &nearest);
        return Err(Trouble::bad_input(refusal));
    };
    Ok(material)
}

/// The material of a name, on our shelf with the user's files laid over it.
pub(crate) fn one(asked: &ShelfArguments, name: &str) -> Result<Material, Trouble> {
    let (library, complaints) = with_own(asked)?;
    if !complaints.is_empty() {
        return Err(Trouble::BadInput(complaints));
    }
    named(&library, name, "--with").cloned()
}
