//! Words that come from outside, made harmless.

/// Text as it may stand between tags or in quotes of an SVG document: without signs that
/// steer, with the five signs that mean something to XML written out.
///
/// ```
/// use moulder_chart::svg::escape::escaped;
///
/// assert_eq!(escaped("<b> & \u{7}\"co\""), "&lt;b&gt; &amp; &quot;co&quot;");
/// ```
#[must_use]
pub fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for sign in text.chars().filter(|sign| !steers(*sign)) {
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

/// A name somebody gave, of at most so many characters, to stand among our own words:
/// writing that runs from right to left turns nothing around outside it.
#[must_use]
pub fn named(name: &str, most: usize) -> String {
    let clean: String = name
        .chars()
        .filter(|sign| !steers(*sign) && !isolates(*sign))
        .collect();
    let clean = clean.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut short: String = clean.chars().take(most).collect();
    if short.len() < clean.len() {
        short.pop();
        short = short.trim_end().to_owned();
        short.push('…');
    }
    if short.chars().any(runs_right_to_left) {
        short = format!("{FIRST_STRONG_ISOLATE}{short}{POP_ISOLATE}");
    }
    short
}

const FIRST_STRONG_ISOLATE: char = '\u{2068}';
const POP_ISOLATE: char = '\u{2069}';

/// The two signs by which [`named`] keeps a name to itself.
const fn isolates(sign: char) -> bool {
    matches!(sign, FIRST_STRONG_ISOLATE | POP_ISOLATE)
}

/// Signs that XML forbids, that steer a screen or that turn the direction of writing.
fn steers(sign: char) -> bool {
    (sign.is_control() && !matches!(sign, '\n' | '\t' | '\r'))
        || matches!(
            sign,
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'
                ..='\u{202e}' | '\u{2066}' | '\u{2067}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}'
        )
}

/// The blocks of scripts written from right to left (Unicode, `DerivedBidiClass`: the
/// ranges whose unassigned signs are R or AL).
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
        assert_eq!(named("\u{5d0}\u{2069}", 50), "\u{2068}\u{5d0}\u{2069}");
        assert_eq!(named("logs and more", 5), "logs…");
        assert_eq!(
            escaped(&named("</title><script>", 50)),
            "&lt;/title&gt;&lt;script&gt;"
        );
    }
}
