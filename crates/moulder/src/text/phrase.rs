//! Phrases: lists in words, and what others wrote made safe to print.

use crate::text::sign;

/// Longest piece of a document that is shown in a sentence; characters.
const SHOWN: usize = 80;

/// Marks that people write for inches.
pub(crate) const INCH_MARKS: &[&str] = &["\"", "''", "″", "”"];
/// Marks that people write for feet.
pub(crate) const FOOT_MARKS: &[&str] = &["'", "′", "’"];

/// Whether it is a mark for feet or inches rather than a word.
pub(crate) fn is_mark(phrase: &str) -> bool {
    INCH_MARKS.contains(&phrase) || FOOT_MARKS.contains(&phrase)
}

/// Texts in a row, the last after a word.
///
/// ```
/// use moulder::internals::text::phrase::joined;
///
/// assert_eq!(joined(&["logs", "turf", "soil"], "and"), "logs, turf and soil");
/// assert_eq!(joined(&["logs"], "or"), "logs");
/// ```
#[must_use]
pub fn joined(texts: &[impl AsRef<str>], word: &str) -> String {
    let texts: Vec<&str> = texts.iter().map(AsRef::as_ref).collect();
    match &texts[..] {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [rest @ .., last] => format!("{} {word} {last}", rest.join(", ")),
    }
}

/// A piece of a document in quotes, safe to print.
pub(crate) fn quoted(text: &str) -> String {
    format!("\"{}\"", shown(text))
}

/// A piece of a document that is safe to print: shortened, and without control signs.
pub(crate) fn shown(text: &str) -> String {
    let mut safe = String::new();
    for (count, (sign, hidden)) in sign::marked(text).enumerate() {
        if count == SHOWN {
            safe.push('…');
            break;
        }
        if hidden {
            safe.extend(sign.escape_unicode());
        } else {
            safe.push(sign);
        }
    }
    safe
}
