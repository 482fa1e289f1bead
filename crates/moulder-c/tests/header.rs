//! The header says what the source says.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::Path;

/// Written anew with `WRITE_HEADER=1 cargo test -p moulder-c`.
#[test]
fn the_header_is_that_of_the_source() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let config = cbindgen::Config::from_file(root.join("cbindgen.toml")).unwrap();
    let header = cbindgen::Builder::new()
        .with_config(config)
        .with_src(root.join("src/lib.rs"))
        .generate()
        .unwrap();
    let mut made = Vec::new();
    header.write(&mut made);
    let path = root.join("include/moulder.h");
    if std::env::var_os("WRITE_HEADER").is_some() {
        std::fs::write(&path, &made).unwrap();
    }
    assert!(
        std::fs::read(&path).unwrap() == made,
        "include/moulder.h is stale"
    );
}
