//! The walk over a tree: opening sections, and reading each kind of value.

use jiff::civil::Date;

use super::given::{Fields, Given};
use crate::catalogue::Catalogue;
use crate::fault::FaultCode;
use crate::field::{Field, Kind, Need, Range, Section};
use crate::limit;
use crate::material::Material;
use crate::nearest::nearest;
use crate::notice::{DefaultUsed, Notice, Severity};
use crate::quantity::{self, Measures, Quantity, Refusal, USUAL_MEASURES_SOURCE};
use crate::station::Stations;
use crate::text::is_hidden;
use crate::tree::{Node, Unplaced, Value, step};
use crate::unit::Dimension;

/// What is said of a default that the form itself sets.
pub(super) const FORM: &str = "bed file form 1";

/// Years a bed may be filled in.
const YEARS: std::ops::RangeInclusive<i16> = 1900..=2200;

/// A walk in progress.
pub(super) struct Walk<'a> {
    pub(super) catalogue: &'a Catalogue,
    pub(super) stations: &'a Stations,
    pub(super) measures: Measures,
    pub(super) defaults: Vec<DefaultUsed>,
    pub(super) notices: Vec<Notice>,
    pub(super) faults: Vec<Unplaced>,
    pub(super) unlisted: usize,
}

impl<'a> Walk<'a> {
    pub(super) fn new(catalogue: &'a Catalogue, stations: &'a Stations) -> Self {
        Self {
            catalogue,
            stations,
            measures: Measures::default(),
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
                    nearest(&entry.key, section.fields.iter().map(|field| field.name))
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

    /// A field that must be given is not.
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
    fn is_full(&self) -> bool {
        self.faults.len() >= limit::FAULTS_LISTED
    }

    /// Notes a fault at any place.
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

    /// Notes a fault of a field.
    pub(super) fn fault(
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

    /// A value of the wrong kind; what is already reported stays silent.
    pub(super) fn wrong_kind(&mut self, given: &Given<'_>, expected: &str) {
        if given.node.value != Value::Broken {
            let found = given.node.value.in_words();
            let help = vec![given.field.example.to_owned()];
            self.fault(FaultCode::WrongKind, given, found, expected, help);
        }
    }

    /// Names a default that was used.
    pub(super) fn assume(&mut self, path: String, value: impl Into<String>, source: &str) {
        self.defaults.push(DefaultUsed {
            path,
            value: value.into(),
            source: source.to_owned(),
            width_it_adds_m: None,
        });
    }

    /// Adds a notice.
    pub(super) fn note(
        &mut self,
        code: &'static str,
        severity: Severity,
        layer: Option<usize>,
        values: Vec<(&'static str, String)>,
    ) {
        self.notices.push(Notice {
            code,
            severity,
            layer,
            values,
        });
    }

    /// A text.
    pub(super) fn text(&mut self, given: &Given<'_>) -> Option<String> {
        let Kind::Text(most) = given.field.kind else {
            return None;
        };
        let Value::Text(text) = &given.node.value else {
            self.wrong_kind(given, "a text");
            return None;
        };
        self.plain(given, text, most)
    }

    /// A text that can be shown and is not too long.
    pub(super) fn plain(&mut self, given: &Given<'_>, text: &str, most: usize) -> Option<String> {
        let length = text.chars().count();
        if length > most {
            self.fault(
                FaultCode::TooLong,
                given,
                format!("{length} characters"),
                format!("at most {most} characters"),
                Vec::new(),
            );
            return None;
        }
        // A note may run over several lines; a name may not.
        let lines = most > limit::NAME_CHARACTERS;
        let hidden = text
            .chars()
            .any(|sign| is_hidden(sign) && !(lines && matches!(sign, '\n' | '\r' | '\t')));
        if hidden || text.trim().is_empty() {
            let expected = "a text with something to read in it, and no control signs";
            self.fault(
                FaultCode::BadText,
                given,
                text.to_owned(),
                expected,
                Vec::new(),
            );
            return None;
        }
        Some(text.trim().to_owned())
    }

    /// One of a few words.
    pub(super) fn word(&mut self, given: &Given<'_>) -> Option<&'static str> {
        let Kind::Word(words) = given.field.kind else {
            return None;
        };
        let Value::Text(text) = &given.node.value else {
            self.wrong_kind(given, &one_of(words));
            return None;
        };
        let known = words.iter().copied().find(|word| *word == text.as_str());
        if known.is_none() {
            self.unknown_word(given, given.node.at, text, words);
        }
        known
    }

    /// Some of a few words.
    pub(super) fn words(&mut self, given: &Given<'_>) -> Vec<&'static str> {
        let Kind::Words(words) = given.field.kind else {
            return Vec::new();
        };
        let expected = format!("a list of {}", one_of(words));
        let Value::List(nodes) = &given.node.value else {
            self.wrong_kind(given, &expected);
            return Vec::new();
        };
        let mut known = Vec::new();
        for node in nodes {
            match &node.value {
                Value::Text(text) => {
                    match words.iter().copied().find(|word| *word == text.as_str()) {
                        Some(word) if known.contains(&word) => self.found(
                            FaultCode::RepeatedKey,
                            node.at,
                            &given.path,
                            word.to_owned(),
                            "",
                            Vec::new(),
                        ),
                        Some(word) => known.push(word),
                        None => self.unknown_word(given, node.at, text, words),
                    }
                }
                Value::Broken => {}
                other => self.found(
                    FaultCode::WrongKind,
                    node.at,
                    &given.path,
                    other.in_words(),
                    &expected,
                    vec![given.field.example.to_owned()],
                ),
            }
        }
        known
    }

    /// A word that is not one of the few.
    pub(super) fn unknown_word(
        &mut self,
        given: &Given<'_>,
        at: usize,
        text: &str,
        words: &[&str],
    ) {
        let help = if self.is_full() {
            Vec::new()
        } else {
            nearest(text, words.iter().copied())
        };
        self.found(
            FaultCode::UnknownWord,
            at,
            &given.path,
            text.to_owned(),
            &one_of(words),
            help,
        );
    }

    /// True or false.
    pub(super) fn yes_no(&mut self, given: &Given<'_>) -> Option<bool> {
        if let Value::YesNo(truth) = given.node.value {
            return Some(truth);
        }
        self.wrong_kind(given, "true or false");
        None
    }

    /// A day.
    pub(super) fn date(&mut self, given: &Given<'_>) -> Option<Date> {
        let (date, written) = match &given.node.value {
            Value::Date(date) => (Some(*date), date.to_string()),
            Value::Text(text) => (plain_date(text), text.clone()),
            Value::Time(text) => (None, text.clone()),
            _ => {
                self.wrong_kind(given, "a date");
                return None;
            }
        };
        match date {
            None => {
                self.fault(FaultCode::NotADate, given, written, "", Vec::new());
                None
            }
            Some(date) if !YEARS.contains(&date.year()) => {
                let expected = "a date from 1900 to 2200";
                self.fault(FaultCode::OutOfRange, given, written, expected, Vec::new());
                None
            }
            date => date,
        }
    }

    /// A plain number of the field's range.
    pub(super) fn number(&mut self, given: &Given<'_>) -> Option<f64> {
        let Kind::Number(range) = given.field.kind else {
            return None;
        };
        self.number_in(given, given.node, range)
    }

    /// A plain number at some node of a field.
    pub(super) fn number_in(
        &mut self,
        given: &Given<'_>,
        node: &Node,
        range: Range,
    ) -> Option<f64> {
        #[expect(
            clippy::cast_precision_loss,
            reason = "a number that large is out of every range"
        )]
        let number = match &node.value {
            Value::Whole(number) => *number as f64,
            Value::Number(number) => *number,
            Value::Broken => return None,
            other => {
                self.found(
                    FaultCode::WrongKind,
                    node.at,
                    &given.path,
                    other.in_words(),
                    range.in_words,
                    vec![given.field.example.to_owned()],
                );
                return None;
            }
        };
        if range.holds(number) {
            return Some(number);
        }
        self.found(
            FaultCode::OutOfRange,
            node.at,
            &given.path,
            number.to_string(),
            range.in_words,
            Vec::new(),
        );
        None
    }

    /// A quantity of the field's dimension and range.
    pub(super) fn quantity(&mut self, given: &Given<'_>) -> Option<f64> {
        let Kind::Quantity(dimension, range) = given.field.kind else {
            return None;
        };
        let last = self.faults.len();
        let quantity = self.quantity_of(given, &[dimension]);
        if let Some(fault) = self.faults.get_mut(last)
            && fault.code == FaultCode::MissingUnit
        {
            likely(&mut fault.help, dimension, range);
        }
        self.in_range(given, quantity?.value, range)
    }

    /// A quantity of one of the given dimensions, of any size.
    pub(super) fn quantity_of(
        &mut self,
        given: &Given<'_>,
        wanted: &[Dimension],
    ) -> Option<Quantity> {
        match &given.node.value {
            Value::Text(text) => self.quantity_from(given, text, wanted),
            // The grammar says what is wrong with a number that has no unit.
            Value::Whole(number) => self.quantity_from(given, &number.to_string(), wanted),
            Value::Number(number) => self.quantity_from(given, &number.to_string(), wanted),
            _ => {
                let words: Vec<&str> = wanted.iter().map(|kind| kind.in_words()).collect();
                self.wrong_kind(given, &words.join(" or "));
                None
            }
        }
    }

    /// A quantity in some text of a field.
    pub(super) fn quantity_from(
        &mut self,
        given: &Given<'_>,
        text: &str,
        wanted: &[Dimension],
    ) -> Option<Quantity> {
        match quantity::parse(text, wanted, &self.measures) {
            Ok(quantity) => {
                if let Some(name) = &quantity.measure
                    && let Some(held) = self.measures.usual(name)
                {
                    let path = step("/measures", name);
                    if !self.defaults.iter().any(|default| default.path == path) {
                        let litres = format!("{} L", held * 1000.0);
                        self.assume(path, litres, USUAL_MEASURES_SOURCE);
                    }
                }
                Some(quantity)
            }
            Err(refusal) => {
                self.refuse(given, refusal);
                None
            }
        }
    }

    /// A refusal of the grammar, as a fault of the field.
    pub(super) fn refuse(&mut self, given: &Given<'_>, refusal: Refusal) {
        self.fault(
            refusal.code,
            given,
            refusal.found,
            refusal.expected,
            refusal.help,
        );
    }

    /// The value, when the range holds it.
    pub(super) fn in_range(&mut self, given: &Given<'_>, value: f64, range: Range) -> Option<f64> {
        if range.holds(value) {
            return Some(value);
        }
        let written = match &given.node.value {
            Value::Text(text) => text.clone(),
            other => other.in_words(),
        };
        self.fault(
            FaultCode::OutOfRange,
            given,
            written,
            range.in_words,
            Vec::new(),
        );
        None
    }

    /// A list of sections, no longer than the field allows, each with its path.
    pub(super) fn list<'n>(&mut self, given: &Given<'n>) -> Vec<(&'n Node, String)> {
        let Kind::Sections(section, most) = given.field.kind else {
            return Vec::new();
        };
        let Value::List(nodes) = &given.node.value else {
            self.wrong_kind(given, "a list");
            return Vec::new();
        };
        if nodes.is_empty() && given.field.need == Need::Required {
            let expected = format!("at least {}", section.in_words);
            self.fault(
                FaultCode::TooFew,
                given,
                String::new(),
                expected,
                Vec::new(),
            );
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

    /// A material on the shelf.
    pub(super) fn material(&mut self, given: &Given<'_>) -> Option<Material> {
        let name = self.text(given)?;
        if let Some(material) = self.catalogue.find(&name) {
            return Some(material.clone());
        }
        let help = if self.is_full() {
            Vec::new()
        } else {
            let shelf = self.catalogue.iter();
            nearest(
                &name,
                shelf.flat_map(|material| {
                    std::iter::once(material.name.as_str())
                        .chain(material.also.iter().map(String::as_str))
                }),
            )
        };
        self.fault(
            FaultCode::UnknownMaterial,
            given,
            name,
            "a material on the shelf",
            help,
        );
        None
    }

    /// The user's own measures.
    pub(super) fn own_measures(&mut self, given: &Given<'_>) {
        let Kind::Own(dimension, range, most) = given.field.kind else {
            return;
        };
        let Value::Table(entries) = &given.node.value else {
            self.wrong_kind(given, "a table of names, each with a volume");
            return;
        };
        if let Some(first_over) = entries.get(most) {
            self.found(
                FaultCode::TooMany,
                first_over.at,
                &given.path,
                format!("{} measures", entries.len()),
                &format!("at most {most}"),
                Vec::new(),
            );
        }
        let mut own = Measures::default();
        for entry in entries.iter().take(most) {
            let name = Given {
                field: given.field,
                node: &entry.node,
                path: step(&given.path, &entry.key),
            };
            let held =
                self.quantity_of(&name, &[dimension])
                    .and_then(|quantity| match quantity.measure {
                        None => self.in_range(&name, quantity.value, range),
                        Some(other) => {
                            let found = format!("\"{other}\" is itself a measure");
                            let expected = "a measure must be given in units";
                            self.fault(FaultCode::DoesNotFit, &name, found, expected, Vec::new());
                            None
                        }
                    });
            // A measure whose value is faulty is still known by name, or every use of it
            // would be a fault as well; such a file is refused in any case.
            if own.holds(&entry.key) {
                let found = entry.key.clone();
                self.found(
                    FaultCode::RepeatedKey,
                    entry.at,
                    &name.path,
                    found,
                    "",
                    Vec::new(),
                );
            } else if let Err(refusal) = own.add(&entry.key, held.unwrap_or(range.low)) {
                self.found(
                    refusal.code,
                    entry.at,
                    &name.path,
                    refusal.found,
                    &refusal.expected,
                    refusal.help,
                );
            }
        }
        self.measures = own;
    }
}

/// Of a length without a unit: the number with each unit that the field's range believes.
fn likely(help: &mut Vec<String>, dimension: Dimension, range: Range) {
    let number = help
        .first()
        .and_then(|shown| shown.strip_suffix(dimension.usual_unit()));
    let (Some(number), Dimension::Length) = (number, dimension) else {
        return;
    };
    let believed: Vec<String> = ["cm", "m", "in", "ft"]
        .into_iter()
        .map(|unit| format!("{number}{unit}"))
        .filter(|text| {
            quantity::parse(text, &[dimension], &Measures::default())
                .is_ok_and(|quantity| range.holds(quantity.value))
        })
        .collect();
    if !believed.is_empty() {
        *help = believed;
    }
}

/// The words with "or" before the last.
pub(super) fn one_of(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => format!("\"{one}\""),
        [first @ .., last] => format!("\"{}\" or \"{last}\"", first.join("\", \"")),
    }
}

/// Year, month and day with hyphens, and nothing else.
fn plain_date(text: &str) -> Option<Date> {
    let mut parts = text.split('-');
    let mut part = |digits: usize| {
        parts
            .next()
            .filter(|part| part.len() == digits && part.bytes().all(|byte| byte.is_ascii_digit()))
    };
    let (year, month, day) = (part(4)?, part(2)?, part(2)?);
    if parts.next().is_some() {
        return None;
    }
    Date::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?).ok()
}
