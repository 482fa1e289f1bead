//! What lines and areas are drawn with: classes of the style sheet, not colours.

use crate::svg::palette::{
    ACCENTS, BAND, BAND_EDGE, BARK, BOARD, CRUMB, EARTH, GRID, PAPER, QUIET, RING, TEXT, TIMBER,
    Tone,
};

/// How an ink is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pen {
    /// A line of that width, px, with dashes as SVG writes them; empty for a whole line.
    Line(f64, &'static str),
    /// An area.
    Area,
    /// An area hatched by lines of that path, which repeats every [`Pen::TILE`] px; nothing lies
    /// between them, so that two such areas show through each other.
    Hatched(&'static str),
    /// An area with an outline of that width, px, and tone.
    Edged(f64, Tone),
    /// Round dots of that width; px.
    Dots(f64),
}

impl Pen {
    /// After how many px a hatch repeats, across and down.
    pub const TILE: u32 = 8;
}

/// Declares the inks: name, class in the sheet, tone, pen.
macro_rules! inks {
    ($($(#[doc = $doc:literal])+ $name:ident, $class:literal, $tone:expr, $pen:expr;)+) => {
        /// A pen of one colour, known to the style sheet by its class.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Ink {
            $($(#[doc = $doc])+ $name,)+
        }

        impl Ink {
            /// All there are.
            pub const ALL: &'static [Self] = &[$(Self::$name,)+];

            /// The class of what is drawn with it.
            #[must_use]
            pub const fn class(self) -> &'static str {
                match self { $(Self::$name => $class,)+ }
            }

            /// Its colours.
            #[must_use]
            pub const fn tone(self) -> Tone {
                match self { $(Self::$name => $tone,)+ }
            }

            /// How it is drawn.
            #[must_use]
            pub const fn pen(self) -> Pen {
                match self { $(Self::$name => $pen,)+ }
            }
        }
    };
}

inks! {
    /// The page itself.
    Paper, "paper", PAPER, Pen::Area;
    /// Axes and their ticks.
    Axis, "axis", QUIET, Pen::Line(1.0, "");
    /// Lines that help the eye across.
    Grid, "grid", GRID, Pen::Line(1.0, "");
    /// From a label to what it names.
    Leader, "leader", QUIET, Pen::Line(0.8, "");
    /// The ground beside the bed.
    Ground, "ground", TEXT, Pen::Line(2.0, "");
    /// The rim of the bed.
    Rim, "rim", TEXT, Pen::Line(1.4, "7 4");
    /// The line of 0.
    Zero, "zero", TEXT, Pen::Line(1.2, "");
    /// The 80 % interval.
    Interval, "band", BAND, Pen::Area;
    /// The interval of the first line, where intervals overlap.
    FirstBand, "first-band", ACCENTS[0], Pen::Hatched("M-2 2L2 -2M0 8L8 0M6 10L10 6");
    /// Of the second.
    SecondBand, "second-band", ACCENTS[1], Pen::Hatched("M-2 6L2 10M0 0L8 8M6 -2L10 2");
    /// Of the third.
    ThirdBand, "third-band", ACCENTS[2], Pen::Hatched("M4 0V8");
    /// Of the fourth.
    FourthBand, "fourth-band", ACCENTS[3], Pen::Hatched("M0 4H8");
    /// The two edges of it.
    BandEdge, "band-edge", BAND_EDGE, Pen::Line(0.9, "");
    /// The line that a chart is about.
    First, "first", ACCENTS[0], Pen::Line(2.4, "");
    /// A second line beside it.
    Second, "second", ACCENTS[1], Pen::Line(2.2, "9 3");
    /// A third.
    Third, "third", ACCENTS[2], Pen::Line(2.2, "3 3");
    /// A fourth.
    Fourth, "fourth", ACCENTS[3], Pen::Line(2.2, "10 3 2 3");
    /// An edge of the interval of the first line, where intervals overlap.
    FirstEdge, "first-edge", ACCENTS[0], Pen::Line(1.0, "");
    /// Of the second.
    SecondEdge, "second-edge", ACCENTS[1], Pen::Line(1.0, "6 2");
    /// Of the third.
    ThirdEdge, "third-edge", ACCENTS[2], Pen::Line(1.0, "2 2");
    /// Of the fourth.
    FourthEdge, "fourth-edge", ACCENTS[3], Pen::Line(1.0, "6 2 1 2");
    /// An addition.
    Step, "step", ACCENTS[1], Pen::Line(2.0, "");
    /// Tape measure readings.
    Reading, "reading", ACCENTS[1], Pen::Line(1.6, "");
    /// The winters along an axis.
    Winter, "winter", QUIET, Pen::Line(4.0, "");
    /// A filled dot or bar of the first accent.
    FirstArea, "first-area", ACCENTS[0], Pen::Area;
    /// Of the second.
    SecondArea, "second-area", ACCENTS[1], Pen::Area;
    /// Of the third.
    ThirdArea, "third-area", ACCENTS[2], Pen::Area;
    /// Of the fourth.
    FourthArea, "fourth-area", ACCENTS[3], Pen::Area;
    /// A log cut across, with its bark.
    Log, "log", TIMBER, Pen::Edged(1.4, BARK);
    /// Its rings.
    Ring, "ring", RING, Pen::Line(0.7, "");
    /// A stick.
    Stick, "stick", BARK, Pen::Area;
    /// Migrated fines.
    Crumb, "crumb", CRUMB, Pen::Dots(1.9);
    /// Where one layer lies on another.
    Seam, "seam", TEXT, Pen::Line(0.8, "");
    /// The surface of the bed.
    Surface, "surface", TEXT, Pen::Line(2.6, "");
    /// The ground that a bed stands on.
    Earth, "earth", EARTH, Pen::Area;
    /// Strokes in it.
    EarthStroke, "earth-stroke", QUIET, Pen::Line(1.0, "");
    /// The boards of a bed.
    Board, "board", BOARD, Pen::Edged(1.2, TEXT);
    /// The cloth of a bag.
    Cloth, "cloth", TEXT, Pen::Line(3.0, "");
}
