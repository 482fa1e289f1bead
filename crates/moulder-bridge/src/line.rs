//! A question in a line, an answer in a line.

use std::fmt;

use moulder::{FaultCode, Progress};
use serde::de::{Deserialize, Deserializer, Error, MapAccess, Visitor};
use serde_json::value::RawValue;
use serde_json::{Map, Value, json};

use crate::asked::{Asked, MOST_BYTES, too_large};
use crate::field::{PARTS, check_object};
use crate::findings::Findings;
use crate::refused::Refused;
use crate::task::TASKS;

/// Fields of every question.
const ALWAYS: [&str; 3] = ["ask", "id", "progress"];

/// A question as it stands in a line. Parts of an ensemble are left as they were written: there
/// may be millions of figures in them.
struct Question<'l> {
    fields: Map<String, Value>,
    parts: Vec<&'l RawValue>,
}

impl<'de: 'l, 'l> Deserialize<'de> for Question<'l> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Fields;
        impl<'de> Visitor<'de> for Fields {
            type Value = Question<'de>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Question<'de>, A::Error> {
                let (mut fields, mut parts) = (Map::new(), Vec::new());
                while let Some(name) = map.next_key::<String>()? {
                    if name != PARTS.name {
                        fields.insert(name, map.next_value()?);
                        continue;
                    }
                    let text = map.next_value::<&RawValue>()?.get();
                    let list: Option<Vec<&RawValue>> = serde_json::from_str(text).ok();
                    let told = match &list {
                        Some(_) => Value::Array(Vec::new()),
                        None => serde_json::from_str(text).map_err(Error::custom)?,
                    };
                    parts = list.unwrap_or_default();
                    fields.insert(name, told);
                }
                Ok(Question { fields, parts })
            }
        }
        from.deserialize_map(Fields)
    }
}

/// The answer to a question, as compact JSON.
///
/// `progress` is called while it runs and may stop it.
///
/// # Errors
///
/// Every fault of the question and of the documents in it; `stopped`.
pub fn ask(question: &Value, progress: &Progress<'_>) -> Result<String, Refused> {
    let mut findings = Findings::default();
    if !question.is_object() {
        findings.wrong(FaultCode::WrongKind, "", question, "an object with \"ask\"");
        return Err(refused(&findings));
    }
    // Parts are read from their text.
    let line = question.to_string();
    let question: Question<'_> = serde_json::from_str(&line).map_err(|error| not_json(&error))?;
    answer_to(&question, progress)
}

/// As [`ask`].
fn answer_to(question: &Question<'_>, progress: &Progress<'_>) -> Result<String, Refused> {
    let mut findings = Findings::default();
    let given = &question.fields;
    let words = || TASKS.iter().map(|task| task.word);
    let task = match given.get("ask").and_then(Value::as_str) {
        Some(word) => TASKS.iter().find(|task| task.word == word),
        None => None,
    };
    let Some(task) = task else {
        let expected = format!("one of {}", words().collect::<Vec<_>>().join(", "));
        match given.get("ask") {
            None => findings.missing("", "a question", "ask"),
            Some(Value::String(word)) => findings.unknown_word("/ask", word, &expected, words()),
            Some(other) => findings.wrong(FaultCode::WrongKind, "/ask", other, &expected),
        }
        return Err(refused(&findings));
    };
    let mut fields = given.clone();
    for name in ALWAYS {
        fields.shift_remove(name);
    }
    check_object(&fields, task.fields, "", "this question", &mut findings);
    let asked = Asked {
        fields: &fields,
        parts: &question.parts,
    };
    if findings.faults.is_empty() {
        return match task.answer {
            Some(answer) => answer(asked, progress),
            None => Ok(schemas().to_string()),
        };
    }
    let mut refused = refused(&findings);
    refused.join(asked.refused_documents(task.fields));
    Err(refused)
}

/// What the table of tasks is as schemas.
fn schemas() -> Value {
    #[cfg(feature = "schema")]
    return crate::schema::schema();
    // No task of the table asks for it.
    #[cfg(not(feature = "schema"))]
    Value::Null
}

fn refused(findings: &Findings) -> Refused {
    let none = || Refused::plain(FaultCode::Unfinished, "no fault was found");
    Refused::by(&findings.faults).unwrap_or_else(none)
}

/// The answer to a line, as a line without its end. It has the `id` of the question, where that
/// has one.
#[must_use]
pub fn answer_line(line: &str, progress: &Progress<'_>) -> String {
    if line.len() > MOST_BYTES {
        return enveloped(None, Err(too_large()));
    }
    if line.trim_start().starts_with('{') {
        return match serde_json::from_str::<Question<'_>>(line) {
            Ok(question) => {
                let answered = answer_to(&question, progress);
                enveloped(question.fields.get("id"), answered)
            }
            Err(error) => enveloped(None, Err(not_json(&error))),
        };
    }
    match serde_json::from_str::<Value>(line) {
        Ok(question) => enveloped(None, ask(&question, progress)),
        Err(error) => enveloped(None, Err(not_json(&error))),
    }
}

fn not_json(error: &serde_json::Error) -> Refused {
    let mut findings = Findings::default();
    findings.bad_syntax(error);
    refused(&findings)
}

/// An answer or a refusal, with the `id` of its question.
fn enveloped(id: Option<&Value>, answered: Result<String, Refused>) -> String {
    let id = id.map_or_else(String::new, |id| format!("\"id\":{id},"));
    match answered {
        Ok(answer) => format!("{{{id}\"answer\":{answer}}}"),
        Err(refused) => format!("{{{id}\"refused\":{}}}", json!(refused)),
    }
}
