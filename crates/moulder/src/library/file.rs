//! The format of a file of materials: its fields and their permitted values.
//!
//! The file is walked by hand before serde reads it, because serde stops at the first fault and
//! its messages are for programmers. A test compares both.

use crate::fault::FaultCode;
use crate::text::limit;
use crate::text::phrase::{joined, quoted};
use crate::text::sign;
use crate::text::suggestion::suggestions;
use crate::tree::{Entry, Node, Value};

/// What a field may hold.
enum Kind {
    Text(usize),
    Texts,
    Number,
    Pair,
    Bool,
    Word(&'static [&'static str]),
    Table(&'static Form),
    /// A list of tables, with the word for one of them.
    Tables(&'static Form, &'static str),
}

/// A field of a table.
struct Field {
    key: &'static str,
    kind: Kind,
    needed: bool,
}

/// The fields of a table.
struct Form {
    fields: &'static [Field],
}

const fn needs(key: &'static str, kind: Kind) -> Field {
    Field {
        key,
        kind,
        needed: true,
    }
}

const fn may_have(key: &'static str, kind: Kind) -> Field {
    Field {
        key,
        kind,
        needed: false,
    }
}

const fn figure(key: &'static str) -> Field {
    needs(key, Kind::Table(&FIGURE))
}

const NAME: Kind = Kind::Text(limit::NAME_CHARACTERS);
const NOTE: Kind = Kind::Text(limit::NOTE_CHARACTERS);

static FIGURE: Form = Form {
    fields: &[
        needs("best", Kind::Number),
        needs("spread", Kind::Pair),
        needs("unit", NAME),
        needs("source", NOTE),
        needs("status", Kind::Word(&["read", "memory", "judgement"])),
        may_have("shared-by", NAME),
    ],
};

static SITE: Form = Form {
    fields: &[
        needs("place", NAME),
        needs("mean-c", Kind::Number),
        needs("source", NOTE),
        figure("half-range-c"),
        figure("moisture-factor"),
    ],
};

static RATE: Form = Form {
    fields: &[
        figure("rate"),
        may_have("site", Kind::Table(&SITE)),
        may_have("across-m", Kind::Number),
        may_have("years", Kind::Number),
        may_have("fitted", Kind::Word(&["from-start", "slope"])),
    ],
};

static POOL: Form = Form {
    fields: &[
        needs("name", NAME),
        figure("share"),
        figure("humified"),
        needs("counts", Kind::Word(&["piece-left", "all-carbon-left"])),
        may_have("colonised", Kind::Table(&FIGURE)),
        may_have("in-soil", Kind::Bool),
        needs("rates", Kind::Tables(&RATE, "rate")),
    ],
};

static SHEET: Form = Form {
    fields: &[
        figure("cover"),
        figure("thickness"),
        may_have("mat", Kind::Bool),
    ],
};

static MATERIAL: Form = Form {
    fields: &[
        needs("name", NAME),
        may_have("also", Kind::Texts),
        needs("about", NOTE),
        needs("class", Kind::Word(&["wood", "plant", "soil"])),
        needs("form", Kind::Word(&["rods", "lumps"])),
        figure("mineral-share"),
        figure("carbon-share"),
        figure("carbon-to-nitrogen"),
        figure("moisture"),
        may_have("holds", Kind::Table(&FIGURE)),
        figure("organic-density"),
        figure("across"),
        figure("void-ratio"),
        figure("least-void-ratio"),
        figure("compression"),
        figure("reference-stress"),
        figure("creep"),
        figure("collapse-tipped"),
        figure("collapse-trodden"),
        figure("void-closure"),
        figure("lag"),
        figure("size-exponent"),
        may_have("wilts", Kind::Bool),
        may_have("sheet", Kind::Table(&SHEET)),
        may_have("loose", Kind::Table(&FIGURE)),
        needs("pools", Kind::Tables(&POOL, "pool")),
    ],
};

/// A fault in the format of the file.
pub(crate) struct FormatFault {
    pub(crate) code: FaultCode,
    /// Byte offset.
    pub(crate) at: usize,
    /// Index of the material at fault, if any.
    pub(crate) material: Option<usize>,
    /// What is wrong, as a plain sentence.
    message: String,
    /// An unknown name, with the form that lists the known ones.
    unknown_name: Option<(String, &'static Form)>,
}

impl FormatFault {
    /// The sentence, with suggestions, which are computed late as a file may hold more faults
    /// than are listed.
    pub(crate) fn message(&self) -> String {
        let similar = self
            .unknown_name
            .as_ref()
            .map_or_else(Vec::new, |(key, form)| {
                suggestions(key, form.fields.iter().map(|field| field.key))
            });
        let similar: Vec<String> = similar.iter().map(|key| quoted(key)).collect();
        if similar.is_empty() {
            return self.message.clone();
        }
        format!("{} Did you mean {}?", self.message, joined(&similar, "or"))
    }
}

/// A material of the file.
pub(crate) struct Start {
    /// Byte offset.
    pub(crate) at: usize,
    /// Its name, or its number.
    pub(crate) name: String,
}

/// The faults of a file and where its materials begin.
pub(crate) struct Walked {
    /// In file order.
    pub(crate) faults: Vec<FormatFault>,
    /// Its materials, in file order.
    pub(crate) starts: Vec<Start>,
}

/// Walks a file of materials.
pub(crate) fn walk(root: &Node) -> Walked {
    let mut walker = Walker {
        material: None,
        faults: Vec::new(),
    };
    let mut starts = Vec::new();
    let entries = match &root.value {
        Value::Table(entries) => entries.as_slice(),
        _ => &[],
    };
    for entry in entries.iter().filter(|entry| entry.key != "material") {
        walker.report(
            FaultCode::UnknownField,
            entry.at,
            format!(
                "{} has no place in a file of materials, which holds [[material]] only.",
                quoted(&entry.key)
            ),
        );
    }
    match entries.iter().find(|entry| entry.key == "material") {
        None => walker.report(
            FaultCode::MissingField,
            0,
            "the file holds no [[material]].".to_owned(),
        ),
        Some(entry) => starts = walker.materials(entry),
    }
    walker.faults.sort_by_key(|fault| fault.at);
    Walked {
        faults: walker.faults,
        starts,
    }
}

struct Walker {
    /// Index of the material being walked, if any.
    material: Option<usize>,
    faults: Vec<FormatFault>,
}

impl Walker {
    fn report(&mut self, code: FaultCode, at: usize, message: String) {
        self.faults.push(FormatFault {
            code,
            at,
            material: self.material,
            message,
            unknown_name: None,
        });
    }

    fn materials(&mut self, entry: &Entry) -> Vec<Start> {
        let Value::List(list) = &entry.node.value else {
            self.report(
                FaultCode::WrongKind,
                entry.at,
                "write [[material]] in two pairs of brackets, once for each material.".to_owned(),
            );
            return Vec::new();
        };
        if list.is_empty() {
            let message = "the file holds no material.".to_owned();
            self.report(FaultCode::TooFew, entry.at, message);
        }
        if list.len() > limit::SHELF_MATERIALS {
            self.report(
                FaultCode::TooMany,
                entry.at,
                format!(
                    "the file holds {} materials, and {} can be read.",
                    list.len(),
                    limit::SHELF_MATERIALS
                ),
            );
            return Vec::new();
        }
        for (i, node) in list.iter().enumerate() {
            self.material = Some(i);
            self.table(node, &MATERIAL, "it");
        }
        self.material = None;
        let start = |(i, node): (usize, &Node)| Start {
            at: node.at,
            name: name_of(node).unwrap_or_else(|| format!("material {}", i + 1)),
        };
        list.iter().enumerate().map(start).collect()
    }

    fn table(&mut self, node: &Node, form: &'static Form, what: &str) {
        let entries = match &node.value {
            Value::Table(entries) => entries,
            other => {
                return self.report(
                    FaultCode::WrongKind,
                    node.at,
                    format!("{what} must be a table of fields, not {}.", in_words(other)),
                );
            }
        };
        for entry in entries {
            match form.fields.iter().find(|field| field.key == entry.key) {
                Some(field) => self.field(&entry.node, &field.kind, &part(field.key, what)),
                None => self.unknown(entry, form, what),
            }
        }
        for field in form.fields.iter().filter(|field| field.needed) {
            if entries.iter().all(|entry| entry.key != field.key) {
                let message = format!("{what} has no {}.", quoted(field.key));
                self.report(FaultCode::MissingField, node.at, message);
            }
        }
    }

    fn unknown(&mut self, entry: &Entry, form: &'static Form, what: &str) {
        let message = format!(
            "{what} has a field {} that cannot be used.",
            quoted(&entry.key)
        );
        self.faults.push(FormatFault {
            code: FaultCode::UnknownField,
            at: entry.at,
            material: self.material,
            message,
            unknown_name: Some((entry.key.clone(), form)),
        });
    }

    fn field(&mut self, node: &Node, kind: &Kind, what: &str) {
        match (kind, &node.value) {
            (Kind::Text(most), Value::Text(text)) => self.text(node.at, text, *most, what),
            (Kind::Texts, Value::List(list)) => {
                for one in list {
                    match &one.value {
                        Value::Text(text) => {
                            self.text(one.at, text, limit::NAME_CHARACTERS, what);
                        }
                        other => self.wrong(one.at, what, "a list of texts", other),
                    }
                }
            }
            (Kind::Pair, Value::List(list))
                if list.len() == 2 && list.iter().all(|one| is_number(&one.value)) => {}
            (Kind::Pair, _) => self.report(
                FaultCode::WrongKind,
                node.at,
                format!("{what} must be a pair of numbers such as [0.2, 0.4], the low one first."),
            ),
            (Kind::Number, value) if is_number(value) => {}
            (Kind::Bool, Value::Bool(_)) => {}
            (Kind::Word(words), Value::Text(word)) => {
                if !words.contains(&word.as_str()) {
                    let words: Vec<String> = words.iter().map(|word| quoted(word)).collect();
                    self.report(
                        FaultCode::UnknownWord,
                        node.at,
                        format!(
                            "{what} must be {}, not {}.",
                            joined(&words, "or"),
                            quoted(word)
                        ),
                    );
                }
            }
            (Kind::Table(form), _) => self.table(node, form, what),
            (Kind::Tables(form, one), Value::List(list)) => {
                let whole = what.split_once(" of ").map(|(_, whole)| whole);
                for (i, node) in list.iter().enumerate() {
                    let what = match whole {
                        Some(whole) => format!("{one} {} of {whole}", i + 1),
                        None => format!("its {one} {}", i + 1),
                    };
                    self.table(node, form, &what);
                }
            }
            (Kind::Text(_) | Kind::Word(_), other) => self.wrong(node.at, what, "a text", other),
            (Kind::Texts, other) => self.wrong(node.at, what, "a list of texts", other),
            (Kind::Number, other) => self.wrong(node.at, what, "a number", other),
            (Kind::Bool, other) => self.wrong(node.at, what, "true or false", other),
            (Kind::Tables(..), other) => self.wrong(node.at, what, "a list of tables", other),
        }
    }

    fn wrong(&mut self, at: usize, what: &str, wanted: &str, found: &Value) {
        let found = in_words(found);
        let message = format!("{what} must be {wanted}, not {found}.");
        self.report(FaultCode::WrongKind, at, message);
    }

    fn text(&mut self, at: usize, text: &str, most: usize, what: &str) {
        let (code, message) = if text.trim().is_empty() {
            (FaultCode::BadText, "is empty".to_owned())
        } else if text.chars().count() > most {
            let message = format!("is longer than {most} characters");
            (FaultCode::TooLong, message)
        } else if let Some(hidden) = sign::first_hidden(text) {
            let message = format!(
                "holds the sign {}, which is not seen",
                sign::in_words(hidden)
            );
            (FaultCode::BadText, message)
        } else if text.trim() != text {
            let message = "begins or ends with a blank".to_owned();
            (FaultCode::BadText, message)
        } else {
            return;
        };
        self.report(code, at, format!("{what} {message}."));
    }
}

fn in_words(value: &Value) -> String {
    match value {
        Value::Text(text) => format!("the text {}", quoted(text)),
        other => other.in_words(),
    }
}

fn is_number(value: &Value) -> bool {
    matches!(value, Value::Whole(_) | Value::Number(_))
}

/// A field in words: of the material itself, or of a part of it.
fn part(key: &str, what: &str) -> String {
    if what == "it" {
        format!("its {}", quoted(key))
    } else {
        format!("the {} of {what}", quoted(key))
    }
}

/// The name a material gives itself, if it can be shown.
fn name_of(node: &Node) -> Option<String> {
    let Value::Table(entries) = &node.value else {
        return None;
    };
    let entry = entries.iter().find(|entry| entry.key == "name")?;
    match &entry.node.value {
        Value::Text(name) if !name.trim().is_empty() => Some(name.clone()),
        _ => None,
    }
}
