//! The head of every chart: what it is of, and how to read it.

use crate::font::Font;
use crate::look::Look;
use crate::svg::{Anchor, Svg, TextSize, Words};

/// Between the edge and what is drawn; px.
pub const EDGE: f64 = 12.0;

/// From one line of small words to the next; px.
pub const LINE: f64 = 17.0;

/// From one line of the head to the next; px.
const HEAD_LINE: f64 = LINE + 2.0;

/// A head, broken into lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    heading: String,
    lines: Vec<String>,
}

impl Head {
    /// A heading, cut where the chart ends, and below it what is drawn and how to read it,
    /// in as many lines as it needs.
    #[must_use]
    pub fn new(look: &Look, heading: &str, below: &str) -> Self {
        let font = Font::shipped();
        let width = look.width_px() - 2.0 * EDGE;
        Self {
            heading: font.fitted(heading, TextSize::Heading.px(), width),
            lines: font.wrapped(below, TextSize::Body.px(), width),
        }
    }

    /// Where it ends, from the top; px.
    #[must_use]
    pub fn bottom(&self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "a head has a few lines")]
        let lines = self.lines.len() as f64;
        EDGE + TextSize::Heading.px() + HEAD_LINE * lines
    }

    /// Writes it.
    pub fn write(&self, svg: &mut Svg) {
        let mut words = Words {
            text: &self.heading,
            x: EDGE,
            y: EDGE + TextSize::Heading.px() - 2.0,
            size: TextSize::Heading,
            anchor: Anchor::Start,
            quiet: false,
        };
        svg.open("head", None);
        svg.write(&words, false);
        words.size = TextSize::Body;
        words.quiet = true;
        words.y += 2.0;
        for line in &self.lines {
            words.y += HEAD_LINE;
            words.text = line;
            svg.write(&words, false);
        }
        svg.close();
    }
}
