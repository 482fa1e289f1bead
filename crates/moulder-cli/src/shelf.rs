//! The shelf that ships with the program, with the user's own files laid over it.

use std::fmt::Write;

use moulder::fault::FaultCode;
use moulder::library::material::Material;
use moulder::library::materials::Catalogue;
use moulder::text::limit::SHELF_BYTES;
use moulder::text::phrase::joined;

use crate::arguments::ShelfArguments;
use crate::complaint::Complaint;
use crate::lines::safe;
use crate::refusal::Refusal;
use crate::text_file::TextFile;
use crate::trouble::Trouble;

/// The user's files laid over our shelf, the last on top; and what is wrong with them.
pub(crate) fn with_own(asked: &ShelfArguments) -> Result<(Catalogue, Vec<Complaint>), Trouble> {
    let mut shelf = Catalogue::built_in();
    let mut complaints = Vec::new();
    for path in &asked.shelf {
        let file = TextFile::open(path, SHELF_BYTES)?;
        match Catalogue::from_toml(&file.text) {
            Ok(own) => shelf = shelf.overlaid(own),
            Err(faults) => complaints.push(Complaint::of_shelf(&file, &faults)),
        }
    }
    Ok((shelf, complaints))
}

/// The material of a name, which was typed after that option; or what is nearest to it.
pub(crate) fn named<'a>(
    shelf: &'a Catalogue,
    name: &str,
    option: &str,
) -> Result<&'a Material, Trouble> {
    let Some(material) = shelf.find(name) else {
        let mut said = format!("There is no \"{}\" on the shelf.", safe(name));
        let nearest = shelf.nearest(name);
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
    let (shelf, complaints) = with_own(asked)?;
    if !complaints.is_empty() {
        return Err(Trouble::BadInput(complaints));
    }
    named(&shelf, name, "--with").cloned()
}
