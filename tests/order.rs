//! Which folder may use which: data flow one way, and no file is in a large import cycle.
//!
//! Paths are read from the source itself, without test-only code.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::str::FromStr as _;

use proc_macro2::{Delimiter, TokenStream, TokenTree};

/// The folders of each crate in their order; each may use those before it and itself. Files
/// beside the folders are named as well.
const ORDERS: [(&str, &[&str]); 5] = [
    (
        "moulder-core",
        &["value", "math", "weather", "law", "bed", "rate"],
    ),
    (
        "moulder",
        &[
            "numeric",
            "text",
            "fault",
            "quantity",
            "tree",
            "library",
            "bed",
            "model",
            "read",
            "forecast",
            "uncertainty",
            "fit",
            "feeding",
            "plan",
            "topup",
            "ledger",
            "compare",
        ],
    ),
    (
        "moulder-chart",
        &[
            "svg", "plot", "subject", "section", "chart", "kind", "error", "raster", "options",
            "front",
        ],
    ),
    (
        "moulder-bridge",
        &[
            "findings", "field", "refused", "asked", "recipe", "buying", "task", "schema", "line",
        ],
    ),
    (
        "moulder-cli",
        &["print", "trouble", "common", "command", "run"],
    ),
];

/// Largest cycle of files that import each other.
const CIRCLE: usize = 3;

/// A module by its path below the crate.
type Module = Vec<String>;
/// Each file's module and the modules that it uses.
type Uses = BTreeMap<Module, BTreeSet<Module>>;

fn source_of(name: &str) -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("crates").join(name).join("src")
}

/// The files of a crate by their modules, without test-only files.
fn files(folder: &Path, at: &[String], found: &mut BTreeMap<Module, PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let mut module = at.to_vec();
        if path.is_dir() {
            module.push(stem);
            files(&path, &module, found);
        } else if path.extension().is_some_and(|ending| ending == "rs")
            && !["tests", "support", "test_bed"].contains(&stem.as_str())
        {
            if !["mod", "lib", "main"].contains(&stem.as_str()) {
                module.push(stem);
            }
            found.insert(module, path);
        }
    }
}

/// The tokens of a file without test-only items.
fn tokens(path: &Path) -> TokenStream {
    let mut file = syn::parse_file(&fs::read_to_string(path).unwrap()).unwrap();
    file.items.retain(|item| {
        let attributes = match item {
            syn::Item::Mod(item) => &item.attrs,
            syn::Item::Use(item) => &item.attrs,
            _ => return true,
        };
        let is_test = |attribute: &syn::Attribute| {
            let list = attribute.meta.require_list();
            list.is_ok_and(|list| list.path.is_ident("cfg") && list.tokens.to_string() == "test")
        };
        !attributes.iter().any(is_test)
    });
    TokenStream::from_str(&prettyplease::unparse(&file)).unwrap()
}

/// Names in a file: paths that it uses, and paths that it re-exports under its own name.
#[derive(Default)]
struct Named {
    used: Vec<Module>,
    handed_on: Vec<Module>,
}

/// Every path that begins with `crate`, `super` or `self`, or that a `use` gives.
fn paths(tokens: TokenStream, named: &mut Named) {
    let mut tokens = tokens.into_iter().peekable();
    let mut is_public = false;
    while let Some(token) = tokens.next() {
        let was_public = is_public;
        is_public = match &token {
            TokenTree::Ident(word) => word == "pub",
            TokenTree::Group(group) => was_public && group.delimiter() == Delimiter::Parenthesis,
            _ => false,
        };
        match token {
            TokenTree::Group(group) => paths(group.stream(), named),
            TokenTree::Ident(word) if word == "use" => {
                let tree = tokens.by_ref();
                let tree: Vec<_> = tree.take_while(|token| !is_sign(token, ';')).collect();
                let found = if was_public {
                    &mut named.handed_on
                } else {
                    &mut named.used
                };
                use_tree(&tree, &[], found);
            }
            TokenTree::Ident(word) if word == "crate" || word == "super" || word == "self" => {
                let mut path = vec![word.to_string()];
                while tokens.peek().is_some_and(|token| is_sign(token, ':')) {
                    tokens.next();
                    if let Some(TokenTree::Ident(word)) = tokens.peek() {
                        path.push(word.to_string());
                        tokens.next();
                    }
                }
                // Alone it is a visibility, as in `pub(super)`.
                if path.len() > 1 {
                    named.used.push(path);
                }
            }
            _ => {}
        }
    }
}

fn is_sign(token: &TokenTree, sign: char) -> bool {
    matches!(token, TokenTree::Punct(punct) if punct.as_char() == sign)
}

fn use_tree(tokens: &[TokenTree], before: &[String], found: &mut Vec<Module>) {
    for branch in tokens.split(|token| is_sign(token, ',')) {
        let mut path = before.to_vec();
        for token in branch {
            match token {
                TokenTree::Ident(word) if word == "as" => break,
                TokenTree::Ident(word) => path.push(word.to_string()),
                TokenTree::Group(group) if group.delimiter() == Delimiter::Brace => {
                    let inner: Vec<TokenTree> = group.stream().into_iter().collect();
                    use_tree(&inner, &path, found);
                }
                _ => {}
            }
        }
        found.push(path);
    }
}

/// A name that a module re-exports, and the module it comes from.
type HandedOn = BTreeMap<(Module, String), Module>;

/// The module that defines the target of a path, seen from `here`; none outside the crate.
fn defining(
    path: &[String],
    here: &Module,
    all: &BTreeMap<Module, PathBuf>,
    handed_on: &HandedOn,
) -> Option<Module> {
    let at = resolved(path, here, all)?;
    let name = path.last()?.clone();
    Some(handed_on.get(&(at.clone(), name)).cloned().unwrap_or(at))
}

/// The module in which a path ends, seen from `here`; none outside the crate.
fn resolved(path: &[String], here: &Module, all: &BTreeMap<Module, PathBuf>) -> Option<Module> {
    let mut at: Module = match path.first()?.as_str() {
        "crate" => Vec::new(),
        "super" | "self" => here.clone(),
        child => {
            let mut child_of_here = here.clone();
            child_of_here.push(child.to_owned());
            all.contains_key(&child_of_here).then(|| here.clone())?
        }
    };
    for word in path {
        match word.as_str() {
            "crate" | "self" => {}
            "super" => {
                at.pop();
            }
            word => {
                at.push(word.to_owned());
                if !all.contains_key(&at) {
                    at.pop();
                    break;
                }
            }
        }
    }
    Some(at)
}

fn uses(name: &str) -> Uses {
    let mut all = BTreeMap::new();
    files(&source_of(name), &[], &mut all);
    let named = all.iter().map(|(module, path)| {
        let mut named = Named::default();
        paths(tokens(path), &mut named);
        (module, named)
    });
    let named: Vec<(&Module, Named)> = named.collect();
    let mut handed_on = HandedOn::new();
    for (module, named) in &named {
        for path in &named.handed_on {
            if let (Some(from), Some(name)) = (resolved(path, module, &all), path.last()) {
                handed_on.insert(((*module).clone(), name.clone()), from);
            }
        }
    }
    let mut uses = Uses::new();
    for (module, named) in named {
        let paths = named.used.iter();
        let targets = paths.filter_map(|path| defining(path, module, &all, &handed_on));
        let others = targets.filter(|target| target != module && !target.is_empty());
        uses.insert(module.clone(), others.collect());
    }
    uses
}

/// All modules reachable from a module.
fn reached(from: &Module, uses: &Uses) -> BTreeSet<Module> {
    let mut open = vec![from.clone()];
    let mut seen = BTreeSet::new();
    while let Some(module) = open.pop() {
        for next in uses.get(&module).into_iter().flatten() {
            if seen.insert(next.clone()) {
                open.push(next.clone());
            }
        }
    }
    seen
}

/// The files that import each other, the module's own among them.
fn circle(module: &Module, reach: &BTreeMap<Module, BTreeSet<Module>>) -> Vec<Module> {
    let there = reach[module].iter();
    let both = there.filter(|other| reach.get(*other).is_some_and(|back| back.contains(module)));
    both.cloned().collect()
}

#[test]
fn folders_use_only_those_before_them() {
    for (name, order) in ORDERS {
        let place = |module: &Module| {
            let folder = &module[0];
            let place = order.iter().position(|known| known == folder);
            place.unwrap_or_else(|| panic!("{name}: the order does not know `{folder}`"))
        };
        let mut arrows = 0;
        for (module, targets) in uses(name).iter().filter(|(module, _)| !module.is_empty()) {
            for target in targets {
                arrows += 1;
                assert!(
                    place(target) <= place(module),
                    "{name}: {} must not use {}",
                    module.join("::"),
                    target.join("::")
                );
            }
        }
        assert!(arrows > 25, "{name}: only {arrows} uses were found");
    }
}

#[test]
fn circles_of_files_are_small() {
    for entry in fs::read_dir(source_of("").parent().unwrap()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let uses = uses(&name);
        let reach = uses
            .keys()
            .map(|module| (module.clone(), reached(module, &uses)));
        let reach: BTreeMap<Module, BTreeSet<Module>> = reach.collect();
        for module in uses.keys() {
            let circle = circle(module, &reach);
            assert!(
                circle.len() <= CIRCLE,
                "{name}: {circle:?} import each other"
            );
        }
    }
}
