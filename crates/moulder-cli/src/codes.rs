//! `moulder codes`: what the codes mean, and what to do.

use std::fmt::Write;

use moulder::internals::bed::Bed;
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::guide::{self, Entry, Example, FAULTS, NOTICES};
use moulder::internals::fault::notice::{Notice, Severity, severity};
use moulder::internals::library::Library;
use moulder::internals::read::read_toml;
use moulder::internals::text::phrase::joined;
use serde_json::{Value, json};

use crate::arguments::CodesArguments;
use crate::complaint::Complaint;
use crate::lines::{TextWidth, listed, safe, wrapped};
use crate::output::pretty;
use crate::refusal::Refusal;
use crate::text_file::TextFile;
use crate::trouble::Trouble;
use crate::{forecast, notices};

/// The answer to what was asked.
pub(crate) fn answer(asked: &CodesArguments) -> Result<String, Trouble> {
    let Some(code) = &asked.code else {
        return Ok(if asked.json {
            pretty(&guide::entries().map(as_json).collect::<Vec<_>>())
        } else {
            list()
        });
    };
    let Some(entry) = guide::find(code) else {
        return Err(unknown(code));
    };
    if asked.json {
        return Ok(pretty(&as_json(entry)));
    }
    let mut said = format!("{}, {}\n\n", entry.code, kind(entry));
    for (word, text) in [("Cause", entry.cause), ("Cure", entry.cure)] {
        let text = format!("{word}: {text}");
        said.push_str(&wrapped(&text, TextWidth::hanging(0, 2)));
    }
    if let Some(source) = entry.source {
        let text = format!("Source: {source}.");
        said.push_str(&wrapped(&text, TextWidth::hanging(0, 2)));
    }
    if let Some(example) = entry.example {
        said.push_str("\nFor example:\n\n");
        said.push_str(&shown(entry, example)?);
    }
    Ok(said)
}

fn unknown(code: &str) -> Trouble {
    let mut said = format!("There is no code \"{}\".", safe(code));
    let near = guide::nearest(code);
    if !near.is_empty() {
        let codes: Vec<String> = near.iter().map(|near| format!("\"{near}\"")).collect();
        let _ = write!(said, " Did you mean {}?", joined(&codes, "or"));
    }
    said.push_str(" moulder codes lists them all.");
    let refusal = Refusal::new(FaultCode::UnknownWord, said);
    Trouble::bad_input(refusal.option("<CODE>").found(code, &near))
}

/// All codes, each with what leads to it.
fn list() -> String {
    /// Where the causes begin; characters.
    const CAUSE: usize = 26;
    let mut said = String::new();
    for (heading, entries) in [
        ("Faults, which keep a file from being read", FAULTS),
        ("Notices, which do not", NOTICES),
    ] {
        let _ = writeln!(said, "{heading}");
        for entry in entries {
            said.push_str(&listed(entry.code, entry.cause, CAUSE));
        }
        said.push('\n');
    }
    said.push_str("What to do about one, with an example: moulder codes CODE\n");
    said
}

fn is_fault(entry: &Entry) -> bool {
    FAULTS.iter().any(|fault| fault.code == entry.code)
}

fn kind(entry: &Entry) -> &'static str {
    if is_fault(entry) {
        return "a fault: the file is not read until it is mended";
    }
    match severity(entry.code) {
        Severity::Note => "a note: the file is read all the same",
        Severity::Warning => "a warning: the file is read, and something may be spoilt",
        Severity::Danger => "a danger: the file is read, and someone may be hurt",
    }
}

fn as_json(entry: &Entry) -> Value {
    json!({
        "code": entry.code,
        "kind": if is_fault(entry) { "fault" } else { "notice" },
        "cause": entry.cause,
        "cure": entry.cure,
        "severity": (!is_fault(entry)).then(|| severity(entry.code)),
        "source": entry.source,
        "example": entry.example.map(|example| example.text),
    })
}

/// What is said of the example.
fn shown(entry: &Entry, example: Example) -> Result<String, Trouble> {
    let read = read_toml(example.text, &Library::built_in());
    match read {
        Ok(bed) => noticed(entry, &bed, example.name),
        Err(faults) => {
            let file = TextFile {
                name: example.name.to_owned(),
                text: example.text.to_owned(),
            };
            Ok(Complaint::words(&[Complaint::of_text(&file, &faults)]))
        }
    }
}

/// The notice itself; some only a forecast can tell.
fn noticed(entry: &Entry, bed: &Bed, name: &str) -> Result<String, Trouble> {
    /// A year shows all that the examples are made to show.
    const YEAR: u32 = 12;
    let year = forecast::of(bed, YEAR, name)?;
    let own: Vec<Notice> = year
        .notices
        .into_iter()
        .filter(|notice| notice.code == entry.code)
        .collect();
    Ok(notices::plain(&own, &year.layers))
}
