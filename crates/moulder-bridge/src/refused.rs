//! Why a question has no answer.

use moulder::{Error, Fault, FaultCode, Place};
use serde::Serialize;
use serde_json::{Value, json};

/// Why a question has no answer: all of its faults at once.
///
/// ```
/// use moulder::months::unwatched;
///
/// let question = serde_json::json!({"ask": "forecast", "months": -3});
/// let refused = moulder_bridge::ask(&question, &unwatched).unwrap_err();
/// let paths: Vec<_> = refused.faults.iter().map(|fault| fault["path"].as_str()).collect();
/// assert_eq!(paths, [Some(""), Some("/months")]);
/// ```
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Refused {
    /// The stable code of the first fault.
    pub code: FaultCode,
    /// A sentence for people.
    pub message: String,
    /// Each fault: `code`, `path` (a JSON Pointer into the question), `place`, `found`, `expected`,
    /// `help` and `message`.
    pub faults: Vec<Value>,
}

impl Refused {
    /// By a fault that stands nowhere in a document.
    pub(crate) fn plain(code: FaultCode, message: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
            faults: Vec::new(),
        }
    }

    /// By faults of a question; none without any.
    pub(crate) fn by(faults: &[Fault]) -> Option<Self> {
        let code = faults.first()?.code;
        Some(Self::told(
            code,
            faults.iter().map(|fault| told(fault, "")).collect(),
        ))
    }

    /// By faults as they are told.
    fn told(code: FaultCode, faults: Vec<Value>) -> Self {
        let said = faults.iter().filter_map(|fault| fault["message"].as_str());
        let message = said.collect::<Vec<&str>>().join("\n");
        Self {
            code,
            message,
            faults,
        }
    }

    /// Adds what else is refused.
    pub(crate) fn join(&mut self, more: impl IntoIterator<Item = Self>) {
        for more in more {
            self.message = format!("{}\n{}", self.message, more.message);
            self.faults.extend(more.faults);
        }
    }

    /// By an error about the document, or the text, at that pointer.
    pub(crate) fn of(error: &Error, pointer: &str) -> Self {
        let of_document = error.faults().iter();
        let of_document = of_document.map(|fault| told(&below(fault, pointer), pointer));
        let of_library = error.library_faults().iter().map(|fault| {
            json!({
                "code": fault.code, "place": fault.place, "path": pointer,
                "found": fault.material, "expected": "", "help": [],
                "message": in_text(pointer, &fault.place, fault),
            })
        });
        let faults: Vec<Value> = of_document.chain(of_library).collect();
        if faults.is_empty() {
            return Self::plain(error.code(), error.to_string());
        }
        Self::told(error.code(), faults)
    }
}

impl From<Error> for Refused {
    fn from(error: Error) -> Self {
        Self::of(&error, "")
    }
}

/// A fault with its sentence, of the text at that pointer where it stands in one.
fn told(fault: &Fault, pointer: &str) -> Value {
    let mut value = serde_json::to_value(fault).unwrap_or_default();
    value["message"] = json!(in_text(pointer, &fault.place, fault));
    value
}

/// A sentence that begins with a place; with the field that holds the text, if it is of one.
fn in_text(pointer: &str, place: &Place, said: &impl ToString) -> String {
    match place {
        Place::Line { .. } if !pointer.is_empty() => format!("in {pointer}, {}", said.to_string()),
        _ => said.to_string(),
    }
}

/// A fault of a document, in the question that holds it there.
fn below(fault: &Fault, at: &str) -> Fault {
    let mut fault = fault.clone();
    fault.path = format!("{at}{}", fault.path);
    if let Place::Pointer { pointer } = &mut fault.place {
        *pointer = format!("{at}{pointer}");
    }
    fault
}

/// A refusal as JSON Schema.
#[cfg(feature = "schema")]
pub(crate) const SHAPE: &str = r#"{
    "type": "object",
    "required": ["code", "message", "faults"],
    "properties": {
        "code": {"type": "string"},
        "message": {"type": "string"},
        "faults": {"type": "array", "items": {
            "type": "object",
            "required": ["code", "place", "path", "found", "expected", "help", "message"],
            "properties": {
                "code": {"type": "string"},
                "place": {"description": "line and column in a text, or a JSON Pointer"},
                "path": {"type": "string", "description": "JSON Pointer into the question"},
                "found": {"type": "string"},
                "expected": {"type": "string"},
                "help": {"type": "array", "items": {"type": "string"}},
                "message": {"type": "string"}
            }
        }}
    }
}"#;
