//! Packs towns and climate normals into the sets that ship with `moulder-places`.
//!
//! ```text
//! cargo run --release --example pack_climates -- FOLDER
//! cargo run --example pack_climates -- FOLDER SET.bin
//! ```
//!
//! The folder holds `stations_1991_2020.csv`, `grid_1deg.csv`, `grid_2deg.csv` and
//! `places_25000.csv`, which are too large for this repository: `docs/model.md` says where they
//! are from and `inputs.sha256` beside this file has their checksums; `regions.csv` lies here.
//! Without a second word it writes the full and the light set into the crate; with one, a set of
//! one degree of everything in the folder, as for the sample that the tests pack again.
#![allow(clippy::print_stdout, reason = "an example shows its answer")]

mod raw;

use std::error::Error;
use std::fs;
use std::path::Path;

use raw::Raw;

fn main() -> Result<(), Box<dyn Error>> {
    let mut words = std::env::args().skip(1);
    let folder = words
        .next()
        .ok_or("which folder? See the head of the file")?;
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let regions = root.join("examples/pack_climates/regions.csv");
    let raw = Raw::read(Path::new(&folder), &regions)?;
    let sets = if let Some(to) = words.next() {
        vec![(to.into(), raw.tables(Path::new(&folder))?)]
    } else {
        let data = root.join("crates/moulder-places/data");
        vec![
            (data.join("full.bin"), raw.tables(Path::new(&folder))?),
            (data.join("light.bin"), raw.light(Path::new(&folder))?),
        ]
    };
    for (to, tables) in sets {
        let (cells, stations, towns) = (
            tables.cells.len(),
            tables.stations.len(),
            tables.towns.len(),
        );
        let packed = tables.packed();
        fs::write(&to, &packed)?;
        println!(
            "{}: {cells} cells, {stations} stations, {towns} towns in {} bytes",
            to.display(),
            packed.len()
        );
    }
    Ok(())
}
