//! Line and column of a byte offset, without scanning the text again.

use crate::fault::Place;
use crate::text::work;

/// Characters are counted from the last multiple of this many bytes.
const STRIDE: usize = 256;

/// A text with its line starts.
#[derive(Debug)]
pub(crate) struct Lines<'t> {
    text: &'t str,
    /// Byte offset of each line.
    starts: Vec<usize>,
    /// Characters that begin before each multiple of [`STRIDE`] bytes.
    characters: Vec<usize>,
}

impl<'t> Lines<'t> {
    pub(crate) fn of(text: &'t str) -> Self {
        work::count(text.len());
        let ends = text.match_indices('\n').map(|(at, _)| at + 1);
        let characters = text.as_bytes().chunks(STRIDE).scan(0, |before, bytes| {
            let so_far = *before;
            *before += characters_in(bytes);
            Some(so_far)
        });
        Self {
            text,
            starts: std::iter::once(0).chain(ends).collect(),
            characters: characters.collect(),
        }
    }

    /// The line of a byte offset, from 0, clamped to the end.
    pub(crate) fn line(&self, at: usize) -> usize {
        work::count(1);
        self.starts.partition_point(|start| *start <= at) - 1
    }

    /// Line and column of a byte offset, both from 1, columns in characters; clamped to the end.
    pub(crate) fn place(&self, at: usize) -> Place {
        let at = self.text.floor_char_boundary(at);
        let line = self.line(at);
        Place::Line {
            line: line + 1,
            column: self.characters_before(at) - self.characters_before(self.starts[line]) + 1,
        }
    }

    /// Characters that begin before a byte offset.
    fn characters_before(&self, at: usize) -> usize {
        let stride = (at / STRIDE).min(self.characters.len().saturating_sub(1));
        let rest = &self.text.as_bytes()[stride * STRIDE..at];
        work::count(rest.len());
        self.characters.get(stride).unwrap_or(&0) + characters_in(rest)
    }
}

/// Characters that begin in those bytes.
fn characters_in(bytes: &[u8]) -> usize {
    // Continuation bytes of UTF-8 begin with the bits 10.
    bytes.iter().filter(|byte| **byte & 0xc0 != 0x80).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(text: &str, at: usize) -> (usize, usize) {
        match Lines::of(text).place(at) {
            Place::Line { line, column } => (line, column),
            Place::Pointer { .. } => unreachable!("a text has lines"),
        }
    }

    #[test]
    fn columns_count_characters() {
        let text = "ab\r\ncdé f\n";
        assert_eq!(place(text, 0), (1, 1));
        assert_eq!(place(text, 4), (2, 1));
        assert_eq!(place(text, text.find('f').unwrap()), (2, 5));
        // Within the two bytes of é, and beyond the end.
        assert_eq!(place(text, 7), (2, 3));
        assert_eq!(place(text, 1000), (3, 1));
        assert_eq!(place("", 1000), (1, 1));
    }

    /// Every place of a long text, against a count from its start.
    #[test]
    fn places_match_a_count_from_the_start() {
        let text = format!("{}\n{}", "né, ".repeat(400), "ö\nxy\r\n".repeat(300));
        let lines = Lines::of(&text);
        for at in (0..=text.len()).filter(|at| text.is_char_boundary(*at)) {
            let before = &text[..at];
            let start = before.rfind('\n').map_or(0, |newline| newline + 1);
            let expected = Place::Line {
                line: before.matches('\n').count() + 1,
                column: before[start..].chars().count() + 1,
            };
            assert_eq!(lines.place(at), expected);
            assert_eq!(lines.line(at), before.matches('\n').count());
        }
    }
}
