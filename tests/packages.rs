//! Each published crate includes in its package every file that its source needs, so that it
//! compiles from the package alone.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::{Component, Path, PathBuf};

use proc_macro2::{TokenStream, TokenTree};

/// What includes a file in the source: macros, and the attribute with a module's path.
const TAKES_A_FILE: [&str; 4] = ["include", "include_bytes", "include_str", "path"];

/// The strings in calls and attributes that include files: paths, or their beginnings.
fn taken(tokens: TokenStream) -> Vec<String> {
    let tokens: Vec<TokenTree> = tokens.into_iter().collect();
    let mut found = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        let TokenTree::Ident(word) = token else {
            if let TokenTree::Group(group) = token {
                found.extend(taken(group.stream()));
            }
            continue;
        };
        let sign = tokens.get(at + 1).map(ToString::to_string);
        let is_call = matches!(sign.as_deref(), Some("!" | "="));
        if is_call && TAKES_A_FILE.contains(&word.to_string().as_str()) {
            found.extend(tokens.get(at + 2).and_then(first_text));
        }
    }
    found
}

/// The first string in a token, as written.
fn first_text(token: &TokenTree) -> Option<String> {
    match token {
        TokenTree::Literal(literal) => {
            let text: syn::LitStr = syn::parse_str(&literal.to_string()).ok()?;
            Some(text.value())
        }
        TokenTree::Group(group) => group.stream().into_iter().find_map(|one| first_text(&one)),
        _ => None,
    }
}

/// The target of a file path within its crate; none outside it.
fn within(folder: &Path, path: &str) -> Option<PathBuf> {
    let mut place = PathBuf::new();
    for part in folder.join(path).components() {
        match part {
            Component::Normal(name) => place.push(name),
            Component::ParentDir if place.pop() => {}
            Component::CurDir => {}
            _ => return None,
        }
    }
    Some(place)
}

/// Whether a file included by a source in that folder of its crate is in the package, which
/// leaves the tests out.
fn is_packed(folder: &Path, path: &str) -> bool {
    within(folder, path).is_some_and(|place| !place.starts_with("tests"))
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(sources(&path));
        } else if path.extension().is_some_and(|kind| kind == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}

#[test]
fn a_published_crate_includes_only_what_its_package_holds() {
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("crates");
    let mut count = 0;
    for entry in fs::read_dir(crates).unwrap() {
        let home = entry.unwrap().path();
        for file in sources(&home.join("src")) {
            let folder = file.parent().unwrap().strip_prefix(&home).unwrap();
            let text = fs::read_to_string(&file).unwrap();
            for path in taken(text.parse().unwrap()) {
                assert!(is_packed(folder, &path), "{} takes {path}", file.display());
                count += 1;
            }
        }
    }
    // The library's four files, the stations, examples of codes, starters, the font, the style.
    assert!(count >= 12, "{count}");
}

#[test]
fn what_leads_out_of_a_package_is_found() {
    let source = r#"
        #[doc = include_str!("../../../README.md")]
        #[path = "../../other/src/lib.rs"]
        mod other;
        macro_rules! bed { ($name:literal) => { include_str!(concat!("../tests/", $name)) }; }
        const FONT: &[u8] = include_bytes!("../fonts/font.ttf");
        fn link(path: &str) -> bool { path == "../../docs" }
    "#;
    let paths = taken(source.parse().unwrap());
    let expected = [
        "../../../README.md",
        "../../other/src/lib.rs",
        "../tests/",
        "../fonts/font.ttf",
    ];
    assert_eq!(paths, expected);
    let packed = paths.iter().map(|path| is_packed(Path::new("src"), path));
    assert!(packed.eq([false, false, false, true]));
}

/// The manifest in a folder of the repository.
fn manifest(folder: &str) -> toml::Table {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let text = fs::read_to_string(path.join("Cargo.toml")).unwrap();
    text.parse().unwrap()
}

/// A workspace of its own inherits nothing: what it repeats must be the same.
#[test]
fn workspaces_of_their_own_have_the_versions_of_the_workspace() {
    let ours = manifest(".");
    let workspace = &ours["workspace"];
    for folder in ["crates/moulder-python", "crates/moulder-web/module"] {
        let own = manifest(folder);
        for field in ["version", "edition", "rust-version", "license"] {
            let (own, ours) = (&own["package"][field], &workspace["package"][field]);
            assert_eq!(own, ours, "{folder} {field}");
        }
        for (name, library) in own["dependencies"].as_table().unwrap() {
            if name.starts_with("moulder") {
                let version = &workspace["dependencies"][name]["version"];
                assert_eq!(&library["version"], version, "{folder} {name}");
            }
        }
    }
    let python = manifest("crates/moulder-python");
    for (name, profile) in python["profile"]["release"]["package"].as_table().unwrap() {
        let usual = &ours["profile"]["release"]["package"][name];
        assert_eq!(profile, usual, "{name}");
    }
}

/// A workspace's `forbid` cannot be loosened, so crates at a border have a table of their own.
#[test]
fn the_lints_are_those_of_the_workspace() {
    let lints = manifest(".")["workspace"]["lints"].clone();
    assert_eq!(manifest("crates/moulder-python")["lints"], lints);
    for folder in ["crates/moulder-c", "crates/moulder-web"] {
        let mut own = manifest(folder)["lints"].clone();
        assert_eq!(own["rust"]["unsafe_code"].as_str(), Some("deny"));
        own["rust"]["unsafe_code"] = "forbid".into();
        assert_eq!(own, lints, "{folder}");
    }
}
