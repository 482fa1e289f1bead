//! One figure compared with a published one.

/// The published figure.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Expected {
    /// A figure, as printed: its last digit gives its precision.
    Point(String),
    /// A range, ends included.
    Range(String, String),
    /// At most this.
    AtMost(String),
    /// At least this.
    AtLeast(String),
}

/// The result of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Verdict {
    /// The computed figure agrees.
    Met,
    /// It disagrees, or is NaN; or it agrees, where it is known to be off.
    Miss,
    /// It disagrees, which is known and reported.
    Off,
}

/// A tolerance beyond the last digit of the source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Wider {
    pub(crate) tolerance: f64,
    /// The reason for it.
    pub(crate) because: &'static str,
}

/// A computed figure beside a printed one.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Check {
    /// The quantity, with its unit.
    pub(crate) what: String,
    pub(crate) expected: Expected,
    pub(crate) got: f64,
    pub(crate) wider: Option<Wider>,
    /// Explanation of a figure that is known to be off.
    pub(crate) known_off: Option<&'static str>,
}

/// A figure that must round to the one that is printed.
pub(crate) fn point(what: impl Into<String>, printed: impl Into<String>, got: f64) -> Check {
    check(what, Expected::Point(printed.into()), got)
}

/// A figure that must lie in a printed range, ends included.
pub(crate) fn range(
    what: impl Into<String>,
    low: impl Into<String>,
    high: impl Into<String>,
    got: f64,
) -> Check {
    check(what, Expected::Range(low.into(), high.into()), got)
}

/// A figure that must not exceed the printed one.
pub(crate) fn at_most(what: impl Into<String>, printed: impl Into<String>, got: f64) -> Check {
    check(what, Expected::AtMost(printed.into()), got)
}

/// A figure that must reach the printed one.
pub(crate) fn at_least(what: impl Into<String>, printed: impl Into<String>, got: f64) -> Check {
    check(what, Expected::AtLeast(printed.into()), got)
}

fn check(what: impl Into<String>, expected: Expected, got: f64) -> Check {
    Check {
        what: what.into(),
        expected,
        got,
        wider: None,
        known_off: None,
    }
}

impl Check {
    /// Allows more than half of the last printed digit (for a range: beyond its ends), with the
    /// reason.
    pub(crate) fn wider(mut self, tolerance: f64, because: &'static str) -> Self {
        self.wider = Some(Wider { tolerance, because });
        self
    }

    /// Marks a figure as known to be off: it is listed and fails nothing, until it agrees and
    /// the mark has to go.
    pub(crate) fn known_off(mut self, what_is_known: &'static str) -> Self {
        self.known_off = Some(what_is_known);
        self
    }

    /// The tolerance: half of the last printed digit unless given otherwise, and nothing beyond
    /// a range.
    pub(crate) fn tolerance(&self) -> f64 {
        match (self.wider, &self.expected) {
            (Some(wider), _) => wider.tolerance,
            (None, Expected::Point(printed)) => half_of_last_digit(printed),
            (None, _) => 0.0,
        }
    }

    /// NaN is a miss, whatever is expected.
    pub(crate) fn verdict(&self) -> Verdict {
        let (low, high) = match &self.expected {
            Expected::Point(printed) => (figure(printed), figure(printed)),
            Expected::Range(low, high) => (figure(low), figure(high)),
            Expected::AtMost(printed) => (f64::NEG_INFINITY, figure(printed)),
            Expected::AtLeast(printed) => (figure(printed), f64::INFINITY),
        };
        // Rounding margin: a figure that ends in 5 rounds either way.
        let tolerance = self.tolerance() + 1e-9 * (1.0 + self.tolerance());
        let agrees = self.got >= low - tolerance && self.got <= high + tolerance;
        match (self.got.is_finite(), agrees, self.known_off) {
            (true, true, None) => Verdict::Met,
            (true, false, Some(_)) => Verdict::Off,
            _ => Verdict::Miss,
        }
    }
}

/// The value of a printed figure; NaN where it is none, which misses.
fn figure(printed: &str) -> f64 {
    printed.parse().unwrap_or(f64::NAN)
}

/// Number of decimal places.
pub(crate) fn decimals(printed: &str) -> usize {
    printed.split_once('.').map_or(0, |(_, after)| after.len())
}

fn half_of_last_digit(printed: &str) -> f64 {
    format!("5e-{}", decimals(printed) + 1)
        .parse()
        .unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn is_met(check: &Check) -> bool {
        check.verdict() == Verdict::Met
    }

    #[test]
    fn a_figure_beyond_the_last_digit_is_a_miss() {
        assert!(is_met(&point("", "3.9", 3.94)));
        assert!(!is_met(&point("", "3.9", 3.951)));
        assert!(!is_met(&point("", "3.90", 3.94)));
        assert!(!is_met(&point("", "3.9", 3.849)));
        assert!(is_met(&point("", "26", 26.49)));
        assert!(!is_met(&point("", "26", 26.51)));
        assert!(is_met(&point("", "-0.5", -0.51)));
    }

    #[test]
    fn a_wider_tolerance_has_its_end_as_well() {
        let off_by = |off: f64| point("", "2.50", 2.5 + off).wider(0.1, "read off a curve");
        assert!(is_met(&off_by(0.099)) && is_met(&off_by(-0.099)));
        assert!(!is_met(&off_by(0.101)) && !is_met(&off_by(-0.101)));
    }

    #[test]
    fn ranges_end_where_they_say() {
        assert!(is_met(&range("", "1", "2.5", 1.0)) && is_met(&range("", "1", "2.5", 2.5)));
        assert!(!is_met(&range("", "1", "2.5", 0.99)) && !is_met(&range("", "1", "2.5", 2.51)));
        assert!(is_met(&at_most("", "16", -3.0)) && !is_met(&at_most("", "16", 16.01)));
        assert!(is_met(&at_least("", "16", 17.0)) && !is_met(&at_least("", "16", 15.99)));
    }

    #[test]
    fn what_is_known_to_be_off_is_no_miss_until_it_agrees() {
        let off = |got| at_most("", "0.1", got).known_off("a closure of our own");
        assert_eq!(off(0.2).verdict(), Verdict::Off);
        assert_eq!(off(0.05).verdict(), Verdict::Miss);
        assert_eq!(off(f64::NAN).verdict(), Verdict::Miss);
    }

    #[test]
    fn what_is_no_number_is_a_miss() {
        for got in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for check in [
                point("", "1.0", got),
                range("", "0", "9", got),
                at_most("", "9", got),
                at_least("", "0", got),
                point("", "1.0", got).wider(f64::INFINITY, ""),
            ] {
                assert!(!is_met(&check), "{check:?}");
            }
        }
        assert!(!is_met(&point("", "one", 1.0)));
    }
}
