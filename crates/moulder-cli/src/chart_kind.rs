//! The kinds of charts that can be asked for.

use moulder_chart::kind::Kind;
use moulder_chart::task::Task;

/// A kind of chart: of a bed's forecast, or of what another task finds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ChartKind {
    Bed(Kind),
    Task(Task),
}

impl ChartKind {
    /// What is drawn when nothing is said.
    pub(crate) const USUAL: Self = Self::Bed(Kind::Height);

    /// All there are.
    pub(crate) fn all() -> impl Iterator<Item = Self> {
        let of_beds = Kind::ALL.iter().copied().map(Self::Bed);
        of_beds.chain(Task::ALL.iter().copied().map(Self::Task))
    }

    /// The word it is asked for by.
    pub(crate) const fn as_str(self) -> &'static str {
        match self {
            Self::Bed(kind) => kind.as_str(),
            Self::Task(task) => task.as_str(),
        }
    }

    /// What it shows, in a few words.
    pub(crate) const fn about(self) -> &'static str {
        match self {
            Self::Bed(kind) => kind.about(),
            Self::Task(task) => task.about(),
        }
    }

    /// The kind of that word.
    pub(crate) fn named(word: &str) -> Option<Self> {
        Self::all().find(|kind| kind.as_str() == word)
    }

    /// How many months it looks ahead when nothing is said: as many as the command that
    /// finds what it shows.
    pub(crate) const fn usual_months(self) -> u32 {
        match self {
            Self::Bed(Kind::Section) => 60,
            Self::Bed(_) => 24,
            Self::Task(Task::Topups) => 36,
            Self::Task(Task::Sensitivity) => 6,
            Self::Task(_) => 60,
        }
    }

    /// How many draws it rests on when nothing is said.
    pub(crate) const fn usual_draws(self) -> u32 {
        match self {
            Self::Bed(_) => 100,
            Self::Task(Task::Sensitivity) => {
                moulder::internals::uncertainty::sensitivity::USUAL_ROWS
            }
            Self::Task(Task::Fit) => 500,
            Self::Task(_) => 40,
        }
    }
}
