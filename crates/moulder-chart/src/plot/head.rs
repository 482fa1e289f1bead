//! The head of every chart: what it is of, and how to read it.

use crate::plot::label::{STROKE_ROOM, stroke};
use crate::plot::look::Look;
use crate::svg::document::{Anchor, Svg, TextSize, Words};
use crate::svg::font::Font;
use crate::svg::ink::Ink;

/// Between the edge and what is drawn; px.
pub(crate) const EDGE: f64 = 12.0;

/// From one line of small words to the next; px.
pub(crate) const LINE: f64 = 17.0;

/// From one line of the head to the next; px.
const HEAD_LINE: f64 = LINE + 2.0;

/// Most lines of a heading, and from one to the next; px.
const HEADING_LINES: usize = 2;
const HEADING_LINE: f64 = 23.0;

/// A head, broken into lines.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Head {
    heading: Vec<String>,
    key: Vec<(Ink, String)>,
    lines: Vec<String>,
}

impl Head {
    /// A heading of at most two lines, cut where the chart ends, and below it what is drawn
    /// and how to read it, in as many lines as it needs.
    #[must_use]
    pub(crate) fn new(look: &Look, heading: &str, below: &str) -> Self {
        Self::with_key(look, heading, &[], below)
    }

    /// The same with a line for each thing that is drawn with an ink, below the heading.
    #[must_use]
    pub(crate) fn with_key(look: &Look, heading: &str, key: &[(Ink, String)], below: &str) -> Self {
        let font = Font::shipped();
        let width = look.width_px() - 2.0 * EDGE;
        let size = TextSize::Heading.px();
        let mut lines = font.wrapped(heading, size, width);
        if lines.len() > HEADING_LINES {
            let rest = lines.split_off(HEADING_LINES - 1).join(" ");
            lines.push(font.fitted(&rest, size, width));
        }
        let own = width - STROKE_ROOM;
        let named = |(ink, name): &(Ink, String)| {
            let name = font.fitted(name, TextSize::Body.px(), own);
            (*ink, name)
        };
        Self {
            heading: lines,
            key: key.iter().map(named).collect(),
            lines: font.wrapped(below, TextSize::Body.px(), width),
        }
    }

    /// Where it ends, from the top; px.
    #[must_use]
    pub(crate) fn bottom(&self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "a head has a few lines")]
        let lines = (self.key.len() + self.lines.len()) as f64;
        EDGE + self.heading_px() + HEAD_LINE * lines
    }

    /// The height of the heading; px.
    fn heading_px(&self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "a heading has a line or two")]
        let more = self.heading.len().saturating_sub(1) as f64;
        TextSize::Heading.px() + HEADING_LINE * more
    }

    /// Writes it.
    pub(crate) fn write(&self, svg: &mut Svg) {
        let mut words = Words {
            text: "",
            x: EDGE,
            y: EDGE + TextSize::Heading.px() - 2.0,
            size: TextSize::Heading,
            anchor: Anchor::Start,
            quiet: false,
        };
        svg.open("head", None);
        for (at, line) in self.heading.iter().enumerate() {
            words.text = line;
            words.y += if at == 0 { 0.0 } else { HEADING_LINE };
            svg.write(&words, false);
        }
        words.size = TextSize::Body;
        words.y += 2.0;
        for (ink, name) in &self.key {
            words.y += HEAD_LINE;
            words.x = stroke(svg, *ink, EDGE, words.y - 4.5);
            words.text = name;
            svg.write(&words, false);
        }
        words.x = EDGE;
        words.quiet = true;
        for line in &self.lines {
            words.y += HEAD_LINE;
            words.text = line;
            svg.write(&words, false);
        }
        svg.close();
    }
}
