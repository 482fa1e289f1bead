//! Where printed figures come from, with what is held to them.

use crate::check::Check;

/// How far a source can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Published, and read: in the work itself, its abstract or a transcription of it.
    Read,
    /// Published, but recalled: nobody looked it up for this.
    Memory,
    /// What the trade sees and says, without a source.
    Practice,
    /// Worked out by us in another way: it shows that a formula is typed in correctly, and
    /// nothing about the world.
    Own,
}

impl Kind {
    pub(crate) const ALL: [Self; 4] = [Self::Read, Self::Memory, Self::Practice, Self::Own];

    /// The mark before a source; nothing before one that was read.
    pub(crate) const fn mark(self) -> &'static str {
        match self {
            Self::Read => "",
            Self::Memory => "[from memory] ",
            Self::Practice => "[common practice, no source] ",
            Self::Own => "[self-consistency] ",
        }
    }

    /// What stands in the count at the end.
    pub(crate) const fn in_words(self) -> &'static str {
        match self {
            Self::Read => "published and read (some in an abstract or a transcription)",
            Self::Memory => "published, the figure from memory",
            Self::Practice => "common practice without a source",
            Self::Own => "self-consistency: worked out by us in another way",
        }
    }
}

/// A source and the checks against it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Source {
    pub(crate) kind: Kind,
    /// Who, when, where; and how it was read.
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
