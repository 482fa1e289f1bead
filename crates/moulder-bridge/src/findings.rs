//! What is wrong with a question.

use moulder::internals::text::suggestion::suggestions;
use moulder::{Fault, FaultCode, Place};
use serde_json::Value;

/// Longest text of what was found; characters.
const FOUND: usize = 60;
/// Faults that are listed; no question needs more to be mended.
const LISTED: usize = 200;

/// The faults of a question, as they are found.
#[derive(Debug, Default)]
pub(crate) struct Findings {
    pub(crate) faults: Vec<Fault>,
}

impl Findings {
    pub(crate) fn add(&mut self, fault: Fault) {
        if self.faults.len() < LISTED {
            self.faults.push(fault);
        }
    }

    /// Something else stands there than must.
    pub(crate) fn wrong(&mut self, code: FaultCode, pointer: &str, value: &Value, expected: &str) {
        self.add(Fault::in_value(code, pointer, shown(value), expected));
    }

    /// Out of range unless that holds.
    pub(crate) fn unless(&mut self, holds: bool, pointer: &str, value: &Value, expected: &str) {
        if !holds {
            self.wrong(FaultCode::OutOfRange, pointer, value, expected);
        }
    }

    pub(crate) fn missing(&mut self, pointer: &str, whose: &str, name: &str) {
        self.add(Fault::in_value(
            FaultCode::MissingField,
            pointer,
            whose,
            name,
        ));
    }

    pub(crate) fn unknown_word<'n>(
        &mut self,
        pointer: &str,
        word: &str,
        expected: &str,
        known: impl Iterator<Item = &'n str>,
    ) {
        let mut fault = Fault::in_value(FaultCode::UnknownWord, pointer, cut(word), expected);
        fault.help = suggestions(word, known);
        self.add(fault);
    }

    /// The text is not JSON.
    pub(crate) fn bad_syntax(&mut self, error: &serde_json::Error) {
        let expected = format!("this is not JSON: {error}");
        let mut fault = Fault::in_value(FaultCode::BadSyntax, "", "", &expected);
        fault.place = Place::Line {
            line: error.line().max(1),
            column: error.column().max(1),
        };
        self.add(fault);
    }

    pub(crate) fn unknown_field<'n>(
        &mut self,
        pointer: &str,
        whose: &str,
        name: &str,
        known: impl Iterator<Item = &'n str>,
    ) {
        let shown = cut(name);
        let at = format!("{pointer}/{}", shown.replace('~', "~0").replace('/', "~1"));
        let mut fault = Fault::in_value(FaultCode::UnknownField, &at, shown, whose);
        fault.help = suggestions(name, known);
        self.add(fault);
    }
}

/// A value as it was written, cut short.
pub(crate) fn shown(value: &Value) -> String {
    let whole = match value {
        Value::String(text) => text.clone(),
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
        other => other.to_string(),
    };
    cut(&whole)
}

/// A text, cut short.
fn cut(text: &str) -> String {
    match text.char_indices().nth(FOUND) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text.to_owned(),
    }
}
