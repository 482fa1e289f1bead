//! Writes the pages under `docs/` from their source tables, and the library's list of constants
//! from the source. Tests check that they match.

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
    let list = "crates/moulder/data/constants.json";
    std::fs::write(root.join(list), constants::list(root)?)?;
    println!("{list} is written: build anew.");
    Ok(())
}
