//! The constants, found in the source: every `Value` and, of the laws, every fixed number at the
//! top of a file, with what its comment says of it. From them the page on the constants, and the
//! library's own list.

use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use moulder::internals::library::sources::Constant;
use moulder_core::value::{Spread, Status, Value};
use syn::{Attribute, Expr, Item, ItemConst, ItemStatic, Lit, Meta, Type};

/// First line of the page, so that nobody edits it.
const MADE: &str = "<!-- Made by `cargo run --example write_docs`: change the source instead. -->";

/// Sections of values with spreads: heading, what they are, and the folder they are from.
const SECTIONS: [(&str, &str, &str); 7] = [
    (
        "Laws",
        "A realisation draws each once, for the whole bed, as far as it is in the table of \
         `bed/parameters.rs`.",
        "crates/moulder-core/src",
    ),
    (
        "Weather and site",
        "How daily weather is made from monthly normals. Realisations draw the first; the others \
         describe how their years differ, and are taken at their best values.",
        "crates/moulder/src/model",
    ),
    (
        "Climates of places",
        "How far an estimated climate may be off, one standard scale of Student's t with four \
         degrees of freedom; realisations draw the errors. At their best values.",
        "crates/moulder-places/src",
    ),
    (
        "What is given, and the laws as a whole",
        "Error factors of what an owner gives of a bed, and the scale of the model discrepancy \
         of its class, which realisations draw; what figures of a family have in common and how \
         a discrepancy fades, at their best values.",
        "crates/moulder/src/uncertainty",
    ),
    (
        "Tape measure readings",
        "Standard deviations of the errors of readings, at their best values.",
        "crates/moulder/src/fit",
    ),
    (
        "Crops and gases",
        "Needs of crops and factors of gases, for what is said of nitrogen and climate.",
        "crates/moulder/src/library",
    ),
    (
        "A year's nitrogen",
        "How a year is judged by what its crop found.",
        "crates/moulder/src/forecast",
    ),
];

/// Heading of the fixed numbers.
const FIXED: &str = "Fixed numbers of the laws";
/// Folders of the laws that they are from.
const FIXED_FROM: [&str; 3] = ["law/", "bed/", "rate/"];

/// The page, from the source below a root.
///
/// # Errors
///
/// A file that cannot be read or is no Rust, or a value that is not written out.
pub(crate) fn page(root: &Path) -> Result<String, Box<dyn Error>> {
    let mut page = format!(
        "{MADE}\n\n# Constants\n\n\
         Every sourced value that is no figure of a material, and every named fixed number of the \
         laws, as the source code has them; [the model](model.md) has the equations. The best value is the median, the spread \
         the 10 % and 90 % quantiles of what the true value may be. Status: *read* in the source \
         or computed from what was read there; *memory*, recalled from the literature and not \
         read again; *judgement*, ours, no source gives it. The figures of materials are listed \
         by `moulder materials NAME`.\n"
    );
    for (heading, lead, folder) in SECTIONS {
        let _ = write!(
            page,
            "\n## {heading}\n\n{lead}\n\n\
             | constant | file | meaning | best | spread | unit | status | source |\n\
             | --- | --- | --- | --- | --- | --- | --- | --- |\n"
        );
        for file in files(root, folder)? {
            for item in file.items.iter().filter_map(as_static) {
                page.push_str(&Found::of(&file.name, item)?.row());
            }
        }
    }
    let _ = write!(
        page,
        "\n## {FIXED}\n\nNumbers that are not varied: physical constants, published coefficients, \
         widths of smooth transitions. Meaning, unit and source as in the comment there.\n\n\
         | constant | file | meaning | value |\n| --- | --- | --- | --- |\n"
    );
    let [(_, _, laws), ..] = SECTIONS;
    for file in files(root, laws)? {
        if FIXED_FROM.iter().any(|from| file.name.starts_with(from)) {
            for item in file.items.iter().filter_map(as_number) {
                let _ = writeln!(
                    page,
                    "| `{}` | `{}` | {} | {} |",
                    item.ident,
                    file.name,
                    cell(&meaning(&item.attrs)),
                    cell(&written(item, &file.text))
                );
            }
        }
    }
    Ok(page)
}

/// The library's list of the constants as JSON, from the source below a root.
///
/// # Errors
///
/// As of [`page`].
pub(crate) fn list(root: &Path) -> Result<String, Box<dyn Error>> {
    let mut constants = Vec::new();
    for (_, _, folder) in SECTIONS {
        for file in files(root, folder)? {
            for item in file.items.iter().filter_map(as_static) {
                constants.push(Found::of(&file.name, item)?.constant()?);
            }
        }
    }
    Ok(serde_json::to_string_pretty(&constants)? + "\n")
}

/// A text as a cell of a table.
pub(crate) fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('<', "&lt;")
}

/// A file of the source.
struct Source {
    /// Its path below the folder.
    name: String,
    text: String,
    items: Vec<Item>,
}

/// Every file below a folder, in order of path.
fn files(root: &Path, folder: &str) -> Result<Vec<Source>, Box<dyn Error>> {
    let folder = root.join(folder);
    let mut paths = Vec::new();
    rust_files(&folder, &mut paths)?;
    let mut files = Vec::new();
    for path in paths {
        let parts = path.strip_prefix(&folder)?.components();
        let parts: Vec<_> = parts
            .map(|part| part.as_os_str().to_string_lossy())
            .collect();
        let text = fs::read_to_string(&path)?;
        files.push(Source {
            name: parts.join("/"),
            items: syn::parse_file(&text)?.items,
            text,
        });
    }
    files.sort_by(|one, other| one.name.cmp(&other.name));
    Ok(files)
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) -> std::io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            rust_files(&path, found)?;
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    Ok(())
}

/// A static `Value`.
fn as_static(item: &Item) -> Option<&ItemStatic> {
    match item {
        Item::Static(item) if is_type(&item.ty, "Value") => Some(item),
        _ => None,
    }
}

/// A constant that is a number.
fn as_number(item: &Item) -> Option<&ItemConst> {
    match item {
        Item::Const(item) if is_type(&item.ty, "f64") => Some(item),
        _ => None,
    }
}

fn is_type(of: &Type, name: &str) -> bool {
    matches!(of, Type::Path(path) if path.path.is_ident(name))
}

/// A static `Value`, its numbers as they are written.
struct Found {
    name: String,
    file: String,
    meaning: String,
    best: String,
    low: String,
    high: String,
    unit: String,
    source: String,
    status: String,
}

impl Found {
    fn of(file: &str, item: &ItemStatic) -> Result<Self, Box<dyn Error>> {
        let name = item.ident.to_string();
        let odd = || format!("{file}: {name} is not `Value::new` of plain numbers and texts");
        let given = arguments(&item.expr).ok_or_else(odd)?;
        let [best, spread, unit, source, Expr::Path(status)] = given.as_slice() else {
            return Err(odd().into());
        };
        let ends = arguments(spread).ok_or_else(odd)?;
        let [low, high] = ends.as_slice() else {
            return Err(odd().into());
        };
        let [Some(best), Some(low), Some(high)] = [*best, *low, *high].map(number) else {
            return Err(odd().into());
        };
        let (unit, source) = text(unit).zip(text(source)).ok_or_else(odd)?;
        let status = status.path.segments.last().ok_or_else(odd)?;
        Ok(Self {
            file: file.to_owned(),
            meaning: meaning(&item.attrs),
            best,
            low,
            high,
            unit,
            source,
            status: status.ident.to_string().to_lowercase(),
            name,
        })
    }

    /// A row of the table of values.
    fn row(&self) -> String {
        format!(
            "| `{}` | `{}` | {} | {} | {} to {} | {} | {} | {} |\n",
            self.name,
            self.file,
            cell(&self.meaning),
            self.best,
            self.low,
            self.high,
            cell(&self.unit),
            self.status,
            cell(&self.source)
        )
    }

    fn constant(self) -> Result<Constant, Box<dyn Error>> {
        let status = match self.status.as_str() {
            "read" => Status::Read,
            "memory" => Status::Memory,
            _ => Status::Judgement,
        };
        Ok(Constant {
            name: self.name,
            file: self.file,
            meaning: self.meaning,
            value: Value {
                best: self.best.parse()?,
                spread: Spread::new(self.low.parse()?, self.high.parse()?),
                unit: self.unit.into(),
                source: self.source.into(),
                status,
                shared_by: None,
            },
        })
    }
}

/// Arguments of a call.
fn arguments(call: &Expr) -> Option<Vec<&Expr>> {
    match call {
        Expr::Call(call) => Some(call.args.iter().collect()),
        _ => None,
    }
}

/// A number as written, without a full stop at its end.
fn number(written: &Expr) -> Option<String> {
    match written {
        Expr::Lit(literal) => match &literal.lit {
            Lit::Float(number) => Some(short(number.base10_digits())),
            _ => None,
        },
        Expr::Unary(minus) => Some(format!("-{}", number(&minus.expr)?)),
        _ => None,
    }
}

fn short(digits: &str) -> String {
    digits.strip_suffix(".0").unwrap_or(digits).to_owned()
}

fn text(written: &Expr) -> Option<String> {
    match written {
        Expr::Lit(literal) => match &literal.lit {
            Lit::Str(text) => Some(text.value()),
            _ => None,
        },
        _ => None,
    }
}

/// What a constant is set to, as written in that source.
fn written(item: &ItemConst, source: &str) -> String {
    if let Some(number) = number(&item.expr) {
        return number;
    }
    let start = format!("const {}: f64 =", item.ident);
    let after = source.split_once(&start).map_or("", |(_, after)| after);
    let until = after.split_once(';').map_or(after, |(until, _)| until);
    let words: Vec<&str> = until.split_whitespace().collect();
    format!("`{}`", words.join(" "))
}

/// The first paragraph of a comment, as Markdown without links.
fn meaning(attributes: &[Attribute]) -> String {
    let mut words = String::new();
    for attribute in attributes.iter().filter(|one| one.path().is_ident("doc")) {
        let Meta::NameValue(doc) = &attribute.meta else {
            continue;
        };
        let line = text(&doc.value).unwrap_or_default();
        if line.trim().is_empty() {
            break;
        }
        if !words.is_empty() {
            words.push(' ');
        }
        words.push_str(line.trim());
    }
    words.replace("[`", "`").replace("`]", "`")
}
