//! Sources of printed figures, with their checks.

use crate::check::Check;

/// Reliability of a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Published, and read: in the work itself, its abstract or a transcription of it.
    Read,
    /// Published, but from memory: not looked up for this.
    Memory,
    /// Common practice of the trade, without a source.
    Practice,
    /// Computed by us in another way: it shows that a formula is typed in correctly, and
    /// nothing about the world.
    Own,
}

impl Kind {
    pub(crate) const ALL: [Self; 4] = [Self::Read, Self::Memory, Self::Practice, Self::Own];

    /// The mark before a source; empty for one that was read.
    pub(crate) const fn mark(self) -> &'static str {
        match self {
            Self::Read => "",
            Self::Memory => "[from memory] ",
            Self::Practice => "[common practice, no source] ",
            Self::Own => "[self-consistency] ",
        }
    }

    /// The label in the counts at the end.
    pub(crate) const fn in_words(self) -> &'static str {
        match self {
            Self::Read => "published and read (some in an abstract or a transcription)",
            Self::Memory => "published, the figure from memory",
            Self::Practice => "common practice without a source",
            Self::Own => "self-consistency: worked out by us in another way",
        }
    }
}

/// A source and its checks.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Source {
    pub(crate) kind: Kind,
    /// Author, year, place of publication; and how it was read.
    pub(crate) name: &'static str,
    pub(crate) checks: Vec<Check>,
}

pub(crate) fn read(name: &'static str, checks: Vec<Check>) -> Source {
    source(Kind::Read, name, checks)
}

pub(crate) fn memory(name: &'static str, checks: Vec<Check>) -> Source {
    source(Kind::Memory, name, checks)
}

pub(crate) fn practice(name: &'static str, checks: Vec<Check>) -> Source {
    source(Kind::Practice, name, checks)
}

pub(crate) fn own(name: &'static str, checks: Vec<Check>) -> Source {
    source(Kind::Own, name, checks)
}

fn source(kind: Kind, name: &'static str, checks: Vec<Check>) -> Source {
    Source { kind, name, checks }
}
