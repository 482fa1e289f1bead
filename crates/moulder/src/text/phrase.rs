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

/// A layer by its number from the ground up, 1 first, and by its name where it has one:
/// "layer 2 (turf)".
#[must_use]
pub fn layer(number: usize, name: &str) -> String {
    layers(&[(number, name)])
}

/// The same of several layers: "layers 1 (logs), 2 and 4 (turf)"; nothing of none.
#[must_use]
pub fn layers(of: &[(usize, impl AsRef<str>)]) -> String {
    let each = of.iter().map(|(number, name)| match name.as_ref() {
        name if name.is_empty() || *name == format!("layer {number}") => number.to_string(),
        name => format!("{number} ({name})"),
    });
    let each: Vec<String> = each.collect();
    match each.len() {
        0 => String::new(),
        1 => format!("layer {}", joined(&each, "and")),
        _ => format!("layers {}", joined(&each, "and")),
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
    use super::{joined, layer, layers};

    #[test]
    fn a_layer_without_a_name_is_told_once() {
        assert_eq!(layer(2, "turf"), "layer 2 (turf)");
        assert_eq!(layer(2, "layer 2"), "layer 2");
        let three = [(1, "logs"), (2, "layer 2"), (4, "turf")];
        assert_eq!(layers(&three), "layers 1 (logs), 2 and 4 (turf)");
    }

    #[test]
    fn items_are_joined() {
        assert_eq!(
            joined(&["logs", "turf", "soil"], "and"),
            "logs, turf and soil"
        );
        assert_eq!(joined(&["logs"], "or"), "logs");
    }
}
