//! The walk over a tree: opens sections and lists, and collects faults.

use super::given::{Fields, Given};
use crate::fault::FaultCode;
use crate::fault::notice::{DefaultUsed, Notice};
use crate::library::Library;
use crate::library::material::Material;
use crate::quantity::measures::Measures;
use crate::quantity::units::Units;
use crate::read::field::{Field, Kind, Need, Section};
use crate::text::limit;
use crate::text::suggestion::suggestions;
use crate::tree::{Node, Unplaced, Value, step};

/// Source of a default set by the file format.
pub(super) const FORM: &str = "bed file form 1";

/// A walk in progress.
pub(super) struct Walk<'a> {
    pub(super) library: &'a Library,
    pub(super) measures: Measures,
    /// The owner's units, once read: suggestions use them.
    pub(super) units: Units,
    pub(super) defaults: Vec<DefaultUsed>,
    pub(super) notices: Vec<Notice>,
    pub(super) faults: Vec<Unplaced>,
    pub(super) unlisted: usize,
}

impl<'a> Walk<'a> {
    pub(super) fn new(library: &'a Library) -> Self {
        Self {
            library,
            measures: Measures::default(),
            units: Units::default(),
            defaults: Vec::new(),
            notices: Vec::new(),
            faults: Vec::new(),
            unlisted: 0,
        }
    }

    /// Opens a section: unknown, repeated and missing fields are faults.
    pub(super) fn open<'n>(
        &mut self,
        section: &'static Section,
        node: &'n Node,
        path: &str,
    ) -> Option<Fields<'n>> {
        let entries = match &node.value {
            Value::Table(entries) => entries,
            Value::Broken => return None,
            other => {
                self.found(
                    FaultCode::WrongKind,
                    node.at,
                    path,
                    other.in_words(),
                    "a table of fields",
                    Vec::new(),
                );
                return None;
            }
        };
        let mut fields = Fields::new(section, node.at, path);
        for entry in entries {
            let here = step(path, &entry.key);
            if section.field(&entry.key).is_none() {
                let help = if self.is_full() {
                    Vec::new()
                } else {
                    suggestions(&entry.key, section.fields.iter().map(|field| field.name))
                };
                fields.meant.extend(help.first().cloned());
                self.found(
                    FaultCode::UnknownField,
                    entry.at,
                    &here,
                    entry.key.clone(),
                    section.in_words,
                    help,
                );
            } else if !fields.keep(entry) {
                self.found(
                    FaultCode::RepeatedKey,
                    entry.at,
                    &here,
                    entry.key.clone(),
                    "",
                    Vec::new(),
                );
            }
        }
        for field in section.fields {
            if field.need == Need::Required && !fields.has(field.name) {
                self.missing(&fields, field);
            }
        }
        Some(fields)
    }

    /// Reports a required field that is missing.
    pub(super) fn missing(&mut self, fields: &Fields<'_>, field: &Field) {
        if fields.meant.iter().any(|meant| meant == field.name) {
            return;
        }
        self.found(
            FaultCode::MissingField,
            fields.at,
            &fields.path_of(field.name),
            fields.section.in_words.to_owned(),
            field.name,
            vec![field.example.to_owned()],
        );
    }

    /// Whether more faults would only be counted.
    pub(super) fn is_full(&self) -> bool {
        self.faults.len() >= limit::FAULTS_LISTED
    }

    /// Reports a fault at any place.
    pub(super) fn found(
        &mut self,
        code: FaultCode,
        at: usize,
        path: &str,
        found: String,
        expected: &str,
        help: Vec<String>,
    ) {
        if self.is_full() {
            self.unlisted += 1;
            return;
        }
        self.faults.push(Unplaced {
            code,
            at,
            path: path.to_owned(),
            found,
            expected: expected.to_owned(),
            help,
        });
    }

    /// Reports a fault of a field.
    pub(super) fn fault(
        &mut self,
        code: FaultCode,
        given: &Given<'_>,
        found: String,
        expected: impl AsRef<str>,
    ) {
        self.fault_with(code, given, found, expected, Vec::new());
    }

    /// Reports a fault of a field, with what would do.
    pub(super) fn fault_with(
        &mut self,
        code: FaultCode,
        given: &Given<'_>,
        found: String,
        expected: impl AsRef<str>,
        help: Vec<String>,
    ) {
        self.found(
            code,
            given.node.at,
            &given.path,
            found,
            expected.as_ref(),
            help,
        );
    }

    /// Reports a value of the wrong kind, unless its syntax is already reported.
    pub(super) fn wrong_kind(&mut self, given: &Given<'_>, expected: &str) {
        if given.node.value != Value::Broken {
            let found = given.node.value.in_words();
            let help = vec![given.field.example.to_owned()];
            self.fault_with(FaultCode::WrongKind, given, found, expected, help);
        }
    }

    /// Records a default.
    pub(super) fn assume(&mut self, path: String, value: impl Into<String>, source: &str) {
        self.defaults.push(DefaultUsed {
            path,
            value: value.into(),
            source: source.to_owned(),
            width_it_adds_m: None,
            is_width_left_out: false,
        });
    }

    /// Adds a notice.
    pub(super) fn note(
        &mut self,
        code: &'static str,
        layer: Option<usize>,
        values: Vec<(&'static str, String)>,
    ) {
        self.notices.push(Notice::new(code, layer, values));
    }

    /// A list of sections, at most as long as the field allows, each with its path.
    pub(super) fn list<'n>(&mut self, given: &Given<'n>) -> Vec<(&'n Node, String)> {
        let Kind::Sections(section, most) = given.field.kind else {
            return Vec::new();
        };
        let Value::List(nodes) = &given.node.value else {
            // Layers, readings and additions have a heading each.
            let headed = given.field.example.starts_with("[[");
            let expected = if headed {
                "a list with double brackets over every entry"
            } else {
                "a list"
            };
            self.wrong_kind(given, expected);
            return Vec::new();
        };
        if nodes.is_empty() && given.field.need == Need::Required {
            let expected = format!("at least {}", section.in_words);
            self.fault(FaultCode::TooFew, given, String::new(), expected);
        }
        if let Some(first_over) = nodes.get(most) {
            self.found(
                FaultCode::TooMany,
                first_over.at,
                &given.path,
                format!("{} of \"{}\"", nodes.len(), given.field.name),
                &format!("at most {most}"),
                Vec::new(),
            );
        }
        nodes
            .iter()
            .take(most)
            .enumerate()
            .map(|(index, node)| (node, step(&given.path, &index.to_string())))
            .collect()
    }

    /// A material of the library.
    pub(super) fn material(&mut self, given: &Given<'_>) -> Option<Material> {
        let name = self.text(given)?;
        if let Some(material) = self.library.find_material(&name) {
            return Some(material.clone());
        }
        let help = if self.is_full() {
            Vec::new()
        } else {
            let similar = self.library.materials_like(&name);
            similar.into_iter().map(str::to_owned).collect()
        };
        self.fault_with(
            FaultCode::UnknownMaterial,
            given,
            name,
            "a material on the shelf",
            help,
        );
        None
    }
}
