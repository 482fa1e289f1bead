//! A line of a file, shown with a mark under what is wrong in it.

use crate::print::lines::{WIDTH, safe};

/// Blanks before a line that is shown.
const INDENT: usize = 4;
/// Characters of a long line that are shown before the place of the fault.
const BEFORE: usize = 24;
/// Stands where a line was cut.
const CUT: &str = "...";

/// The lines of a file; the last one asked for is kept, as faults often share a line.
pub(crate) struct FileLines<'t> {
    lines: Vec<&'t str>,
    last: Option<(usize, FileLine)>,
}

impl<'t> FileLines<'t> {
    pub(crate) fn of(text: &'t str) -> Self {
        Self {
            lines: text.lines().collect(),
            last: None,
        }
    }

    /// The line of that number, counted from 1.
    pub(crate) fn number(&mut self, number: usize) -> Option<&FileLine> {
        if self.last.as_ref().is_none_or(|(kept, _)| *kept != number) {
            let text = self.lines.get(number.saturating_sub(1))?;
            self.last = Some((number, FileLine::of(text)));
        }
        self.last.as_ref().map(|(_, line)| line)
    }
}

/// A line, sign by sign.
pub(crate) struct FileLine {
    signs: Vec<char>,
    /// How many blanks it begins with.
    blanks: usize,
    /// Where the last of each kind of quote stands.
    quotes: [(char, Option<usize>); 2],
}

impl FileLine {
    fn of(text: &str) -> Self {
        let signs: Vec<char> = safe(text.trim_start_matches('\u{feff}')).chars().collect();
        let blanks = signs.iter().take_while(|sign| sign.is_whitespace());
        Self {
            blanks: blanks.count(),
            quotes: ['"', '\''].map(|quote| (quote, signs.iter().rposition(|sign| *sign == quote))),
            signs,
        }
    }

    /// The line, cut to the screen, and a mark under what was found at that column, from 0.
    pub(crate) fn shown(&self, found: &str, column: usize) -> String {
        let (line, blanks) = (&self.signs, self.blanks);
        if blanks == line.len() {
            return String::new();
        }
        let column = column.min(line.len());
        let length = self.length_of(found, column);
        let room = WIDTH - INDENT;
        let fits = line.len() - blanks.min(column) <= room;
        let from = if fits || column < blanks + room / 2 {
            blanks.min(column)
        } else {
            column - BEFORE
        };
        let mut text = String::new();
        if from > blanks {
            text.push_str(CUT);
        }
        let mark_at = text.len() + column - from;
        let left = room - text.len();
        if line.len() - from > left {
            text.extend(&line[from..from + left - CUT.len()]);
            text.push_str(CUT);
        } else {
            text.extend(&line[from..]);
        }
        let mark = "~".repeat(length.clamp(1, room.saturating_sub(mark_at).max(1)));
        format!(
            "{blank:INDENT$}{}\n{blank:INDENT$}{blank:mark_at$}{mark}\n",
            text.trim_end(),
            blank = ""
        )
    }

    /// How many characters from there on are what was found: with its quotes if it has some,
    /// to the end of a bare word otherwise. What is wider than the screen is not measured.
    fn length_of(&self, found: &str, column: usize) -> usize {
        let at = &self.signs[column..];
        let on_screen = &at[..at.len().min(WIDTH)];
        let found: Vec<char> = found.chars().take(WIDTH).collect();
        let quote = self
            .quotes
            .iter()
            .find(|(quote, _)| at.first() == Some(quote));
        if let Some((quote, last)) = quote {
            let mut inside = on_screen.iter().skip(1);
            return match inside.position(|sign| sign == quote) {
                Some(inside) => inside + 2,
                None if last.is_some_and(|last| last > column) => WIDTH,
                None => 1,
            };
        }
        if !found.is_empty() && at.starts_with(&found) {
            return found.len();
        }
        let word = |sign: &&char| sign.is_alphanumeric() || matches!(**sign, '-' | '_' | '.' | ':');
        on_screen.iter().take_while(word).count().max(1)
    }
}

#[cfg(test)]
mod tests {
    use super::FileLines;

    /// A file of one long line and many faults would else be gone through for each of them.
    #[test]
    fn a_line_is_laid_out_once_however_many_faults_it_has() {
        let text = format!("one\n{}", "two, ".repeat(1_000));
        let mut lines = FileLines::of(&text);
        let mut laid_out = |number: usize| lines.number(number).unwrap().signs.as_ptr();
        assert_eq!(laid_out(2), laid_out(2));
        assert_ne!(laid_out(2), laid_out(1));
        assert!(lines.number(3).is_none());
    }

    #[test]
    fn the_mark_is_as_long_as_what_was_found_and_ends_with_the_screen() {
        let long = "x".repeat(200);
        for (text, found, column, marked) in [
            ("rim = \"60\"", "60", 6, 4),
            ("rim = '60", "", 6, 1),
            ("rim = 60 cm", "60 cm", 6, 5),
            ("rim = 60 cm", "", 6, 2),
            (&format!("a = \"{long}\""), "", 4, 72),
            (&format!("a = {long}"), &long, 4, 72),
        ] {
            let mut lines = FileLines::of(text);
            let said = lines.number(1).unwrap().shown(found, column);
            assert_eq!(said.matches('~').count(), marked, "{said}");
        }
    }
}
