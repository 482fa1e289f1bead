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
        let first = faults.first()?;
        let said: Vec<String> = faults.iter().map(Fault::to_string).collect();
        Some(Self {
            code: first.code,
            message: said.join("\n"),
            faults: faults.iter().map(told).collect(),
        })
    }

    /// Adds what else is refused.
    pub(crate) fn join(&mut self, more: impl IntoIterator<Item = Self>) {
        for more in more {
            self.message = format!("{}\n{}", self.message, more.message);
            self.faults.extend(more.faults);
        }
    }

    /// By an error about the document at that pointer.
    pub(crate) fn of(error: &Error, pointer: &str) -> Self {
        let faults: Vec<Fault> = error.faults().iter().map(|f| below(f, pointer)).collect();
        if let Some(refused) = Self::by(&faults) {
            return refused;
        }
        let library = error.library_faults().iter();
        Self {
            code: error.code(),
            message: error.to_string(),
            faults: library
                .filter_map(|f| serde_json::to_value(f).ok())
                .collect(),
        }
    }
}

impl From<Error> for Refused {
    fn from(error: Error) -> Self {
        Self::of(&error, "")
    }
}

/// A fault with its sentence.
fn told(fault: &Fault) -> Value {
    let mut value = serde_json::to_value(fault).unwrap_or_default();
    value["message"] = json!(fault.to_string());
    value
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
pub(crate) const SHAPE: &str = r#"{
    "type": "object",
    "required": ["code", "message", "faults"],
    "properties": {
        "code": {"type": "string"},
        "message": {"type": "string"},
        "faults": {"type": "array", "items": {"type": "object"}}
    }
}"#;
