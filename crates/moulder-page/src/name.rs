//! Text that others wrote, before the template escapes it.

use moulder_chart::internals::svg::escape::named;
use moulder_words::sign::marked;

/// Longest piece of a line that others wrote; characters. Sentences of our own that hold
/// their names are shorter.
const LONGEST: usize = 1200;

/// A name or a sentence that may contain text of others: in one line, without characters that
/// steer a screen, right-to-left writing isolated.
#[must_use]
pub(crate) fn in_a_line(text: &str) -> String {
    named(text, LONGEST)
}

/// A file as it was written, with every invisible character written out.
#[must_use]
pub(crate) fn as_written(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for (sign, hidden) in marked(text.trim_start_matches('\u{feff}')) {
        match sign {
            '\n' | '\t' => safe.push(sign),
            '\r' => {}
            _ if hidden => safe.extend(sign.escape_unicode()),
            _ => safe.push(sign),
        }
    }
    safe
}

/// With a capital, where it begins with a letter that has one.
pub(crate) fn sentence_case(text: &str) -> String {
    let mut signs = text.chars();
    let first = signs.next().map(|sign| sign.to_ascii_uppercase());
    first.into_iter().chain(signs).collect()
}

#[cfg(test)]
mod tests {
    use super::{as_written, in_a_line};

    #[test]
    fn characters_that_steer_a_screen_are_taken_out_or_written_out() {
        assert_eq!(in_a_line("a\u{202e}b\n c"), "ab c");
        assert_eq!(as_written("a\u{61c}\u{e0041}b"), "a\\u{61c}\\u{e0041}b");
        assert_eq!(as_written("a\u{202e}b\r\n\tc"), "a\\u{202e}b\n\tc");
    }
}
