//! Two rules of thumb, each with an interval from its own errors.

use moulder_core::math::elementary::exp;

use crate::observed::Side;
use crate::subject::{Subject, eta};

/// A rule of how far a bed sinks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rule {
    /// A third in the first year, in proportion until then, nothing after.
    Third,
    /// 15 %, whatever the time.
    Fifteen,
}

pub(crate) const RULES: [Rule; 2] = [Rule::Third, Rule::Fifteen];

impl Rule {
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Third => "a third",
            Self::Fifteen => "15 %",
        }
    }

    /// The strain since filling at an age.
    fn strain(self, months: f64) -> f64 {
        match self {
            Self::Third => (months / 12.0).min(1.0) / 3.0,
            Self::Fifteen if months > 0.0 => 0.15,
            Self::Fifteen => 0.0,
        }
    }

    /// What it says of a reading, in eta.
    fn eta(self, subject: &Subject<'_>) -> f64 {
        let at = |months| eta(self.strain(months));
        at(subject.reading.months.middle()) - at(subject.reading.from_months.middle())
    }

    /// The forecast of a reading, as strains with weights: what the rule says, with each of its
    /// errors in eta with other sources, all sources with equal weight. None for dry mass, and
    /// where there is no other source.
    pub(crate) fn members(
        self,
        subject: &Subject<'_>,
        all: &[Subject<'_>],
    ) -> Option<Vec<(f64, f64)>> {
        let known = |other: &&Subject<'_>| {
            other.is_of_height()
                && other.reading.side == Side::Both
                && other.case.group != subject.case.group
        };
        let others: Vec<&Subject<'_>> = all.iter().filter(known).collect();
        if !subject.is_of_height() || others.is_empty() {
            return None;
        }
        let says = self.eta(subject);
        let raw: Vec<(f64, f64)> = others
            .iter()
            .map(|other| {
                let error = eta(other.truth()) - self.eta(other);
                let of_source = others
                    .iter()
                    .filter(|one| one.case.group == other.case.group);
                let count = u32::try_from(of_source.count()).unwrap_or(u32::MAX);
                (1.0 - exp(-(says + error)), 1.0 / f64::from(count))
            })
            .collect();
        let sources: f64 = raw.iter().map(|(_, weight)| weight).sum();
        let members = raw.into_iter();
        Some(
            members
                .map(|(strain, weight)| (strain, weight / sources))
                .collect(),
        )
    }
}
