//! `moulder codes`: what the codes mean, and what to do.

use std::fmt::Write;

use clap::Args;
use moulder::internals::bed::Bed;
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::guide::{self, Entry, Example, FAULTS, NOTICES};
use moulder::internals::fault::notice::{Notice, Severity, severity};
use moulder::internals::library::Library;
use moulder::internals::read::read_toml;
use serde::Serialize;

use crate::common::forecast;
use crate::common::text_file::TextFile;
use crate::print::lines::{hanging, listed, safe};
use crate::print::notices;
use crate::print::screen::pretty;
use crate::trouble::Trouble;
use crate::trouble::complaint::Complaint;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct CodesArguments {
    /// One code, to see its cause, its cure and an example; without it, the list of all
    pub(crate) code: Option<String>,

    /// Answer in JSON, for programs
    #[arg(long)]
    pub(crate) json: bool,
}

/// The answer to what was asked.
pub(crate) fn answer(asked: &CodesArguments) -> Result<String, Trouble> {
    let Some(code) = &asked.code else {
        return Ok(if asked.json {
            pretty(&guide::entries().map(Told::of).collect::<Vec<_>>())
        } else {
            list()
        });
    };
    let Some(entry) = guide::find(code) else {
        return Err(unknown(code));
    };
    if asked.json {
        return Ok(pretty(&Told::of(entry)));
    }
    let mut said = format!("{}, {}\n\n", entry.code, kind(entry));
    for (word, text) in [("Cause", entry.cause), ("Cure", entry.cure)] {
        let text = format!("{word}: {text}");
        said += &hanging(0, 2, &text);
    }
    if let Some(source) = entry.source {
        let text = format!("Source: {source}.");
        said += &hanging(0, 2, &text);
    }
    if let Some(example) = entry.example {
        said.push_str("\nFor example:\n\n");
        said += &shown(entry, example)?;
    }
    Ok(said)
}

fn unknown(code: &str) -> Trouble {
    let said = format!("There is no code \"{}\".", safe(code));
    let more = "moulder codes lists them all.";
    let near = guide::nearest(code);
    let refusal = Refusal::unknown(FaultCode::UnknownWord, &said, more, code, &near);
    Trouble::bad_input(refusal.option("<CODE>"))
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
            said += &listed(entry.code, entry.cause, CAUSE);
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

/// A code, for programs.
#[derive(Serialize)]
struct Told<'a> {
    code: &'a str,
    kind: &'a str,
    cause: &'a str,
    cure: &'a str,
    severity: Option<Severity>,
    source: Option<&'a str>,
    example: Option<&'a str>,
}

impl<'a> Told<'a> {
    fn of(entry: &'a Entry) -> Self {
        let is_fault = is_fault(entry);
        Self {
            code: entry.code,
            kind: if is_fault { "fault" } else { "notice" },
            cause: entry.cause,
            cure: entry.cure,
            severity: (!is_fault).then(|| severity(entry.code)),
            source: entry.source,
            example: entry.example.map(|example| example.text),
        }
    }
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

/// The notice itself; some are raised by a forecast only.
fn noticed(entry: &Entry, bed: &Bed, name: &str) -> Result<String, Trouble> {
    /// A year shows all that the examples are made to show.
    const YEAR: u32 = 12;
    let year = forecast::of(bed, YEAR, name)?;
    let own: Vec<Notice> = year
        .notices
        .into_iter()
        .filter(|notice| notice.code == entry.code)
        .collect();
    Ok(notices::in_full(&own, &year.layers))
}
