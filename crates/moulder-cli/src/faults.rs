//! What is wrong with a bed file, with the line it stands in.

use std::fmt::Write;

use moulder::fault::{Fault, Faults, Place};
use moulder::text;

use crate::bed_file::BedFile;
use crate::lines::{TextWidth, WIDTH, counted, safe, wrapped};

/// Blanks before a line that is shown.
const INDENT: usize = 4;
/// Characters of a long line that are shown before the place of the fault.
const BEFORE: usize = 24;
/// Stands where a line was cut.
const CUT: &str = "...";

/// All faults in words, each with its line.
pub(crate) fn told(file: &BedFile, faults: &Faults) -> String {
    let count = faults.as_slice().len() + faults.unlisted();
    let head = format!("{} has {}:", file.name, counted(count, "fault", "faults"));
    let mut said = wrapped(&head, TextWidth::PLAIN);
    for fault in faults {
        said.push('\n');
        said.push_str(&wrapped(&text::fault(fault), TextWidth::hanging(0, 2)));
        if let Place::Line { line, column } = fault.place
            && let Some(found) = file.text.lines().nth(line.saturating_sub(1))
        {
            said.push_str(&shown(fault, found, column.saturating_sub(1)));
        }
    }
    if faults.unlisted() > 0 {
        let _ = write!(said, "\nand {} more.\n", faults.unlisted());
    }
    said
}

/// The line, cut to the screen, and a mark under what was found.
fn shown(fault: &Fault, line: &str, column: usize) -> String {
    let line: Vec<char> = safe(line.trim_start_matches('\u{feff}')).chars().collect();
    if line.iter().all(|sign| sign.is_whitespace()) {
        return String::new();
    }
    let column = column.min(line.len());
    let length = found_length(&fault.found, &line[column..]);
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
