//! The header says what the source says, and the lints are those of the workspace.
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

/// A workspace's `forbid` cannot be loosened, so this crate has a table of its own.
#[test]
fn the_lints_are_those_of_the_workspace() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let table = |file: &Path, heading: &str| -> Vec<String> {
        let text = std::fs::read_to_string(file).unwrap();
        let (_, after) = text.split_once(&format!("\n[{heading}]\n")).unwrap();
        let lines = after.lines().take_while(|line| !line.starts_with('['));
        let mut lines: Vec<String> = lines
            .filter(|line| !line.is_empty() && !line.starts_with('#'))
            .map(str::to_owned)
            .collect();
        lines.sort();
        lines
    };
    for kind in ["rust", "clippy", "rustdoc"] {
        let own = table(&root.join("Cargo.toml"), &format!("lints.{kind}"));
        let all = table(
            &root.join("../../Cargo.toml"),
            &format!("workspace.lints.{kind}"),
        );
        let all: Vec<String> = all
            .into_iter()
            .map(|line| line.replace("unsafe_code = \"forbid\"", "unsafe_code = \"deny\""))
            .collect();
        assert_eq!(own, all, "{kind}");
    }
}
