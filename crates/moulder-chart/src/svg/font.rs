//! The shipped font, and how wide it sets a text.
//!
//! `DejaVu` Sans is among the widest of the fonts a browser may put in its place, so that
//! labels kept apart by its widths stay apart in others.

/// The font file; its licence stands beside it.
#[cfg(any(feature = "png", test))]
pub(crate) const FONT: &[u8] = include_bytes!("../../fonts/DejaVuSans.ttf");

/// How wide it sets each character, a twentieth of the font: runs of 8 bytes, the first character
/// (u32), how many follow one another (u16) and the width of each (u16), little-endian.
const WIDTHS: &[u8] = include_bytes!("../../fonts/widths.bin");

/// Bytes of a run of widths.
const RUN: usize = 8;

/// Units of a width to the size of the font.
const UNITS_PER_EM: f64 = 2048.0;

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
#[derive(Debug, Clone)]
pub struct Font {
    widths: &'static [[u8; RUN]],
}

impl Font {
    /// The shipped font.
    #[must_use]
    pub fn shipped() -> Self {
        let (widths, _) = WIDTHS.as_chunks();
        Self { widths }
    }

    /// The width of a character, as a share of the size.
    fn share(&self, sign: char) -> Option<f64> {
        let sign = u32::from(sign);
        let first = |run: &[u8; RUN]| u32::from_le_bytes([run[0], run[1], run[2], run[3]]);
        let after = self.widths.partition_point(|run| first(run) <= sign);
        let run = &self.widths[after.checked_sub(1)?];
        let count = u16::from_le_bytes([run[4], run[5]]);
        let width = u16::from_le_bytes([run[6], run[7]]);
        (sign - first(run) < u32::from(count)).then_some(f64::from(width) / UNITS_PER_EM)
    }

    /// The width of a text set in one line at that size; in the unit of the size.
    #[must_use]
    pub fn width(&self, text: &str, size: f64) -> f64 {
        text.chars()
            .map(|sign| self.share(sign).unwrap_or(LACKING))
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
    use skrifa::instance::{LocationRef, Size};
    use skrifa::{FontRef, MetadataProvider};

    use super::{FONT, Font, UNITS_PER_EM, WIDTHS};

    /// Runs of equal widths of characters that follow one another, as the table has them.
    fn widths_of_the_font() -> Vec<u8> {
        let font = FontRef::new(FONT).expect("the font is a font");
        let size = Size::unscaled();
        let metrics = font.metrics(size, LocationRef::default());
        assert!((f64::from(metrics.units_per_em) - UNITS_PER_EM).abs() < 1e-9);
        let glyphs = font.glyph_metrics(size, LocationRef::default());
        let mut widths: Vec<(u32, u16)> = font
            .charmap()
            .mappings()
            .filter_map(|(sign, glyph)| Some((sign, glyphs.advance_width(glyph)?)))
            .map(|(sign, width)| {
                // A width with a fraction would not be read.
                (sign, format!("{width}").parse().expect("a width is a u16"))
            })
            .collect();
        widths.sort_unstable();
        let runs = widths.chunk_by(|one, next| one.0 + 1 == next.0 && one.1 == next.1);
        let bytes = runs.flat_map(|run| {
            let count = u16::try_from(run.len()).expect("a run is short");
            let (first, width) = run[0];
            [
                first.to_le_bytes().as_slice(),
                &count.to_le_bytes(),
                &width.to_le_bytes(),
            ]
            .concat()
        });
        bytes.collect()
    }

    /// `WRITE_WIDTHS=1` writes the table anew.
    #[test]
    fn the_table_has_the_widths_of_the_font() {
        let widths = widths_of_the_font();
        if std::env::var_os("WRITE_WIDTHS").is_some() {
            let path = concat!(env!("CARGO_MANIFEST_DIR"), "/fonts/widths.bin");
            std::fs::write(path, &widths).expect("the table can be written");
        }
        assert!(widths == WIDTHS, "WRITE_WIDTHS=1 writes the table anew");
    }

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
