//! What is wrong with a file, with the line it stands in.

use std::fmt::Write;

use moulder::fault::sentence;
use moulder::fault::{Faults, Place};
use moulder::library::file_fault::ShelfFaults;
use serde::Serialize;
use serde_json::Value;

use crate::lines::{TextWidth, WIDTH, counted, safe, wrapped};
use crate::output::pretty;
use crate::text_file::TextFile;
use crate::trouble::Trouble;

/// Blanks before a line that is shown.
const INDENT: usize = 4;
/// Characters of a long line that are shown before the place of the fault.
const BEFORE: usize = 24;
/// Stands where a line was cut.
const CUT: &str = "...";

/// Everything that is wrong with one file.
#[derive(Debug)]
pub(crate) struct Complaint {
    /// For people.
    words: String,
    /// For programs: a fault each, with the file it is in.
    values: Vec<Value>,
}

/// A fault as it is told.
struct Told<'a> {
    place: &'a Place,
    words: String,
    /// The piece of the file it speaks of, where that is known.
    found: &'a str,
}

impl Complaint {
    /// Of a bed file or a file of weather.
    pub(crate) fn of_text(file: &TextFile, faults: &Faults) -> Self {
        let told = faults.iter().map(|fault| Told {
            place: &fault.place,
            words: text::fault(fault),
            found: &fault.found,
        });
        Self::new(file, told.collect(), faults.as_slice(), faults.unlisted())
    }

    /// Of a file of materials.
    pub(crate) fn of_shelf(file: &TextFile, faults: &ShelfFaults) -> Self {
        let list = faults.as_slice();
        let told = list.iter().map(|fault| Told {
            place: &fault.place,
            words: fault.to_string(),
            found: "",
        });
        Self::new(file, told.collect(), list, faults.unlisted())
    }

    fn new<T: Serialize>(
        file: &TextFile,
        told: Vec<Told<'_>>,
        list: &[T],
        unlisted: usize,
    ) -> Self {
        let values = list.iter().map(|fault| {
            let mut value = serde_json::to_value(fault).unwrap_or_default();
            if let Value::Object(fields) = &mut value {
                fields.insert("file".to_owned(), file.name.clone().into());
            }
            value
        });
        Self {
            values: values.collect(),
            words: in_words(file, told, unlisted),
        }
    }

    /// The complaint in words.
    pub(crate) fn words(self) -> String {
        self.words
    }

    /// All complaints, one file after the other.
    pub(crate) fn all(complaints: Vec<Self>, for_programs: bool) -> Trouble {
        if for_programs {
            let values: Vec<Value> = complaints
                .into_iter()
                .flat_map(|complaint| complaint.values)
                .collect();
            return Trouble::BadInputAnswered(pretty(&values));
        }
        let words: Vec<String> = complaints
            .into_iter()
            .map(|complaint| complaint.words)
            .collect();
        Trouble::BadInput(words.join("\n"))
    }
}

/// All faults in words, each with its line.
fn in_words(file: &TextFile, faults: Vec<Told<'_>>, unlisted: usize) -> String {
    let count = faults.len() + unlisted;
    let head = format!("{} has {}:", file.name, counted(count, "fault", "faults"));
    let mut said = wrapped(&head, TextWidth::PLAIN);
    for fault in faults {
        said.push('\n');
        said.push_str(&wrapped(&fault.words, TextWidth::hanging(0, 2)));
        if let Place::Line { line, column } = *fault.place
            && let Some(text) = file.text.lines().nth(line.saturating_sub(1))
        {
            said.push_str(&shown(fault.found, text, column.saturating_sub(1)));
        }
    }
    if unlisted > 0 {
        let _ = write!(said, "\nand {unlisted} more.\n");
    }
    said
}

/// The line, cut to the screen, and a mark under what was found.
fn shown(found: &str, line: &str, column: usize) -> String {
    let line: Vec<char> = safe(line.trim_start_matches('\u{feff}')).chars().collect();
    if line.iter().all(|sign| sign.is_whitespace()) {
        return String::new();
    }
    let column = column.min(line.len());
    let length = found_length(found, &line[column..]);
    let blanks = line.iter().take_while(|sign| sign.is_whitespace()).count();
    let room = WIDTH - INDENT;
    let fits = line.len() - blanks.min(column) <= room;
    let from = if fits || column < blanks + room / 2 {
        blanks.min(column)
    } else {
        column - BEFORE
    };
    let mut text = String::new();
    if from > blanks {
        text.push_str(CUT);
    }
    let mark_at = text.len() + column - from;
    let left = room - text.len();
    if line.len() - from > left {
        text.extend(&line[from..from + left - CUT.len()]);
        text.push_str(CUT);
    } else {
        text.extend(&line[from..]);
    }
    let mark = "~".repeat(length.clamp(1, room.saturating_sub(mark_at).max(1)));
    format!(
        "{blank:INDENT$}{}\n{blank:INDENT$}{blank:mark_at$}{mark}\n",
        text.trim_end(),
        blank = ""
    )
}

/// How many characters of the line are what was found: with its quotes if it has some,
/// to the end of a bare word otherwise.
fn found_length(found: &str, at: &[char]) -> usize {
    let found: Vec<char> = found.chars().collect();
    match at.first() {
        Some(&quote @ ('"' | '\'')) => at
            .iter()
            .skip(1)
            .position(|sign| *sign == quote)
            .map_or(1, |inside| inside + 2),
        _ if !found.is_empty() && at.starts_with(&found) => found.len(),
        _ => at
            .iter()
            .take_while(|sign| sign.is_alphanumeric() || matches!(sign, '-' | '_' | '.' | ':'))
            .count()
            .max(1),
    }
}
