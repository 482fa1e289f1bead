//! The fields given in a section.

use std::collections::BTreeMap;

use crate::read::field::{Field, Section};
use crate::tree::{Entry, Node, step};

/// An opened section: its known fields by name.
pub(super) struct Fields<'n> {
    pub(super) at: usize,
    pub(super) path: String,
    pub(super) section: &'static Section,
    entries: BTreeMap<&'n str, &'n Entry>,
    /// Fields probably meant by an unknown name; these are not reported as missing.
    pub(super) meant: Vec<String>,
}

/// A field that is given.
pub(super) struct Given<'n> {
    pub(super) field: &'static Field,
    pub(super) node: &'n Node,
    pub(super) path: String,
}

impl<'n> Given<'n> {
    /// One entry of the list of this field.
    pub(super) fn entry(&self, index: usize, node: &'n Node) -> Self {
        Given {
            field: self.field,
            node,
            path: step(&self.path, &index.to_string()),
        }
    }
}

impl<'n> Fields<'n> {
    pub(super) fn new(section: &'static Section, at: usize, path: &str) -> Self {
        Self {
            at,
            path: path.to_owned(),
            section,
            entries: BTreeMap::new(),
            meant: Vec::new(),
        }
    }

    /// Keeps the first entry of a name; false if there is one already.
    pub(super) fn keep(&mut self, entry: &'n Entry) -> bool {
        let key = entry.key.as_str();
        if self.entries.contains_key(key) {
            return false;
        }
        self.entries.insert(key, entry);
        true
    }

    /// Whether the field is given, valid or not.
    pub(super) fn has(&self, name: &str) -> bool {
        self.entries.contains_key(name)
    }

    /// The field, if given.
    pub(super) fn get(&self, name: &str) -> Option<Given<'n>> {
        let field = self.section.field(name)?;
        self.entries.get(name).map(|entry| Given {
            field,
            node: &entry.node,
            path: step(&self.path, name),
        })
    }

    /// The path of a field, given or not.
    pub(super) fn path_of(&self, name: &str) -> String {
        step(&self.path, name)
    }
}
