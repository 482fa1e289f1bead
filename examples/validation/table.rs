//! Checks as lines of a terminal, 80 columns wide.

use crate::check::{Check, Expected, Verdict, decimals};
use crate::source::Source;
use crate::subject::Subject;
use crate::tally::counts;

/// Columns of a terminal.
pub(crate) const WIDTH: usize = 80;

/// Digits of a computed figure beyond those of the printed one.
const MORE_DIGITS: usize = 2;

/// All lines of a subject, its heading first.
pub(crate) fn lines(subject: &Subject) -> Vec<String> {
    let mut lines = vec![String::new(), subject.title.to_uppercase()];
    for source in &subject.sources {
        lines.extend(of_source(source));
    }
    lines
}

/// The column names, and a rule.
pub(crate) fn heading() -> Vec<String> {
    vec![
        row("what", "expected", "got", "within", ""),
        "─".repeat(WIDTH),
    ]
}

fn of_source(source: &Source) -> Vec<String> {
    let name = format!("{}{}", source.kind.mark(), source.name);
    let mut lines = wrapped(&name, "  ");
    let mut checks = source.checks.iter().peekable();
    let mut alike = 0;
    while let Some(check) = checks.next() {
        lines.push(of_check(check));
        alike += 1;
        let remark = remark(check);
        if checks
            .peek()
            .is_some_and(|next| self::remark(next) == remark)
        {
            continue;
        }
        if let Some(remark) = remark {
            let above = match alike {
                1 => String::new(),
                _ => format!("the {alike} above "),
            };
            lines.extend(wrapped(&format!("({above}{remark})"), "      "));
        }
        alike = 0;
    }
    lines
}

/// The remark on a check, if any.
fn remark(check: &Check) -> Option<String> {
    match (check.known_off, check.wider) {
        (Some(what_is_known), _) => Some(format!("known to be off: {what_is_known}")),
        (None, Some(wider)) => Some(format!("wider than printed: {}", wider.because)),
        (None, None) => None,
    }
}

fn of_check(check: &Check) -> String {
    let expected = match &check.expected {
        Expected::Point(printed) => printed.clone(),
        Expected::Range(low, high) => format!("{low} to {high}"),
        Expected::AtMost(printed) => format!("at most {printed}"),
        Expected::AtLeast(printed) => format!("at least {printed}"),
    };
    let digits = match &check.expected {
        Expected::Point(printed) | Expected::AtMost(printed) | Expected::AtLeast(printed) => {
            decimals(printed)
        }
        Expected::Range(low, high) => decimals(low).max(decimals(high)),
    };
    let within = match (&check.expected, check.tolerance()) {
        (Expected::Point(_), tolerance) if tolerance < 1e-4 => format!("{tolerance:e}"),
        (Expected::Point(_), tolerance) => format!("{tolerance}"),
        (_, tolerance) if tolerance > 0.0 => format!("{tolerance}"),
        _ => String::new(),
    };
    let got = format!("{:.*}", digits + MORE_DIGITS, check.got);
    let verdict = match check.verdict() {
        Verdict::Met => "met",
        Verdict::Miss => "MISS",
        Verdict::Off => "off",
    };
    row(
        &format!("    {}", check.what),
        &expected,
        &got,
        &within,
        verdict,
    )
}

fn row(what: &str, expected: &str, got: &str, within: &str, verdict: &str) -> String {
    format!("{what:<40}{expected:>15} {got:>10} {within:>7}  {verdict:<4}")
        .trim_end()
        .to_owned()
}

/// A text in lines, each with an indent.
pub(crate) fn wrapped(text: &str, indent: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= WIDTH => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(format!("{indent}{word}")),
        }
    }
    lines
}

/// The counts at the end.
pub(crate) fn summary(subjects: &[Subject]) -> Vec<String> {
    let mut lines = vec![String::new(), "How many checks".to_uppercase()];
    let (mut all, mut missed, mut off, mut wider) = (0, 0, 0, 0);
    for count in counts(subjects) {
        lines.push(format!("{:5}  {}", count.checks, count.kind.in_words()));
        all += count.checks;
        missed += count.missed;
        off += count.off;
        wider += count.wider;
    }
    lines.push(format!(
        "{all:5}  in all; {wider} of them to less than the last digit of their source or to a"
    ));
    lines.push("       widened range, with the reason beneath".to_owned());
    lines.push(format!(
        "{off:5}  known to be off, each with what is known beneath"
    ));
    lines.push(format!("{missed:5}  missed"));
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::{at_most, point, range};

    #[test]
    fn a_miss_is_seen() {
        assert!(of_check(&point("x", "2.0", 3.0)).ends_with("MISS"));
        assert!(of_check(&point("x", "2.0", 2.0)).ends_with("met"));
        assert!(of_check(&range("x", "1", "2", f64::NAN)).ends_with("MISS"));
    }

    #[test]
    fn figures_are_shown_with_what_they_are_held_to() {
        let shown = of_check(&at_most("x", "16", 4.0));
        assert!(shown.contains("at most 16") && shown.contains("4.00"));
        let shown = of_check(&point("x", "0.25", 0.2512));
        assert!(
            shown.contains("0.2512") && shown.contains("0.005"),
            "{shown}"
        );
    }
}
