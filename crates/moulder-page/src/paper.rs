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

impl Paper {
    /// Its name in a style sheet and as a class of the page.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
            Self::A5 => "A5",
        }
    }

    /// Width of a drawing across the first sheet, so that its words can be read where it is
    /// printed; px. Narrower ones have no names of layers.
    pub(crate) const fn drawing_px(self) -> u32 {
        match self {
            Self::A4 | Self::Letter => 800,
            Self::A5 => 600,
        }
    }

    /// Warnings on the first sheet, at most so many letters of them and of dangers together.
    pub(crate) const fn warning_letters(self) -> usize {
        match self {
            Self::A4 | Self::Letter => 900,
            Self::A5 => 420,
        }
    }

    /// Lines left blank for readings to come.
    pub(crate) const fn blank_lines(self) -> usize {
        match self {
            Self::A4 | Self::Letter => 3,
            Self::A5 => 2,
        }
    }
}
