//! What a document says, with places, before anything is known about beds.

mod json;
mod toml;

use jiff::civil::Date;

use crate::fault::{Fault, FaultCode, Place};

pub(crate) use json::{read_json, read_value};
pub(crate) use toml::read_toml;

/// A value with its place.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Node {
    /// Where it begins: bytes from the start of a TOML file, or its number in a JSON document.
    pub(crate) at: usize,
    /// What it says.
    pub(crate) value: Value,
}

/// What a node says.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Value {
    Text(String),
    Whole(i64),
    Number(f64),
    YesNo(bool),
    Date(Date),
    /// A date with a time of day, or a time alone, as written.
    Time(String),
    List(Vec<Node>),
    Table(Vec<Entry>),
    /// JSON's null.
    Nothing,
    /// Already reported as bad syntax: given, but not to be judged again.
    Broken,
}

impl Value {
    /// In words, with the article.
    pub(crate) fn in_words(&self) -> String {
        match self {
            Self::Text(text) => format!("the text \"{text}\""),
            Self::Whole(number) => format!("the number {number}"),
            Self::Number(number) => format!("the number {number}"),
            Self::YesNo(truth) => truth.to_string(),
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
    /// Where the name stands; counted as in [`Node`].
    pub(crate) at: usize,
    pub(crate) node: Node,
}

/// A fault whose place is not yet worked out.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Unplaced {
    pub(crate) code: FaultCode,
    pub(crate) at: usize,
    pub(crate) path: String,
    pub(crate) found: String,
    pub(crate) expected: String,
    pub(crate) help: Vec<String>,
}

/// A document with what is wrong with its syntax.
#[derive(Debug)]
pub(crate) struct Tree<'t> {
    pub(crate) root: Node,
    pub(crate) faults: Vec<Unplaced>,
    pub(crate) places: Places<'t>,
}

/// How places are told.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Places<'t> {
    /// By line and column of this text.
    Lines(&'t str),
    /// By JSON Pointer.
    Pointers,
}

impl Places<'_> {
    /// Whether two places stand on one line; places without lines never do.
    pub(crate) fn same_line(self, one: usize, other: usize) -> bool {
        match self {
            Self::Lines(text) => {
                let (from, to) = (one.min(other), one.max(other).min(text.len()));
                let between = text.as_bytes().get(from..to);
                between.is_none_or(|between| !between.contains(&b'\n'))
            }
            Self::Pointers => false,
        }
    }

    /// The fault with its place.
    pub(crate) fn tell(self, found: Unplaced) -> Fault {
        let place = match self {
            Self::Lines(text) => line_and_column(text, found.at),
            Self::Pointers => Place::Pointer {
                pointer: found.path.clone(),
            },
        };
        Fault {
            code: found.code,
            place,
            path: found.path,
            found: found.found,
            expected: found.expected,
            help: found.help,
        }
    }
}

/// Line and column of a byte, both from 1, columns in characters; a byte beyond the end is the end.
fn line_and_column(text: &str, at: usize) -> Place {
    let at = text.floor_char_boundary(at);
    let before = &text[..at];
    let start = before.rfind('\n').map_or(0, |newline| newline + 1);
    Place::Line {
        line: before.matches('\n').count() + 1,
        column: before[start..].chars().count() + 1,
    }
}

/// A JSON Pointer one step further (RFC 6901).
pub(crate) fn step(path: &str, name: &str) -> String {
    format!("{path}/{}", name.replace('~', "~0").replace('/', "~1"))
}

/// Drops the mark that some editors put at the start of a text.
pub(crate) fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters() {
        let text = "ab\r\ncdé f\n";
        let at = |byte| match line_and_column(text, byte) {
            Place::Line { line, column } => (line, column),
            Place::Pointer { .. } => unreachable!("a text has lines"),
        };
        assert_eq!(at(0), (1, 1));
        assert_eq!(at(4), (2, 1));
        assert_eq!(at(text.find('f').unwrap()), (2, 5));
        // Within the two bytes of é, and beyond the end.
        assert_eq!(at(7), (2, 3));
        assert_eq!(at(1000), (3, 1));
    }

    #[test]
    fn pointers_escape() {
        assert_eq!(step("/measures", "a/b~c"), "/measures/a~1b~0c");
    }
}
