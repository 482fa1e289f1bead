//! The form of a file of materials: which fields it has and what may stand in each.
//!
//! The file is walked by hand before serde reads it, because serde stops at the
//! first slip and speaks to programmers. A test holds the two to each other.

use crate::text::limit;
use crate::text::phrase::{is_hidden, joined, quoted};
use crate::text::suggestion::nearest;
use crate::tree::{Entry, Node, Value};

/// What may stand in a field.
enum Kind {
    Text(usize),
    Texts,
    Number,
    Pair,
    YesNo,
    Word(&'static [&'static str]),
    Table(&'static Form),
    /// A list of tables, with what one of them is called.
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
    ],
};

static SITE: Form = Form {
    fields: &[
        needs("place", NAME),
        needs("mean-c", Kind::Number),
        needs("half-range-c", Kind::Number),
        needs("moisture-factor", Kind::Number),
        needs("source", NOTE),
    ],
};

static RATE: Form = Form {
    fields: &[
        figure("rate"),
        may_have("site", Kind::Table(&SITE)),
        may_have("across-m", Kind::Number),
    ],
};

static POOL: Form = Form {
    fields: &[
        needs("name", NAME),
        figure("share"),
        figure("humified"),
        needs("counts", Kind::Word(&["piece-left", "all-carbon-left"])),
        may_have("in-soil", Kind::YesNo),
        needs("rates", Kind::Tables(&RATE, "rate")),
    ],
};

static SHEET: Form = Form {
    fields: &[figure("cover"), figure("thickness")],
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
        figure("collapse-tipped"),
        figure("collapse-trodden"),
        figure("void-closure"),
        figure("lag"),
        figure("size-exponent"),
        may_have("sheet", Kind::Table(&SHEET)),
        may_have("loose", Kind::Table(&FIGURE)),
        needs("pools", Kind::Tables(&POOL, "pool")),
    ],
};

/// A slip in the form of the file.
pub(crate) struct Slip {
    /// Where it stands; bytes.
    pub(crate) at: usize,
    /// The material it belongs to; empty when it belongs to none.
    pub(crate) material: String,
    /// What is wrong, in a plain sentence.
    pub(crate) said: String,
}

/// The slips of a file and where its materials begin.
pub(crate) struct Walked {
    /// In file order.
    pub(crate) slips: Vec<Slip>,
    /// Where each material begins, in file order; bytes.
    pub(crate) starts: Vec<usize>,
}

/// Walks a file of materials.
pub(crate) fn walk(root: &Node) -> Walked {
    let mut walker = Walker {
        material: String::new(),
        slips: Vec::new(),
    };
    let mut starts = Vec::new();
    let entries = match &root.value {
        Value::Table(entries) => entries.as_slice(),
        _ => &[],
    };
    for entry in entries.iter().filter(|entry| entry.key != "material") {
        walker.slip(
            entry.at,
            format!(
                "{} has no place in a file of materials, which holds [[material]] only.",
                quoted(&entry.key)
            ),
        );
    }
    match entries.iter().find(|entry| entry.key == "material") {
        None => walker.slip(0, "the file holds no [[material]].".to_owned()),
        Some(entry) => starts = walker.materials(entry),
    }
    walker.slips.sort_by_key(|slip| slip.at);
    Walked {
        slips: walker.slips,
        starts,
    }
}

struct Walker {
    material: String,
    slips: Vec<Slip>,
}

impl Walker {
    fn slip(&mut self, at: usize, said: String) {
        let material = self.material.clone();
        self.slips.push(Slip { at, material, said });
    }

    fn materials(&mut self, entry: &Entry) -> Vec<usize> {
        let Value::List(list) = &entry.node.value else {
            self.slip(
                entry.at,
                "write [[material]] in two pairs of brackets, once for each material.".to_owned(),
            );
            return Vec::new();
        };
        if list.is_empty() {
            self.slip(entry.at, "the file holds no material.".to_owned());
        }
        if list.len() > limit::SHELF_MATERIALS {
            self.slip(
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
            self.material = name_of(node).unwrap_or_else(|| format!("material {}", i + 1));
            self.table(node, &MATERIAL, "it");
        }
        self.material.clear();
        list.iter().map(|node| node.at).collect()
    }

    fn table(&mut self, node: &Node, form: &Form, what: &str) {
        let entries = match &node.value {
            Value::Table(entries) => entries,
            other => {
                return self.slip(
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
                self.slip(node.at, format!("{what} has no {}.", quoted(field.key)));
            }
        }
    }

    fn unknown(&mut self, entry: &Entry, form: &Form, what: &str) {
        let near: Vec<String> = nearest(&entry.key, form.fields.iter().map(|field| field.key))
            .iter()
            .map(|key| quoted(key))
            .collect();
        let advice = if near.is_empty() {
            String::new()
        } else {
            format!(" Did you mean {}?", joined(&near, "or"))
        };
        self.slip(
            entry.at,
            format!(
                "{what} has a field {} that cannot be used.{advice}",
                quoted(&entry.key)
            ),
        );
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
            (Kind::Pair, _) => self.slip(
                node.at,
                format!("{what} must be a pair of numbers such as [0.2, 0.4], the low one first."),
            ),
            (Kind::Number, value) if is_number(value) => {}
            (Kind::YesNo, Value::YesNo(_)) => {}
            (Kind::Word(words), Value::Text(word)) => {
                if !words.contains(&word.as_str()) {
                    let words: Vec<String> = words.iter().map(|word| quoted(word)).collect();
                    self.slip(
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
            (Kind::YesNo, other) => self.wrong(node.at, what, "true or false", other),
            (Kind::Tables(..), other) => self.wrong(node.at, what, "a list of tables", other),
        }
    }

    fn wrong(&mut self, at: usize, what: &str, wanted: &str, found: &Value) {
        let found = in_words(found);
        self.slip(at, format!("{what} must be {wanted}, not {found}."));
    }

    fn text(&mut self, at: usize, text: &str, most: usize, what: &str) {
        if text.trim().is_empty() {
            self.slip(at, format!("{what} is empty."));
        } else if text.chars().count() > most {
            self.slip(at, format!("{what} is longer than {most} characters."));
        } else if text.chars().any(is_hidden) {
            self.slip(at, format!("{what} holds signs that cannot be shown."));
        } else if text.trim() != text {
            self.slip(at, format!("{what} begins or ends with a blank."));
        }
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

/// The name a material gives itself, if it gives one that can be shown.
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
