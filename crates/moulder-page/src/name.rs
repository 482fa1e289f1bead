//! Words that come from outside, before the template escapes them.

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

/// A file as it was written, with every sign that would steer a screen written out.
///
/// ```
/// assert_eq!(moulder_page::name::as_written("a\u{202e}b\r\n\tc"), "a\\u{202e}b\n\tc");
/// ```
#[must_use]
pub fn as_written(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for sign in text.trim_start_matches('\u{feff}').chars() {
        match sign {
            '\n' | '\t' => safe.push(sign),
            '\r' => {}
            _ if steers(sign) => safe.extend(sign.escape_unicode()),
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

/// Signs that steer a screen, turn the direction of writing or are none at all.
fn steers(sign: char) -> bool {
    sign.is_control()
        || matches!(
            sign,
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}'
                | '\u{2066}'..='\u{2069}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}'
        )
}
