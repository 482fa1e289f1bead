//! Hidden characters: they control a terminal, reverse text or hide words in words.
//!
//! By Unicode: controls, line and paragraph separators, noncharacters, and the properties
//! `Default_Ignorable_Code_Point` and `Bidi_Control`. Names, notes, charts and pages share this
//! rule.
//!
//! Some belong to ordinary text and are allowed where they have an effect, one at a time: joiners
//! between letters of a joining script (Persian, Hindi) or between two emoji, a variation
//! selector after a character with variants. Tags are never allowed, so three flags made of them
//! are refused.

use std::sync::LazyLock;

use regex_syntax::hir::{Class, HirKind};

/// Hidden characters.
static HIDDEN: LazyLock<Ranges> = LazyLock::new(|| {
    Ranges::of(
        r"[\p{Cc}\p{Zl}\p{Zp}\p{Noncharacter_Code_Point}\p{Default_Ignorable_Code_Point}\p{Bidi_Control}]",
    )
});
/// Characters that a joiner may stand between: emoji, and letters and marks of scripts with
/// joiners.
static JOINED: LazyLock<Ranges> = LazyLock::new(|| {
    Ranges::of(
        r"[[[\p{L}\p{M}]--[\p{Common}\p{Inherited}\p{Latin}\p{Greek}\p{Cyrillic}\p{Armenian}\p{Georgian}\p{Hebrew}\p{Hangul}\p{Han}\p{Hiragana}\p{Katakana}\p{Bopomofo}]]\p{Extended_Pictographic}\p{Emoji_Modifier}]",
    )
});
/// Characters that variation selectors 1 to 16 may follow.
static SELECTED: LazyLock<Ranges> =
    LazyLock::new(|| Ranges::of(r"[[\p{Emoji}--\p{ASCII}]\p{Han}\p{Myanmar}\p{Phags_Pa}]"));
/// Characters that the later variation selectors may follow.
static HAN: LazyLock<Ranges> = LazyLock::new(|| Ranges::of(r"\p{Han}"));
/// Characters that the Mongolian selectors may follow.
static MONGOLIAN: LazyLock<Ranges> = LazyLock::new(|| Ranges::of(r"[\p{Mongolian}--\p{M}]"));

/// Character ranges with a property, sorted.
struct Ranges(Vec<(char, char)>);

impl Ranges {
    /// The characters of a Unicode class.
    fn of(class: &str) -> Self {
        let read = regex_syntax::parse(class)
            .expect("the classes are part of the program and all read by a test");
        match read.kind() {
            HirKind::Class(Class::Unicode(class)) => {
                let ranges = class.ranges().iter();
                Self(ranges.map(|range| (range.start(), range.end())).collect())
            }
            _ => Self(Vec::new()),
        }
    }

    fn contains(&self, c: char) -> bool {
        let after = self.0.partition_point(|(first, _)| *first <= c);
        after > 0 && self.0[after - 1].1 >= c
    }
}

/// Whether a character is hidden, regardless of context.
fn is_hidden(c: char) -> bool {
    if c.is_ascii() {
        c.is_ascii_control()
    } else {
        HIDDEN.contains(c)
    }
}

/// Each character of a text, with whether it is hidden there.
pub fn marked(text: &str) -> impl Iterator<Item = (char, bool)> {
    let mut chars = text.chars().peekable();
    // The last visible character, and whether a selector follows it already.
    let mut seen: Option<(char, bool)> = None;
    std::iter::from_fn(move || {
        let c = chars.next()?;
        if !is_hidden(c) {
            seen = Some((c, false));
            return Some((c, false));
        }
        let has_effect = seen.is_some_and(|seen| has_effect(seen, c, chars.peek().copied()));
        seen = match seen {
            Some((before, false)) if has_effect && !is_joiner(c) => Some((before, true)),
            _ => None,
        };
        Some((c, !has_effect))
    })
}

/// The first hidden character of a text.
#[must_use]
pub fn first_hidden(text: &str) -> Option<char> {
    marked(text).find_map(|(c, hidden)| hidden.then_some(c))
}

/// A character by its code point, as in "U+200B".
#[must_use]
pub fn in_words(c: char) -> String {
    format!("U+{:04X}", u32::from(c))
}

/// Whether an invisible character has an effect after the last visible one.
fn has_effect((before, selected): (char, bool), c: char, after: Option<char>) -> bool {
    /// Combining keycap: makes a key of the digit before it and a selector.
    const KEY: char = '\u{20e3}';
    match c {
        _ if is_joiner(c) => JOINED.contains(before) && after.is_some_and(|c| JOINED.contains(c)),
        _ if selected => false,
        '\u{fe00}'..='\u{fe0f}' => {
            let key = matches!(before, '0'..='9' | '#' | '*') && after == Some(KEY);
            key || SELECTED.contains(before)
        }
        '\u{e0100}'..='\u{e01ef}' => HAN.contains(before),
        '\u{180b}'..='\u{180f}' => MONGOLIAN.contains(before),
        _ => false,
    }
}

const fn is_joiner(c: char) -> bool {
    matches!(c, '\u{200c}' | '\u{200d}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_has_characters() {
        for (class, held, not_held) in [
            (&HIDDEN, '\u{ad}', 'a'),
            (&JOINED, 'ب', 'b'),
            (&SELECTED, '❤', '1'),
            (&HAN, '葛', 'か'),
            (&MONGOLIAN, 'ᠠ', 'a'),
        ] {
            assert!(class.contains(held) && !class.contains(not_held), "{held}");
        }
    }

    #[test]
    fn hidden_characters_are_found() {
        for c in [
            '\u{0}',
            '\u{7}',
            '\u{7f}',
            '\u{85}',
            '\u{ad}',
            '\u{34f}',
            '\u{61c}',
            '\u{115f}',
            '\u{17b4}',
            '\u{180e}',
            '\u{200b}',
            '\u{200c}',
            '\u{200d}',
            '\u{200e}',
            '\u{2028}',
            '\u{202e}',
            '\u{2060}',
            '\u{2066}',
            '\u{2069}',
            '\u{206f}',
            '\u{3164}',
            '\u{fe0f}',
            '\u{feff}',
            '\u{ffa0}',
            '\u{ffff}',
            '\u{1d173}',
            '\u{e0001}',
            '\u{e0041}',
            '\u{e0100}',
            '\u{e0fff}',
            '\u{10ffff}',
        ] {
            for text in [format!("a{c}b"), format!("{c}"), format!("é{c}é")] {
                assert_eq!(first_hidden(&text), Some(c), "{text:?}");
            }
        }
    }

    #[test]
    fn ordinary_text_of_all_scripts_is_allowed() {
        for text in [
            "Long box by the orchard wall",
            "Hügelbeet am Zaun, größer",
            "ящик у забора",
            "苗床の箱",
            "葛\u{e0100}の床",
            "بستر باغ",
            // Persian and Hindi use joiners.
            "می\u{200c}خواهم",
            "क\u{94d}\u{200d}ष",
            "ᠠ\u{180b}",
            "\u{1f469}\u{1f3fd}\u{200d}\u{1f33e}",
            "\u{2764}\u{fe0f}\u{200d}\u{1f525}",
            "bed 1\u{fe0f}\u{20e3}",
            "e\u{301}",
        ] {
            assert_eq!(first_hidden(text), None, "{text}");
        }
    }

    /// An allowed character permits no more after it.
    #[test]
    fn an_allowed_character_is_allowed_once() {
        for text in [
            "می\u{200c}\u{200c}خواهم",
            "\u{1f469}\u{200d}",
            "\u{2764}\u{fe0f}\u{fe0f}",
            "\u{2764}\u{fe0f}\u{e0100}",
            "1\u{fe0f}",
            "葛\u{e0100}\u{e0101}",
            "\u{1f3f4}\u{e0067}\u{e0062}\u{e007f}",
            "b\u{200d}ox",
        ] {
            assert!(first_hidden(text).is_some(), "{text:?}");
        }
    }
}
