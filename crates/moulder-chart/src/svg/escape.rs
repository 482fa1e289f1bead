//! Text that others wrote, made harmless.

use moulder_words::sign::marked;

/// Text as it may stand between tags or in quotes of an SVG document: without control
/// characters, with the five special characters of XML escaped.
///
/// ```
/// use moulder_chart::internals::svg::escape::escaped;
///
/// assert_eq!(escaped("<b> & \u{7}\"co\""), "&lt;b&gt; &amp; &quot;co&quot;");
/// ```
#[must_use]
pub fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for sign in seen(text, |sign| is_blank(sign) || isolates(sign)) {
        match sign {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\n' | '\t' | '\r' => safe.push(' '),
            other => safe.push(other),
        }
    }
    safe
}

/// A name that others gave, of at most so many characters, to stand within our own text:
/// right-to-left writing is isolated.
#[must_use]
pub fn named(name: &str, most: usize) -> String {
    let clean: String = seen(name, is_blank).collect();
    let clean = clean.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut short: String = clean.chars().take(most).collect();
    if short.len() < clean.len() {
        short.pop();
        // A joiner to the next character has nothing to join now.
        short = seen(short.trim_end(), |_| false).collect();
        short.push('…');
    }
    if short.chars().any(runs_right_to_left) {
        short = format!("{FIRST_STRONG_ISOLATE}{short}{POP_ISOLATE}");
    }
    short
}

const FIRST_STRONG_ISOLATE: char = '\u{2068}';
const POP_ISOLATE: char = '\u{2069}';

/// The two characters by which [`named`] isolates a name.
const fn isolates(sign: char) -> bool {
    matches!(sign, FIRST_STRONG_ISOLATE | POP_ISOLATE)
}

/// The visible characters of a text, and those others that are kept. What XML forbids is never
/// visible.
fn seen(text: &str, kept: impl Fn(char) -> bool) -> impl Iterator<Item = char> {
    marked(text).filter_map(move |(sign, hidden)| (!hidden || kept(sign)).then_some(sign))
}

/// Ends of lines and tabs, which separate words.
const fn is_blank(sign: char) -> bool {
    matches!(sign, '\n' | '\t' | '\r')
}

/// The blocks of scripts written from right to left (Unicode, `DerivedBidiClass`: the
/// ranges whose unassigned characters are R or AL).
const fn runs_right_to_left(sign: char) -> bool {
    matches!(
        sign,
        '\u{590}'..='\u{8ff}'
            | '\u{fb1d}'..='\u{fdff}'
            | '\u{fe70}'..='\u{fefe}'
            | '\u{10800}'..='\u{10fff}'
            | '\u{1e800}'..='\u{1efff}'
    )
}

#[cfg(test)]
mod tests {
    use super::{escaped, named};

    #[test]
    fn a_name_cannot_leave_its_place() {
        assert_eq!(named("a\u{202e}b\u{0}\n c", 50), "ab c");
        assert_eq!(named("a\u{61c}\u{200b}\u{e0041}b", 50), "ab");
        assert_eq!(escaped("a\u{61c}\u{200b}\u{e0041}b"), "ab");
        let farmers = "\u{1f469}\u{200d}\u{1f33e}".repeat(2);
        assert_eq!(named(&farmers, 50), farmers);
        assert_eq!(named(&farmers, 3), "\u{1f469}…");
        assert_eq!(named("\u{5d0}\u{2069}", 50), "\u{2068}\u{5d0}\u{2069}");
        assert_eq!(named("logs and more", 5), "logs…");
        assert_eq!(
            escaped(&named("</title><script>", 50)),
            "&lt;/title&gt;&lt;script&gt;"
        );
    }
}
