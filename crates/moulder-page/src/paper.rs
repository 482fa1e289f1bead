//! The paper that a page is printed on.

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
#[non_exhaustive]
pub enum Paper {
    /// 210 by 297 mm.
    #[default]
    A4,
    /// 8 1/2 by 11 in.
    Letter,
    /// 148 by 210 mm.
    A5,
}

/// What a first sheet has room for on a paper. Letters are those of a wide font at the size in which
/// it is printed: 11 pt, 10 pt on A5.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Extent {
    /// Lines of text.
    pub(crate) lines: f64,
    /// Letters in a line.
    pub(crate) letters: usize,
    /// Width in lines of text.
    pub(crate) wide: f64,
    /// Lines that a heading takes, with the room over and under it.
    pub(crate) heading: f64,
    /// Lines that a row of the board takes.
    pub(crate) row: f64,
    /// Lines left blank for readings to come.
    pub(crate) blank: usize,
}

impl Paper {
    /// Its name in a style sheet and as a class of the page.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
            Self::A5 => "A5",
        }
    }

    /// Width of a drawing across the first sheet, so that its words are printed as large as others;
    /// px. Narrower ones have no names of layers.
    pub(crate) const fn drawing_px(self) -> u32 {
        match self {
            Self::A4 | Self::Letter => 566,
            Self::A5 => 440,
        }
    }

    /// What a first sheet has room for.
    pub(crate) const fn extent(self) -> Extent {
        match self {
            Self::A4 => Extent {
                lines: 53.0,
                letters: 88,
                wide: 36.5,
                heading: 1.95,
                row: 1.3,
                blank: 3,
            },
            Self::Letter => Extent {
                lines: 49.5,
                letters: 91,
                wide: 37.6,
                heading: 1.95,
                row: 1.3,
                blank: 3,
            },
            Self::A5 => Extent {
                lines: 45.1,
                letters: 68,
                wide: 30.7,
                heading: 1.6,
                row: 1.1,
                blank: 2,
            },
        }
    }
}
