//! An SVG drawing as it is made: groups, shapes by ink, measured words.

use core::fmt::Write as _;
use std::collections::BTreeSet;

use crate::svg::escape::escaped;
use crate::svg::font::{ABOVE, BELOW, Font};
use crate::svg::hatch::Hatch;
use crate::svg::ink::{Ink, Pen};
use crate::svg::sheet::{ROOT, style_sheet};

/// Most characters of an id that is asked for.
const ID_LIMIT: usize = 40;

/// Size of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextSize {
    /// The heading of a chart.
    Heading,
    /// Body text.
    Body,
    /// Figures along axes, and notes.
    Small,
}

impl TextSize {
    /// All there are.
    pub const ALL: [Self; 3] = [Self::Heading, Self::Body, Self::Small];

    /// The height of its letters; px.
    #[must_use]
    pub const fn px(self) -> f64 {
        match self {
            Self::Heading => 18.0,
            Self::Body => 13.0,
            Self::Small => 12.0,
        }
    }

    /// Its class in the style sheet.
    #[must_use]
    pub const fn class(self) -> &'static str {
        match self {
            Self::Heading => "heading",
            Self::Body => "body",
            Self::Small => "small",
        }
    }
}

/// Which end of a text its place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// Words about to be written.
#[derive(Debug, Clone, Copy)]
pub struct Words<'a> {
    /// The text, in one line.
    pub text: &'a str,
    /// Where, from the left; px.
    pub x: f64,
    /// The line the letters stand on, from the top; px.
    pub y: f64,
    /// Their size.
    pub size: TextSize,
    /// What of them stands at that place.
    pub anchor: Anchor,
    /// Whether they are in the quiet colour.
    pub quiet: bool,
}

impl<'a> Words<'a> {
    /// Body text that begins there.
    #[must_use]
    pub const fn body(text: &'a str, x: f64, y: f64) -> Self {
        Self {
            text,
            x,
            y,
            size: TextSize::Body,
            anchor: Anchor::Start,
            quiet: false,
        }
    }

    /// Small text that begins there.
    #[must_use]
    pub const fn small(text: &'a str, x: f64, y: f64) -> Self {
        let size = TextSize::Small;
        Self {
            size,
            ..Self::body(text, x, y)
        }
    }

    /// The same with another part of it at its place.
    #[must_use]
    pub const fn anchored(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    /// The same in the quiet colour, or not.
    #[must_use]
    pub const fn quiet(self, quiet: bool) -> Self {
        Self { quiet, ..self }
    }

    /// The room they take.
    #[must_use]
    pub fn room(&self, font: &Font) -> Room {
        let size = self.size.px();
        let width = font.width(self.text, size);
        let left = match self.anchor {
            Anchor::Start => self.x,
            Anchor::Middle => self.x - 0.5 * width,
            Anchor::End => self.x - width,
        };
        Room {
            left,
            top: self.y - ABOVE * size,
            right: left + width,
            bottom: self.y + BELOW * size,
        }
    }
}

/// A rectangle on the drawing; px from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Room {
    /// Its width; px.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Its height; px.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// Whether the two share more than an edge.
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// Whether the other lies within it.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }
}

/// A drawing.
#[derive(Debug, Clone)]
pub struct Svg {
    id: String,
    width: f64,
    height: f64,
    title: String,
    about: String,
    body: String,
    open: usize,
    hatches: BTreeSet<Hatch>,
    hatched_inks: BTreeSet<Ink>,
    texts: Vec<Room>,
    font: Font,
}

impl Svg {
    /// The drawing as a file of its own.
    #[must_use]
    pub fn file(&self) -> String {
        let sheet = format!("<style>\n{}</style>\n", style_sheet());
        format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}",
            self.document(&sheet)
        )
    }

    /// The drawing to stand within a page that carries the [`style_sheet`] itself.
    #[must_use]
    pub fn inline(&self) -> String {
        self.document("")
    }
}

/// What draws on it: for the crates of this workspace.
#[doc(hidden)]
impl Svg {
    /// An empty drawing of that size, px.
    ///
    /// Ids within it begin with `id` (letters, figures and hyphens are kept), so that
    /// several drawings can stand in one page. The title names it and the description
    /// says what it shows to those who do not see it.
    #[must_use]
    pub fn new(id: &str, width: f64, height: f64, title: &str, about: &str) -> Self {
        let kept = id
            .chars()
            .filter(|sign| sign.is_ascii_alphanumeric() || *sign == '-');
        Self {
            // An id must not begin with a figure.
            id: format!("m{}", kept.take(ID_LIMIT).collect::<String>()),
            width,
            height,
            title: title.to_owned(),
            about: about.to_owned(),
            body: String::new(),
            open: 0,
            hatches: BTreeSet::new(),
            hatched_inks: BTreeSet::new(),
            texts: Vec::new(),
            font: Font::shipped(),
        }
    }

    /// The whole of it.
    #[must_use]
    pub fn room(&self) -> Room {
        Room {
            left: 0.0,
            top: 0.0,
            right: self.width,
            bottom: self.height,
        }
    }

    /// The measures of its letters.
    #[must_use]
    pub const fn font(&self) -> &Font {
        &self.font
    }

    /// The room of each text on it, in order of drawing.
    #[must_use]
    pub fn texts(&self) -> &[Room] {
        &self.texts
    }

    /// Its description for those who do not see it.
    #[must_use]
    pub fn about(&self) -> &str {
        &self.about
    }

    /// Whether words fit there: within the drawing, clear of all words so far.
    #[must_use]
    pub fn has_room(&self, room: &Room) -> bool {
        self.room().holds(room) && !self.texts.iter().any(|text| text.meets(room))
    }

    /// Opens a group of that class; `label` says what it is, where that helps.
    pub fn open(&mut self, class: &str, label: Option<&str>) {
        self.push(&format!("<g class=\"{}\">\n", escaped(class)));
        if let Some(label) = label {
            self.push(&format!("<title>{}</title>\n", escaped(label)));
        }
        self.open += 1;
    }

    /// Closes the group opened last.
    pub fn close(&mut self) {
        debug_assert!(self.open > 0, "a group is closed that was never opened");
        self.open -= 1;
        self.push("</g>\n");
    }

    /// A line through points.
    pub fn line(&mut self, ink: Ink, points: &[(f64, f64)]) {
        self.path(&class_of(ink), points, false);
    }

    /// An area within points.
    pub fn area(&mut self, ink: Ink, points: &[(f64, f64)]) {
        let how = self.filled_with(ink);
        self.path(&how, points, true);
    }

    /// What fills an area: the class of its ink, or its hatch.
    fn filled_with(&mut self, ink: Ink) -> String {
        if !matches!(ink.pen(), Pen::Hatched(_)) {
            return class_of(ink);
        }
        self.hatched_inks.insert(ink);
        format!(" fill=\"url(#{}-{})\"", self.id, ink.class())
    }

    /// A hatched area within points, with an outline.
    pub fn hatched(&mut self, hatch: Hatch, points: &[(f64, f64)]) {
        self.hatches.insert(hatch);
        let how = format!(
            " class=\"hatch-edge\" fill=\"url(#{}-{})\"",
            self.id,
            hatch.name()
        );
        self.path(&how, points, true);
    }

    /// A hatched area within points, without an outline.
    pub fn hatched_bare(&mut self, hatch: Hatch, points: &[(f64, f64)]) {
        self.hatches.insert(hatch);
        let fill = format!(" fill=\"url(#{}-{})\"", self.id, hatch.name());
        self.path(&fill, points, true);
    }

    /// Several lines, or areas, as one shape.
    pub fn all(&mut self, ink: Ink, lines: &[Vec<(f64, f64)>], closed: bool) {
        let mut drawn = String::new();
        for points in lines.iter().filter(|points| !points.is_empty()) {
            drawn.push_str(&run(points, closed));
        }
        if !drawn.is_empty() {
            let class = class_of(ink);
            self.push(&format!("<path{class} d=\"{drawn}\"/>\n"));
        }
    }

    /// Dots, as wide as their ink has them.
    pub fn dots(&mut self, ink: Ink, places: &[(f64, f64)]) {
        if places.is_empty() {
            return;
        }
        let mut drawn = String::new();
        for (x, y) in places {
            // A line of next to no length is drawn as its round end.
            write!(drawn, "M{} {}h.01", px(*x), px(*y)).expect(WRITTEN);
        }
        let class = class_of(ink);
        self.push(&format!("<path{class} d=\"{drawn}\"/>\n"));
    }

    /// A circle.
    pub fn circle(&mut self, ink: Ink, (x, y): (f64, f64), radius: f64) {
        let (class, x, y, radius) = (class_of(ink), px(x), px(y), px(radius));
        self.push(&format!(
            "<circle{class} cx=\"{x}\" cy=\"{y}\" r=\"{radius}\"/>\n"
        ));
    }

    /// A rectangle.
    pub fn rectangle(&mut self, ink: Ink, room: Room) {
        let (class, x, y) = (self.filled_with(ink), px(room.left), px(room.top));
        let (width, height) = (px(room.width()), px(room.height()));
        self.push(&format!(
            "<rect{class} x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/>\n"
        ));
    }

    /// Writes words, with a rim of paper around them where lines run behind.
    pub fn write(&mut self, words: &Words<'_>, on_lines: bool) {
        self.texts.push(words.room(&self.font));
        let anchor = match words.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let quiet = if words.quiet { " quiet" } else { "" };
        let halo = if on_lines { " halo" } else { "" };
        let (x, y, size) = (px(words.x), px(words.y), words.size.class());
        let place = format!("text-anchor=\"{anchor}\" x=\"{x}\" y=\"{y}\"");
        let text = escaped(words.text);
        self.push(&format!(
            "<text class=\"{size}{quiet}{halo}\" {place}>{text}</text>\n"
        ));
    }

    /// Writes words where they have room; whether they had.
    pub fn write_in_room(&mut self, words: &Words<'_>, on_lines: bool) -> bool {
        let has_room = self.has_room(&words.room(&self.font));
        if has_room {
            self.write(words, on_lines);
        }
        has_room
    }

    fn document(&self, sheet: &str) -> String {
        debug_assert!(self.open == 0, "a group is left open");
        let (id, width, height) = (&self.id, px(self.width), px(self.height));
        let mut patterns = String::new();
        for hatch in &self.hatches {
            patterns.push_str(&hatch.pattern(&format!("{id}-{}", hatch.name())));
        }
        for ink in &self.hatched_inks {
            if let Pen::Hatched(lines) = ink.pen() {
                let (class, tile) = (ink.class(), Pen::TILE);
                writeln!(
                    patterns,
                    "<pattern id=\"{id}-{class}\" width=\"{tile}\" height=\"{tile}\" \
                     patternUnits=\"userSpaceOnUse\"><path class=\"{class}\" d=\"{lines}\"/>\
                     </pattern>"
                )
                .expect(WRITTEN);
            }
        }
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"{ROOT}\" width=\"{width}\" \
             height=\"{height}\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
             aria-labelledby=\"{id}-title {id}-about\">\n\
             <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-about\">{}</desc>\n\
             {sheet}<defs>\n{patterns}</defs>\n\
             <rect class=\"paper\" width=\"{width}\" height=\"{height}\"/>\n{}</svg>\n",
            escaped(&self.title),
            escaped(&self.about),
            self.body
        )
    }

    fn path(&mut self, how: &str, points: &[(f64, f64)], closed: bool) {
        self.push(&format!("<path{how} d=\"{}\"/>\n", run(points, closed)));
    }

    fn push(&mut self, drawn: &str) {
        self.body.push_str(drawn);
    }
}

/// Why writing into a string cannot fail.
const WRITTEN: &str = "a string takes what is written";

/// The data of a path through points.
fn run(points: &[(f64, f64)], closed: bool) -> String {
    let mut drawn = String::new();
    for (at, (x, y)) in points.iter().enumerate() {
        let step = if at == 0 { 'M' } else { 'L' };
        write!(drawn, "{step}{} {}", px(*x), px(*y)).expect(WRITTEN);
    }
    if closed {
        drawn.push('Z');
    }
    drawn
}

fn class_of(ink: Ink) -> String {
    format!(" class=\"{}\"", ink.class())
}

/// A length in hundredths of a pixel, without trailing zeros.
fn px(length: f64) -> String {
    let text = format!("{length:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::px;

    #[test]
    fn lengths_are_short_and_without_a_sign_of_nothing() {
        assert_eq!(px(1.0), "1");
        assert_eq!(px(100.0), "100");
        assert_eq!(px(1.239), "1.24");
        assert_eq!(px(-0.001), "0");
    }
}
