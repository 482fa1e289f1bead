//! Quantities, and the user's own measures.

use super::given::Given;
use super::walk::Walk;
use crate::fault::FaultCode;
use crate::quantity::measures::{Measures, USUAL_MEASURES_SOURCE};
use crate::quantity::parse::{self, Quantity, Refusal};
use crate::quantity::unit::Dimension;
use crate::quantity::units::Units;
use crate::read::field::{Kind, Range};
use crate::tree::{Value, step};

impl Walk<'_> {
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
            suggest_lengths(&mut fault.help, dimension, range, self.units);
        }
        self.in_range(given, quantity?.value, range)
    }

    /// A quantity that may be below zero where its range goes there: "-5 cm".
    pub(super) fn signed_quantity(&mut self, given: &Given<'_>) -> Option<f64> {
        if let (Kind::Quantity(dimension, range), Value::Text(text)) =
            (&given.field.kind, &given.node.value)
            && let Some(size) = below_zero(text)
        {
            let last = self.faults.len();
            let quantity = self.quantity_from(given, size, &[*dimension]);
            if let Some(fault) = self.faults.get_mut(last) {
                for text in fault.help.iter_mut().chain([&mut fault.found]) {
                    if text.starts_with(|first: char| first.is_ascii_digit()) {
                        text.insert(0, '-');
                    }
                }
            }
            return self.in_range(given, -quantity?.value, *range);
        }
        self.quantity(given)
    }

    /// A quantity of one of the given dimensions, without a range.
    pub(super) fn quantity_of(
        &mut self,
        given: &Given<'_>,
        wanted: &[Dimension],
    ) -> Option<Quantity> {
        match &given.node.value {
            Value::Text(text) => self.quantity_from(given, text, wanted),
            // The parser reports what is wrong with a number without a unit.
            Value::Whole(number) => self.quantity_from(given, &number.to_string(), wanted),
            Value::Number(number) => self.quantity_from(given, &number.to_string(), wanted),
            _ => {
                let words: Vec<&str> = wanted.iter().map(|kind| kind.in_words()).collect();
                self.wrong_kind(given, &words.join(" or "));
                None
            }
        }
    }

    /// A quantity from some text of a field.
    pub(super) fn quantity_from(
        &mut self,
        given: &Given<'_>,
        text: &str,
        wanted: &[Dimension],
    ) -> Option<Quantity> {
        match parse::parse(text, wanted, &self.measures) {
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
            Err(mut refusal) => {
                if refusal.code == FaultCode::MissingUnit && wanted.len() > 1 {
                    in_own_units(&mut refusal.help, self.units);
                }
                self.refuse(given, refusal);
                None
            }
        }
    }

    /// Reports a refusal of the parser as a fault of the field.
    pub(super) fn refuse(&mut self, given: &Given<'_>, refusal: Refusal) {
        self.fault_with(
            refusal.code,
            given,
            refusal.found,
            refusal.expected,
            refusal.help,
        );
    }

    /// The value, if it is in the range.
    pub(super) fn in_range(&mut self, given: &Given<'_>, value: f64, range: Range) -> Option<f64> {
        if range.holds(value) {
            return Some(value);
        }
        let written = match &given.node.value {
            Value::Text(text) => text.clone(),
            other => other.in_words(),
        };
        self.fault(FaultCode::OutOfRange, given, written, range.in_words);
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
                            self.fault(FaultCode::DoesNotFit, &name, found, expected);
                            None
                        }
                    });
            // A measure with a faulty value is still defined, or every use of it would be a fault
            // as well; the file is refused anyway.
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

/// What stands after a minus, hyphen or dash, if a number does.
fn below_zero(text: &str) -> Option<&str> {
    let size = text.trim().strip_prefix(['-', '−', '–'])?.trim_start();
    size.starts_with(|first: char| first.is_ascii_digit())
        .then_some(size)
}

/// Suggests an amount without a unit in the owner's units.
fn in_own_units(help: &mut Vec<String>, units: Units) {
    let own = match units {
        Units::Metric => return,
        Units::Us => ["in", "cu ft", "lb"],
        Units::UkGarden => ["in", "L", "kg"],
    };
    let number = help.first().and_then(|shown| shown.strip_suffix("cm"));
    if let Some(number) = number {
        *help = own.map(|unit| format!("{number}{unit}")).to_vec();
    }
}

/// Suggests a length without a unit in each unit for which it is in range.
fn suggest_lengths(help: &mut Vec<String>, dimension: Dimension, range: Range, units: Units) {
    let number = help
        .first()
        .and_then(|shown| shown.strip_suffix(dimension.usual_unit()));
    let (Some(number), Dimension::Length) = (number, dimension) else {
        return;
    };
    let lengths = match units {
        Units::Metric => ["cm", "m", "in", "ft"],
        Units::Us | Units::UkGarden => ["in", "ft", "cm", "m"],
    };
    let plausible: Vec<String> = lengths
        .into_iter()
        .map(|unit| format!("{number}{unit}"))
        .filter(|text| {
            parse::parse(text, &[dimension], &Measures::default())
                .is_ok_and(|quantity| range.holds(quantity.value))
        })
        .collect();
    if !plausible.is_empty() {
        *help = plausible;
    }
}
