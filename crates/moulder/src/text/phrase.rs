//! Lists in words, and document text made safe to print.

use crate::text::sign;

/// Longest excerpt of a document in a sentence; characters.
const SHOWN: usize = 80;

/// Marks that stand for inches.
pub(crate) const INCH_MARKS: &[&str] = &["\"", "''", "″", "”"];
/// Marks that stand for feet.
pub(crate) const FOOT_MARKS: &[&str] = &["'", "′", "’"];

/// Whether a phrase is a mark for feet or inches.
pub(crate) fn is_mark(phrase: &str) -> bool {
    INCH_MARKS.contains(&phrase) || FOOT_MARKS.contains(&phrase)
}

/// Items joined by commas, the last by `word`: "logs, turf and soil".
#[must_use]
pub fn joined(texts: &[impl AsRef<str>], word: &str) -> String {
    let texts: Vec<&str> = texts.iter().map(AsRef::as_ref).collect();
    match &texts[..] {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [rest @ .., last] => format!("{} {word} {last}", rest.join(", ")),
    }
}

/// An excerpt of a document in quotes, safe to print.
pub(crate) fn quoted(text: &str) -> String {
    format!("\"{}\"", shown(text))
}

/// An excerpt of a document, safe to print: shortened, hidden characters escaped.
pub(crate) fn shown(text: &str) -> String {
    let mut safe = String::new();
    for (count, (c, hidden)) in sign::marked(text).enumerate() {
        if count == SHOWN {
            safe.push('…');
            break;
        }
        if hidden {
            safe.extend(c.escape_unicode());
        } else {
            safe.push(c);
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::joined;

    #[test]
    fn items_are_joined() {
        assert_eq!(
            joined(&["logs", "turf", "soil"], "and"),
            "logs, turf and soil"
        );
        assert_eq!(joined(&["logs"], "or"), "logs");
    }
}
