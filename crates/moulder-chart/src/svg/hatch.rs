//! Hatch patterns, our own, which distinguish materials without colour.
//!
//! Each has a stroke of its own kind, not only a slant, so that it is recognised in a small
//! patch and in print.

use crate::svg::palette::{HATCH_TONES, Tone};

/// A hatch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hatch {
    /// Logs and thick branches: long grain with a knot.
    Wood,
    /// Prunings and twigs: crossing sticks.
    Brush,
    /// Chips: short strokes every way.
    Chips,
    /// Leaves, grass, straw, kitchen waste: small waves.
    Soft,
    /// Card and paper: close level lines.
    Card,
    /// Turf: tufts.
    Turf,
    /// Compost and manure: rings.
    Compost,
    /// Soil: dots.
    Soil,
    /// What settles: chevrons that point down.
    Settling,
}

impl Hatch {
    /// All there are.
    pub const ALL: [Self; 9] = [
        Self::Wood,
        Self::Brush,
        Self::Chips,
        Self::Soft,
        Self::Card,
        Self::Turf,
        Self::Compost,
        Self::Soil,
        Self::Settling,
    ];

    /// Its name, as in ids of an SVG document.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Wood => "wood",
            Self::Brush => "brush",
            Self::Chips => "chips",
            Self::Soft => "soft",
            Self::Card => "card",
            Self::Turf => "turf",
            Self::Compost => "compost",
            Self::Soil => "soil",
            Self::Settling => "settling",
        }
    }

    /// Width and height of the tile that repeats; px.
    const fn tile(self) -> (u32, u32) {
        match self {
            Self::Wood => (44, 28),
            Self::Brush => (22, 22),
            Self::Chips => (20, 20),
            Self::Soft => (20, 12),
            Self::Card => (16, 4),
            Self::Turf => (30, 26),
            Self::Compost => (14, 14),
            Self::Soil => (38, 38),
            Self::Settling => (16, 14),
        }
    }

    /// Strokes of the tile: path and width; none for an empty path.
    const fn strokes(self) -> (&'static str, &'static str) {
        match self {
            Self::Wood => (
                "M0 1H44M0 7.5H10Q16 3.5 22 7.5H44M10 7.5Q16 11.5 22 7.5M0 14.5H44M0 21.5H32Q38 \
                 17.5 44 21.5M0 21.5H32Q38 25.5 44 21.5",
                "1.1",
            ),
            Self::Brush => ("M0 22L22 0M4 2L19 13M2 10L12 21", "1.2"),
            Self::Chips => ("M3 4L8 6M13 2L12 8M17 12L12 14M4 11L6 16M9 18L14 18", "1.7"),
            Self::Soft => ("M0 3Q5 -1 10 3T20 3M0 9Q5 5 10 9T20 9", "1"),
            Self::Card => ("M0 2H16", "1.2"),
            Self::Turf => (
                "M8 12V3M8 12Q7 7 3 5M8 12Q9 7 13 5M23 25V16M23 25Q22 20 18 18M23 25Q24 20 28 18",
                "1.1",
            ),
            Self::Compost => (
                "M1.5 4.5A3 3 0 0 1 7.5 4.5A3 3 0 0 1 1.5 4.5M8.5 11A2.4 2.4 0 0 1 13.3 11A2.4 \
                 2.4 0 0 1 8.5 11",
                "1",
            ),
            Self::Soil => ("", "1"),
            Self::Settling => ("M1 2L4 5L7 2M9 9L12 12L15 9", "1.2"),
        }
    }

    /// Filled dots of the tile: middle and radius.
    const fn dots(self) -> &'static [(&'static str, &'static str, &'static str)] {
        match self {
            // Strewn with a least distance, across the edges of the tile too.
            Self::Soil => &[
                ("31.6", "0.9", "0.8"),
                ("9.7", "2.0", "1.0"),
                ("19.5", "2.0", "0.6"),
                ("4.6", "3.1", "1.0"),
                ("36.1", "4.2", "0.8"),
                ("8.2", "7.0", "0.8"),
                ("27.2", "6.6", "0.8"),
                ("17.1", "7.8", "0.8"),
                ("32.9", "8.5", "1.0"),
                ("4.3", "11.9", "0.6"),
                ("21.2", "12.2", "1.0"),
                ("26.5", "12.3", "0.8"),
                ("36.7", "12.7", "0.8"),
                ("9.9", "14.0", "0.8"),
                ("16.1", "14.8", "1.0"),
                ("31.0", "14.9", "0.6"),
                ("2.9", "16.9", "0.8"),
                ("24.1", "17.1", "1.0"),
                ("35.6", "18.4", "0.8"),
                ("7.6", "19.4", "0.8"),
                ("12.7", "18.8", "0.6"),
                ("29.1", "20.1", "0.8"),
                ("17.3", "21.2", "1.0"),
                ("23.9", "22.5", "1.0"),
                ("4.0", "24.6", "1.0"),
                ("35.8", "24.6", "0.8"),
                ("14.5", "26.6", "1.0"),
                ("19.8", "26.8", "1.0"),
                ("28.6", "27.1", "0.6"),
                ("9.1", "29.1", "0.8"),
                ("34.2", "29.9", "1.0"),
                ("1.8", "30.9", "0.8"),
                ("23.5", "31.0", "0.6"),
                ("17.3", "31.9", "0.8"),
                ("29.5", "32.2", "0.6"),
                ("6.5", "33.8", "0.8"),
                ("12.5", "33.8", "0.6"),
                ("26.2", "36.4", "0.8"),
                ("37.0", "36.9", "0.6"),
            ],
            _ => &[],
        }
    }

    /// The tone under its strokes, which supports them: it never distinguishes alone.
    #[must_use]
    pub const fn tone(self) -> Tone {
        HATCH_TONES[self as usize]
    }

    /// The pattern, under that id.
    pub(crate) fn pattern(self, id: &str) -> String {
        let (width, height) = self.tile();
        let (path, stroke) = self.strokes();
        let strokes = if path.is_empty() {
            String::new()
        } else {
            format!("<path class=\"hatch-line\" stroke-width=\"{stroke}\" d=\"{path}\"/>")
        };
        let dot = |(x, y, radius): &(&str, &str, &str)| {
            format!("<circle class=\"hatch-dot\" cx=\"{x}\" cy=\"{y}\" r=\"{radius}\"/>")
        };
        let dots: String = self.dots().iter().map(dot).collect();
        format!(
            "<pattern id=\"{id}\" width=\"{width}\" height=\"{height}\" \
             patternUnits=\"userSpaceOnUse\"><rect class=\"hatched on-{}\" width=\"{width}\" \
             height=\"{height}\"/>{strokes}{dots}</pattern>\n",
            self.name()
        )
    }
}
