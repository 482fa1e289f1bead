//! Words that come from outside, before the template escapes them.

use moulder::internals::text::sign::marked;
use moulder_chart::svg::escape::named;

/// Longest piece of a line that others wrote; characters. Sentences of our own that hold
/// their names are shorter.
const LONGEST: usize = 1200;

/// A name or a sentence that may hold words of others: in one line, without signs that
/// steer a screen, writing from right to left kept to itself.
///
/// ```
/// assert_eq!(moulder_page::name::in_a_line("a\u{202e}b\n c"), "ab c");
/// ```
#[must_use]
pub fn in_a_line(text: &str) -> String {
    named(text, LONGEST)
}

/// A file as it was written, with every sign that is not seen written out.
///
/// ```
/// assert_eq!(moulder_page::name::as_written("a\u{61c}\u{e0041}b"), "a\\u{61c}\\u{e0041}b");
/// assert_eq!(moulder_page::name::as_written("a\u{202e}b\r\n\tc"), "a\\u{202e}b\n\tc");
/// ```
#[must_use]
pub fn as_written(text: &str) -> String {
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
