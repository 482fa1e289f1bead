//! Hostile input: failures once found by libFuzzer (`tests/fuzz/found`) and a small corpus that
//! reaches much of the code (`tests/fuzz/corpus`), read again. The targets in `tests/fuzz` find
//! more.

#[allow(
    dead_code,
    unreachable_pub,
    reason = "the targets in tests/fuzz share it, and hold it to its limits"
)]
mod inputs;

use std::fs;
use std::path::{Path, PathBuf};

/// The files of a folder sorted by name; none where there is no folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut files: Vec<PathBuf> = entries
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .collect();
    files.sort();
    files
}

/// Every kept case is read without a panic, and satisfies its target's assertions.
#[test]
fn kept_cases_are_harmless() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz");
    for target in inputs::ALL {
        let corpus = files(&root.join("corpus").join(target.name));
        let found = files(&root.join("found").join(target.name));
        assert!(!corpus.is_empty(), "{} has no corpus", target.name);
        for file in corpus.iter().chain(&found) {
            // Shown when it fails.
            println!("{}", file.display());
            let Ok(bytes) = fs::read(file) else {
                panic!("{} cannot be read", file.display());
            };
            (target.read)(&bytes);
        }
    }
}
