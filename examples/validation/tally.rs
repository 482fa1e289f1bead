//! Number of checks of each kind, and of misses.

use crate::check::Verdict;
use crate::source::Kind;
use crate::subject::Subject;

/// The checks of one kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Count {
    pub(crate) kind: Kind,
    pub(crate) checks: usize,
    pub(crate) missed: usize,
    /// Known to be off.
    pub(crate) off: usize,
    /// With a tolerance beyond the last digit of their source.
    pub(crate) wider: usize,
}

/// One count per kind, in the order of [`Kind::ALL`].
pub(crate) fn counts(subjects: &[Subject]) -> [Count; 4] {
    Kind::ALL.map(|kind| {
        let of_kind = (subjects.iter())
            .flat_map(|subject| &subject.sources)
            .filter(|source| source.kind == kind)
            .flat_map(|source| &source.checks);
        let mut count = Count {
            kind,
            checks: 0,
            missed: 0,
            off: 0,
            wider: 0,
        };
        for check in of_kind {
            count.checks += 1;
            count.missed += usize::from(check.verdict() == Verdict::Miss);
            count.off += usize::from(check.verdict() == Verdict::Off);
            count.wider += usize::from(check.wider.is_some());
        }
        count
    })
}

/// Total number of misses.
pub(crate) fn missed(subjects: &[Subject]) -> usize {
    counts(subjects).iter().map(|count| count.missed).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::{at_most, point};
    use crate::source::{memory, read};

    #[test]
    fn one_miss_among_many_is_counted() {
        let subjects = [Subject {
            title: "",
            sources: vec![
                read("", vec![point("", "1.0", 1.0), point("", "1.0", 1.1)]),
                memory("", vec![at_most("", "3", 2.0).wider(1.0, "")]),
            ],
        }];
        let [published, recalled, practice, own] = counts(&subjects);
        assert_eq!(
            (published.checks, published.missed, published.wider),
            (2, 1, 0)
        );
        assert_eq!(
            (recalled.checks, recalled.missed, recalled.wider),
            (1, 0, 1)
        );
        assert_eq!(practice.checks + own.checks, 0);
        assert_eq!(missed(&subjects), 1);
        assert_eq!(missed(&[]), 0);
    }
}
