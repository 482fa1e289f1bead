//! Writes the pages under `docs/` from their source tables. Tests check that they match.

#![allow(clippy::print_stdout, reason = "an example shows what it did")]

mod constants;

use std::error::Error;
use std::path::Path;

use moulder::internals::read::manual::{bed_file_page, codes_page, plan_file_page};

fn main() -> Result<(), Box<dyn Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let docs = root.join("docs");
    std::fs::create_dir_all(&docs)?;
    for (name, page) in [
        ("bed-file.md", bed_file_page()),
        ("plan-file.md", plan_file_page()),
        ("codes.md", codes_page()),
        ("constants.md", constants::page(root)?),
    ] {
        std::fs::write(docs.join(name), page)?;
        println!("docs/{name} is written.");
    }
    Ok(())
}
