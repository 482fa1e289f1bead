//! Syntax trees of documents, with places.

mod json;
mod lines;
mod toml;

use jiff::civil::Date;

use crate::fault::{Fault, FaultCode, Place};

pub(crate) use lines::Lines;

pub(crate) use json::{read_json, read_value};
pub(crate) use toml::read_toml;

/// A value with its place.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Node {
    /// Where it begins: a byte offset in a TOML file, a serial number in a JSON document.
    pub(crate) at: usize,
    /// Its value.
    pub(crate) value: Value,
}

/// The value of a node.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Value {
    Text(String),
    Whole(i64),
    Number(f64),
    Bool(bool),
    Date(Date),
    /// A date with a time of day, or a time alone, as written.
    Time(String),
    List(Vec<Node>),
    Table(Vec<Entry>),
    /// JSON's null.
    Nothing,
    /// Already reported as bad syntax: present, but not checked again.
    Broken,
}

impl Value {
    /// In words, with the article.
    pub(crate) fn in_words(&self) -> String {
        match self {
            Self::Text(text) => format!("the text \"{text}\""),
            Self::Whole(number) => format!("the number {number}"),
            Self::Number(number) => format!("the number {number}"),
            Self::Bool(boolean) => boolean.to_string(),
            Self::Date(date) => format!("the date {date}"),
            Self::Time(text) => format!("the time {text}"),
            Self::List(_) => "a list".to_owned(),
            Self::Table(_) => "a table of fields".to_owned(),
            Self::Nothing | Self::Broken => "nothing".to_owned(),
        }
    }
}

/// A name with its value.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Entry {
    pub(crate) key: String,
    /// Where the name begins, as in [`Node`].
    pub(crate) at: usize,
    pub(crate) node: Node,
}

/// A fault whose place is still an offset.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Unplaced {
    pub(crate) code: FaultCode,
    pub(crate) at: usize,
    pub(crate) path: String,
    pub(crate) found: String,
    pub(crate) expected: String,
    pub(crate) help: Vec<String>,
}

/// A document with its syntax faults.
#[derive(Debug)]
pub(crate) struct Tree<'t> {
    pub(crate) root: Node,
    pub(crate) faults: Vec<Unplaced>,
    pub(crate) places: Places<'t>,
}

/// How places are reported.
#[derive(Debug)]
pub(crate) enum Places<'t> {
    /// By line and column of this text.
    Lines(Lines<'t>),
    /// By JSON Pointer.
    Pointers,
}

impl<'t> Places<'t> {
    /// By line and column of a text.
    pub(crate) fn lines(text: &'t str) -> Self {
        Self::Lines(Lines::of(text))
    }

    /// The line of a place, from 0, where places have lines.
    pub(crate) fn line(&self, at: usize) -> Option<usize> {
        match self {
            Self::Lines(lines) => Some(lines.line(at)),
            Self::Pointers => None,
        }
    }

    /// The place of an offset or a field.
    pub(crate) fn place(&self, at: usize, path: &str) -> Place {
        match self {
            Self::Lines(lines) => lines.place(at),
            Self::Pointers => Place::Pointer {
                pointer: path.to_owned(),
            },
        }
    }

    /// The fault with its place.
    pub(crate) fn placed(&self, found: Unplaced) -> Fault {
        Fault {
            code: found.code,
            place: self.place(found.at, &found.path),
            path: found.path,
            found: found.found,
            expected: found.expected,
            help: found.help,
        }
    }
}

/// A JSON Pointer extended by one name (RFC 6901).
pub(crate) fn step(path: &str, name: &str) -> String {
    format!("{path}/{}", name.replace('~', "~0").replace('/', "~1"))
}

/// Removes a byte order mark.
pub(crate) fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pointers_escape() {
        assert_eq!(step("/measures", "a/b~c"), "/measures/a~1b~0c");
    }
}
