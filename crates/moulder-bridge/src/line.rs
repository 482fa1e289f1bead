//! A question in a line, an answer in a line.

use moulder::{FaultCode, Progress};
use serde_json::{Value, json};

use crate::asked::{Asked, MOST_BYTES, too_large};
use crate::field::check_object;
use crate::findings::Findings;
use crate::refused::Refused;
use crate::schema::schema;
use crate::task::TASKS;

/// Fields of every question.
const ALWAYS: [&str; 3] = ["ask", "id", "progress"];

/// The answer to a question, as compact JSON.
///
/// `progress` is called while it runs and may stop it.
///
/// # Errors
///
/// Every fault of the question and of the documents in it; `stopped`.
pub fn ask(question: &Value, progress: &Progress<'_>) -> Result<String, Refused> {
    let mut findings = Findings::default();
    let Value::Object(given) = question else {
        findings.wrong(FaultCode::WrongKind, "", question, "an object with \"ask\"");
        return Err(refused(&findings));
    };
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
    let asked = Asked { fields: &fields };
    if findings.faults.is_empty() {
        return match task.answer {
            Some(answer) => answer(asked, progress),
            None => Ok(schema().to_string()),
        };
    }
    let mut refused = refused(&findings);
    refused.join(asked.refused_documents(task.fields));
    Err(refused)
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
    let question: Value = match serde_json::from_str(line) {
        Ok(question) => question,
        Err(error) => {
            let mut findings = Findings::default();
            findings.bad_syntax(&error);
            return enveloped(None, Err(refused(&findings)));
        }
    };
    enveloped(question.get("id"), ask(&question, progress))
}

/// An answer or a refusal, with the `id` of its question.
fn enveloped(id: Option<&Value>, answered: Result<String, Refused>) -> String {
    let id = id.map_or_else(String::new, |id| format!("\"id\":{id},"));
    match answered {
        Ok(answer) => format!("{{{id}\"answer\":{answer}}}"),
        Err(refused) => format!("{{{id}\"refused\":{}}}", json!(refused)),
    }
}
