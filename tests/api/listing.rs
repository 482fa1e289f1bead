//! Lists what is public in a crate, from its source alone, so that any compiler will do.
//!
//! Whatever is marked `pub` counts: the lint `unreachable_pub` sees to it that nothing is
//! so marked that nobody can reach. What stands in a private module is listed with the public
//! one above it, which hands it on, so that moving it between files changes nothing. Bodies, private fields and values are left out. What a
//! macro writes is listed as its definition says it, with what it is called with. The first
//! lines name what of other libraries stands in all that.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

use proc_macro2::{Delimiter, Group, Ident, Spacing, Span, TokenStream, TokenTree};
use syn::punctuated::Punctuated;
use syn::{
    Attribute, Expr, Field, Fields, File, ImplItem, Item, ItemImpl, ItemMod, ItemStruct, ItemTrait,
    Macro, TraitItem, Type, UseTree, Visibility, parse_quote,
};

/// What is public in a crate.
pub(crate) struct Listing {
    /// As text, by module.
    pub text: String,
    /// What it names of other libraries, such as `jiff::civil::Date`.
    pub foreign: BTreeSet<String>,
}

/// What a root file hands on of its private modules, by the names it has there.
pub(crate) struct FrontDoor {
    /// The names at the root, as they are called there.
    pub root: BTreeSet<String>,
    /// The public modules, without those hidden from the documentation.
    pub modules: BTreeSet<String>,
    /// What all of these are called where they are defined.
    names: BTreeSet<String>,
    /// Modules that are handed on whole.
    whole: BTreeSet<String>,
}

impl FrontDoor {
    /// That of the crate whose root file that is.
    pub(crate) fn of(root: &Path) -> Self {
        let mut door = Self {
            root: BTreeSet::new(),
            modules: BTreeSet::new(),
            names: BTreeSet::new(),
            whole: BTreeSet::new(),
        };
        for item in items_of(root) {
            match item {
                Item::Use(used) if is_public(&used.vis) => {
                    let mut root = BTreeSet::new();
                    door.hand_on(&used.tree, "", &mut root);
                    door.root.extend(root);
                }
                Item::Mod(inner) if is_public(&inner.vis) && !is_hidden(&inner.attrs) => {
                    door.modules.insert(inner.ident.to_string());
                    for item in inner.content.map_or_else(Vec::new, |(_, items)| items) {
                        if let Item::Use(used) = item {
                            door.hand_on(&used.tree, "", &mut BTreeSet::new());
                        }
                    }
                }
                _ => {}
            }
        }
        door
    }

    fn hand_on(&mut self, tree: &UseTree, module: &str, called: &mut BTreeSet<String>) {
        match tree {
            UseTree::Path(inner) => self.hand_on(&inner.tree, &inner.ident.to_string(), called),
            UseTree::Name(inner) => {
                self.names.insert(inner.ident.to_string());
                called.insert(inner.ident.to_string());
            }
            UseTree::Rename(inner) => {
                self.names.insert(inner.ident.to_string());
                called.insert(inner.rename.to_string());
            }
            UseTree::Glob(_) => {
                self.whole.insert(module.to_owned());
            }
            UseTree::Group(group) => {
                for tree in &group.items {
                    self.hand_on(tree, module, called);
                }
            }
        }
    }

    /// Whether an item of a module is reached through it.
    fn shows(&self, module: &str, item: &Item) -> bool {
        self.whole.contains(module) || named(item).is_some_and(|name| self.names.contains(&name))
    }

    /// Whether a macro of a module writes something that is reached through it.
    fn shows_macro(&self, module: &str, text: &str) -> bool {
        let is_word = |sign: char| sign.is_alphanumeric() || sign == '_';
        let mut words = text.split(|sign| !is_word(sign));
        self.whole.contains(module) || words.any(|word| self.names.contains(word))
    }
}

fn is_hidden(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        attribute.path().is_ident("doc")
            && attribute
                .parse_args::<Ident>()
                .is_ok_and(|word| word == "hidden")
    })
}

/// What an item is called, or the type that it is an implementation of.
fn named(item: &Item) -> Option<String> {
    match item {
        Item::Fn(item) => Some(item.sig.ident.to_string()),
        Item::Const(item) => Some(item.ident.to_string()),
        Item::Static(item) => Some(item.ident.to_string()),
        Item::Impl(item) => match &*item.self_ty {
            Type::Path(path) => path.path.segments.last().map(|last| last.ident.to_string()),
            _ => None,
        },
        item => type_name(item),
    }
}

/// The listing of the crate whose root file that is.
pub(crate) fn of(root: &Path, name: &str) -> Listing {
    listed(root, name, |_, _| true, |_, _| true)
}

/// The listing of what is reached through a front door, and of all else that is public.
pub(crate) fn by_door(root: &Path, name: &str) -> [Listing; 2] {
    let door = FrontDoor::of(root);
    [true, false].map(|is_reached| {
        listed(
            root,
            name,
            |module, item| door.shows(module, item) == is_reached,
            |module, text| door.shows_macro(module, text) == is_reached,
        )
    })
}

fn listed(
    root: &Path,
    name: &str,
    is_item: impl Fn(&str, &Item) -> bool,
    is_macro: impl Fn(&str, &str) -> bool,
) -> Listing {
    let mut modules = Vec::new();
    let folder = root.parent().unwrap();
    walk(items_of(root), folder, name, name, &mut modules);
    let types: BTreeSet<String> = modules
        .iter()
        .flat_map(|module| &module.items)
        .filter_map(type_name)
        .collect();
    // A path may begin with a module as well as with a library.
    let own: BTreeSet<String> = modules.iter().map(|module| module.name.clone()).collect();
    let mut by_path: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut listing = Listing {
        text: String::new(),
        foreign: BTreeSet::new(),
    };
    for module in modules {
        let shown: Vec<String> = module
            .items
            .into_iter()
            .filter(|item| is_of(item, &types) && is_item(&module.name, item))
            .map(written)
            .chain(
                module
                    .from_macros
                    .into_iter()
                    .filter(|text| is_macro(&module.name, text)),
            )
            .collect();
        let named = foreign_in(&shown.join("\n"), &module.imports);
        let named = named
            .into_iter()
            .filter(|path| !own.contains(root_of(path)));
        listing.foreign.extend(named);
        by_path.entry(module.path).or_default().extend(shown);
    }
    for (path, mut shown) in by_path {
        shown.sort();
        if !shown.is_empty() {
            let _ = write!(listing.text, "# {path}\n\n{}\n", shown.join("\n"));
        }
    }
    let foreign: Vec<&str> = listing.foreign.iter().map(String::as_str).collect();
    listing.text = format!(
        "Of other libraries: {}\n\n{}",
        foreign.join(", "),
        listing.text
    );
    listing
}

/// A module with what others may see of it.
struct Module {
    name: String,
    /// Where what it holds is found: its own path, or that of the public one above it.
    path: String,
    items: Vec<Item>,
    from_macros: Vec<String>,
    /// What it uses under which name.
    imports: BTreeMap<String, String>,
}

/// Where a path begins that is no other library's.
const OWN: [&str; 7] = ["alloc", "core", "crate", "self", "Self", "std", "super"];

fn root_of(path: &str) -> &str {
    path.split("::").next().unwrap()
}

fn is_foreign(path: &str) -> bool {
    let root = root_of(path);
    root.starts_with(char::is_lowercase) && !OWN.contains(&root) && !root.starts_with("moulder")
}

/// What of other libraries a text names: by what it imports, or by its whole path.
fn foreign_in(text: &str, imports: &BTreeMap<String, String>) -> BTreeSet<String> {
    let is_joined = |sign: char| sign.is_alphanumeric() || sign == '_' || sign == ':';
    text.split(|sign| !is_joined(sign))
        .map(|path| path.trim_matches(':'))
        .filter_map(|path| {
            let (root, rest) = path.split_once("::").unwrap_or((path, ""));
            match imports.get(root) {
                Some(whole) if rest.is_empty() => Some(whole.clone()),
                Some(whole) => Some(format!("{whole}::{rest}")),
                // A word alone that no import brings is of this module.
                None if rest.is_empty() => None,
                None => Some(path.to_owned()),
            }
        })
        .filter(|path| is_foreign(path))
        .collect()
}

/// Takes in what a `use` brings, by the name it goes under.
fn import(tree: &UseTree, path: &str, imports: &mut BTreeMap<String, String>) {
    let joined = |name: &Ident| {
        if path.is_empty() {
            name.to_string()
        } else {
            format!("{path}::{name}")
        }
    };
    match tree {
        UseTree::Path(inner) => import(&inner.tree, &joined(&inner.ident), imports),
        UseTree::Name(inner) if inner.ident == "self" => {
            let name = path.rsplit("::").next().unwrap();
            imports.insert(name.to_owned(), path.to_owned());
        }
        UseTree::Name(inner) => {
            imports.insert(inner.ident.to_string(), joined(&inner.ident));
        }
        // A trait brought in without a name cannot be named.
        UseTree::Rename(inner) if inner.rename == "_" => {}
        UseTree::Rename(inner) => {
            imports.insert(inner.rename.to_string(), joined(&inner.ident));
        }
        UseTree::Group(group) => {
            for tree in &group.items {
                import(tree, path, imports);
            }
        }
        UseTree::Glob(_) => {}
    }
}

fn items_of(file: &Path) -> Vec<Item> {
    let text =
        fs::read_to_string(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    syn::parse_file(&text)
        .unwrap_or_else(|error| panic!("{}: {error}", file.display()))
        .items
}

/// Takes in a module and those below it, whose files lie in that folder.
fn walk(items: Vec<Item>, folder: &Path, name: &str, path: &str, modules: &mut Vec<Module>) {
    let hidden: BTreeSet<String> = items.iter().filter_map(hidden_module).collect();
    let mut module = Module {
        name: name.to_owned(),
        path: path.to_owned(),
        items: Vec::new(),
        from_macros: Vec::new(),
        imports: BTreeMap::new(),
    };
    for item in items {
        if is_for_tests(attributes(&item)) {
            continue;
        }
        if let Item::Use(used) = &item {
            import(&used.tree, "", &mut module.imports);
        }
        match item {
            Item::Mod(inner) => {
                let name = inner.ident.to_string();
                let below = folder.join(&name);
                let path = if is_public(&inner.vis) {
                    format!("{path}::{name}")
                } else {
                    path.to_owned()
                };
                walk(content(inner, folder), &below, &name, &path, modules);
            }
            // What it hands on is listed with it.
            Item::Use(used) if names_any(&used.tree, &hidden) => {}
            Item::Macro(called) => module
                .from_macros
                .extend(macro_text(&called.mac, called.ident.as_ref())),
            item => module.items.extend(outside(item)),
        }
    }
    modules.push(module);
}

fn hidden_module(item: &Item) -> Option<String> {
    match item {
        Item::Mod(inner) if !is_public(&inner.vis) => Some(inner.ident.to_string()),
        _ => None,
    }
}

/// Whether a path goes through one of these modules.
fn names_any(tree: &UseTree, modules: &BTreeSet<String>) -> bool {
    match tree {
        UseTree::Path(inner) => {
            modules.contains(&inner.ident.to_string()) || names_any(&inner.tree, modules)
        }
        UseTree::Group(group) => group.items.iter().any(|tree| names_any(tree, modules)),
        _ => false,
    }
}

/// What a module holds, in its braces or in its file.
fn content(module: ItemMod, folder: &Path) -> Vec<Item> {
    if let Some((_, items)) = module.content {
        return items;
    }
    let name = module.ident.to_string();
    let files: [PathBuf; 2] = [
        folder.join(format!("{name}.rs")),
        folder.join(&name).join("mod.rs"),
    ];
    let file = files.iter().find(|file| file.exists());
    items_of(
        file.unwrap_or_else(|| panic!("no file for the module {name} in {}", folder.display())),
    )
}

fn attributes(item: &Item) -> &[Attribute] {
    match item {
        Item::Const(item) => &item.attrs,
        Item::Enum(item) => &item.attrs,
        Item::Fn(item) => &item.attrs,
        Item::Impl(item) => &item.attrs,
        Item::Macro(item) => &item.attrs,
        Item::Mod(item) => &item.attrs,
        Item::Static(item) => &item.attrs,
        Item::Struct(item) => &item.attrs,
        Item::Trait(item) => &item.attrs,
        Item::Type(item) => &item.attrs,
        Item::Use(item) => &item.attrs,
        _ => &[],
    }
}

fn is_for_tests(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        attribute.path().is_ident("cfg")
            && attribute
                .parse_args::<Ident>()
                .is_ok_and(|word| word == "test" || word == "doctest")
    })
}

/// Those attributes that a caller can feel.
fn keep(attributes: &mut Vec<Attribute>) {
    const FELT: [&str; 4] = ["cfg", "derive", "must_use", "non_exhaustive"];
    attributes.retain(|attribute| FELT.iter().any(|name| attribute.path().is_ident(name)));
}

fn is_public(visibility: &Visibility) -> bool {
    matches!(visibility, Visibility::Public(_))
}

/// What of an item is seen from outside; none of what is private.
fn outside(mut item: Item) -> Option<Item> {
    let hidden: Expr = parse_quote!(_);
    match &mut item {
        Item::Const(item) if is_public(&item.vis) => {
            keep(&mut item.attrs);
            *item.expr = hidden;
        }
        Item::Static(item) if is_public(&item.vis) => {
            keep(&mut item.attrs);
            *item.expr = hidden;
        }
        Item::Enum(item) if is_public(&item.vis) => {
            keep(&mut item.attrs);
            for variant in &mut item.variants {
                keep(&mut variant.attrs);
                for field in &mut variant.fields {
                    keep(&mut field.attrs);
                }
            }
        }
        Item::Fn(item) if is_public(&item.vis) => {
            keep(&mut item.attrs);
            *item.block = parse_quote!({});
        }
        Item::Struct(item) if is_public(&item.vis) => open_struct(item),
        Item::Trait(item) if is_public(&item.vis) => open_trait(item),
        Item::Type(item) if is_public(&item.vis) => keep(&mut item.attrs),
        Item::Use(item) if is_public(&item.vis) => keep(&mut item.attrs),
        Item::Impl(item) => {
            if !open_impl(item) {
                return None;
            }
        }
        _ => return None,
    }
    Some(item)
}

/// A struct with its private fields as one that has no name.
fn open_struct(item: &mut ItemStruct) {
    keep(&mut item.attrs);
    match &mut item.fields {
        Fields::Named(fields) => {
            let (mut open, hidden): (Vec<Field>, Vec<Field>) = std::mem::take(&mut fields.named)
                .into_iter()
                .partition(|field| is_public(&field.vis));
            for field in &mut open {
                keep(&mut field.attrs);
            }
            open.extend(hidden.into_iter().next().map(nameless));
            fields.named = Punctuated::from_iter(open);
        }
        Fields::Unnamed(fields) => {
            for field in &mut fields.unnamed {
                keep(&mut field.attrs);
                if !is_public(&field.vis) {
                    field.ty = parse_quote!(_);
                }
            }
        }
        Fields::Unit => {}
    }
}

/// That a struct has private fields can be felt: it cannot be written down elsewhere.
fn nameless(mut field: Field) -> Field {
    field.attrs.clear();
    field.ident = Some(Ident::new("_", Span::call_site()));
    field.ty = parse_quote!(_);
    field
}

fn open_trait(item: &mut ItemTrait) {
    keep(&mut item.attrs);
    for part in &mut item.items {
        if let TraitItem::Fn(function) = part {
            keep(&mut function.attrs);
            // Empty braces say that one need not write it oneself.
            function.default = function.default.take().map(|_| parse_quote!({}));
        } else if let TraitItem::Const(constant) = part {
            keep(&mut constant.attrs);
        } else if let TraitItem::Type(kind) = part {
            keep(&mut kind.attrs);
        }
    }
}

/// Leaves what is seen of an implementation; false when that is nothing.
fn open_impl(item: &mut ItemImpl) -> bool {
    keep(&mut item.attrs);
    let is_own = item.trait_.is_none();
    item.items.retain_mut(|part| match part {
        ImplItem::Fn(function) => {
            keep(&mut function.attrs);
            function.block = parse_quote!({});
            is_own && is_public(&function.vis)
        }
        ImplItem::Const(constant) => {
            keep(&mut constant.attrs);
            constant.expr = parse_quote!(_);
            is_own && is_public(&constant.vis)
        }
        // What a trait's own types are is part of what one works with.
        ImplItem::Type(_) => true,
        _ => false,
    });
    !is_own || !item.items.is_empty()
}

fn type_name(item: &Item) -> Option<String> {
    match item {
        Item::Enum(item) => Some(item.ident.to_string()),
        Item::Struct(item) => Some(item.ident.to_string()),
        Item::Trait(item) => Some(item.ident.to_string()),
        Item::Type(item) => Some(item.ident.to_string()),
        _ => None,
    }
}

/// Whether an item belongs to these types, should it be an implementation at all.
fn is_of(item: &Item, types: &BTreeSet<String>) -> bool {
    let Item::Impl(item) = item else {
        return true;
    };
    if item.trait_.is_none() {
        return true;
    }
    let mut whose = &*item.self_ty;
    while let Type::Reference(reference) = whose {
        whose = &reference.elem;
    }
    let Type::Path(path) = whose else {
        return false;
    };
    let last = path.path.segments.last();
    last.is_some_and(|segment| types.contains(&segment.ident.to_string()))
}

fn written(item: Item) -> String {
    prettyplease::unparse(&File {
        shebang: None,
        frontmatter: None,
        attrs: Vec::new(),
        items: vec![item],
    })
}

/// What a macro's definition makes public, or what it is called with.
fn macro_text(called: &Macro, defined: Option<&Ident>) -> Option<String> {
    let Some(name) = defined else {
        let name = called.path.segments.last()?.ident.to_string();
        let tokens = without_docs(called.tokens.clone()).to_string();
        return Some(format!(
            "{name}! {{\n    {}\n}}\n",
            tokens.replace(" ; ", ";\n    ")
        ));
    };
    let mut lines = Vec::new();
    public_parts(called.tokens.clone(), &mut lines);
    (!lines.is_empty()).then(|| format!("macro {name} writes:\n    {}\n", lines.join("\n    ")))
}

/// The tokens without comments for readers.
fn without_docs(tokens: TokenStream) -> TokenStream {
    let mut kept: Vec<TokenTree> = Vec::new();
    for token in tokens {
        if let TokenTree::Group(group) = &token {
            let is_doc = group.delimiter() == Delimiter::Bracket
                && group.stream().to_string().starts_with("doc");
            let follows_hash =
                matches!(kept.last(), Some(TokenTree::Punct(sign)) if sign.as_char() == '#');
            if is_doc && follows_hash {
                kept.pop();
                continue;
            }
            let inner = Group::new(group.delimiter(), without_docs(group.stream()));
            kept.push(TokenTree::Group(inner));
        } else {
            kept.push(token);
        }
    }
    kept.into_iter().collect()
}

/// From each `pub` to where its head ends; with the braces of a type.
fn public_parts(tokens: TokenStream, lines: &mut Vec<String>) {
    let mut tokens = tokens.into_iter().peekable();
    while let Some(token) = tokens.next() {
        match token {
            TokenTree::Group(group) => public_parts(group.stream(), lines),
            TokenTree::Ident(word) if word == "pub" => {
                let mut head = vec![TokenTree::Ident(word)];
                let mut is_type = false;
                while let Some(next) = tokens.next_if(|next| !ends_a_head(next)) {
                    is_type |= matches!(&next, TokenTree::Ident(word) if word == "struct" || word == "enum");
                    head.push(next);
                }
                if is_type {
                    head.extend(tokens.next());
                }
                if !matches!(head.get(1), Some(TokenTree::Group(_))) {
                    lines.push(without_docs(head.into_iter().collect()).to_string());
                }
            }
            _ => {}
        }
    }
}

/// Whether a head ends before that token: at a body, a value or its end.
fn ends_a_head(token: &TokenTree) -> bool {
    match token {
        TokenTree::Group(group) => group.delimiter() == Delimiter::Brace,
        TokenTree::Punct(sign) => {
            sign.as_char() == ';' || (sign.as_char() == '=' && sign.spacing() == Spacing::Alone)
        }
        _ => false,
    }
}
