//! The shipped font, and how wide it sets a text.
//!
//! `DejaVu` Sans is among the widest of the fonts a browser may put in its place, so that
//! labels kept apart by its widths stay apart in others.

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

/// The font file, `fonts/DejaVuSans.ttf`; its licence stands beside it.
pub(crate) const FONT: &[u8] = include_bytes!("../../fonts/DejaVuSans.ttf");

/// The name of the font's family.
pub(crate) const FAMILY: &str = "DejaVu Sans";

/// How far letters reach over the line they stand on, as a share of their size: its
/// capitals and figures (0.73), with room for an accent.
pub(crate) const ABOVE: f64 = 0.80;

/// How far letters reach below it: its "g" and "p" (0.24).
pub(crate) const BELOW: f64 = 0.24;

/// Width of a character that the font lacks, as a share of the size.
const LACKING: f64 = 1.0;

/// The font's measures.
#[derive(Clone)]
pub struct Font {
    font: FontRef<'static>,
}

impl core::fmt::Debug for Font {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(FAMILY)
    }
}

impl Font {
    /// The shipped font.
    ///
    /// # Panics
    /// Never in a released library: the font is part of the program and read by a test.
    #[must_use]
    pub fn shipped() -> Self {
        let font = FontRef::new(FONT).expect("the font is part of the program, read by a test");
        Self { font }
    }

    /// The width of a text set in one line at that size; in the unit of the size.
    #[must_use]
    pub fn width(&self, text: &str, size: f64) -> f64 {
        let metrics = self
            .font
            .glyph_metrics(Size::unscaled(), LocationRef::default());
        let whole = f64::from(
            self.font
                .metrics(Size::unscaled(), LocationRef::default())
                .units_per_em,
        );
        let charmap = self.font.charmap();
        let share = |sign: char| {
            let glyph = charmap.map(sign)?;
            Some(f64::from(metrics.advance_width(glyph)?) / whole)
        };
        text.chars()
            .map(|sign| share(sign).unwrap_or(LACKING))
            .sum::<f64>()
            * size
    }

    /// The text, or as much of its beginning as fits into a width, with an ellipsis.
    #[must_use]
    pub fn fitted(&self, text: &str, size: f64, width: f64) -> String {
        if self.width(text, size) <= width {
            return text.to_owned();
        }
        let mut kept = String::new();
        let mut used = self.width("…", size);
        for sign in text.chars() {
            used += self.width(sign.encode_utf8(&mut [0; 4]), size);
            if used > width {
                break;
            }
            kept.push(sign);
        }
        format!("{}…", kept.trim_end())
    }

    /// The text broken between words into lines no wider than that; a longer word is cut.
    #[must_use]
    pub fn wrapped(&self, text: &str, size: f64, width: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        for word in text.split_whitespace() {
            let longer = if line.is_empty() {
                word.to_owned()
            } else {
                format!("{line} {word}")
            };
            if self.width(&longer, size) <= width || line.is_empty() {
                line = longer;
            } else {
                lines.push(self.fitted(&line, size, width));
                word.clone_into(&mut line);
            }
        }
        lines.push(self.fitted(&line, size, width));
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::Font;

    #[test]
    fn widths_are_those_of_the_font() {
        let font = Font::shipped();
        // DejaVu Sans 2.37, table hmtx: "0" is 1303 and "i" 569 of 2048 wide.
        assert!((font.width("0", 2048.0) - 1303.0).abs() < 1e-9);
        assert!((font.width("i", 2048.0) - 569.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_cut_fits() {
        let font = Font::shipped();
        let cut = font.fitted(&"wide ".repeat(100), 12.0, 80.0);
        assert!(cut.ends_with('…') && font.width(&cut, 12.0) <= 80.0);
        let lines = font.wrapped("a few words that need more than one line", 12.0, 90.0);
        assert!(lines.len() > 2);
        assert!(lines.iter().all(|line| font.width(line, 12.0) <= 90.0));
    }
}
