//! Monthly files: the normals themselves.

use super::Normals;
use super::figure::{Figure, read_row};
use super::findings::Findings;
use super::heading::Heading;
use super::table::Table;
use crate::fault::FaultCode;
use crate::text::month::MONTHS;

/// Most missing months that are named.
const NAMED: usize = 4;

/// The twelve months, checked; none when one is missing.
pub(super) fn read(
    findings: &mut Findings,
    table: &Table<'_>,
    heading: &Heading,
) -> Option<Normals> {
    let mut given = [false; 12];
    let mut normals = [[0.0; 12]; 3];
    let mut unread = false;
    let mut whole = true;
    for row in &table.rows {
        let written = row.cell(heading.label_at);
        let month = month(written);
        let name = month.and_then(|month| MONTHS.get(month)).copied();
        let figures = read_row(findings, table, heading, row, name);
        let (Some(month), Some(name)) = (month, name) else {
            findings.add(
                FaultCode::UnknownWord,
                table.place(row, heading.label_at),
                "/month",
                written,
                "1 to 12, or a name such as March",
            );
            unread = true;
            continue;
        };
        if std::mem::replace(&mut given[month], true) {
            findings.add(
                FaultCode::RepeatedKey,
                table.place(row, heading.label_at),
                "/month",
                name,
                "",
            );
        }
        let Some(figures) = figures else {
            whole = false;
            continue;
        };
        for ((figure, column), normals) in figures.iter().zip(heading.figures).zip(&mut normals) {
            match (figure, column) {
                (Figure::Measured(value), _) => normals[month] = *value,
                (Figure::Missing, Some(column)) => {
                    findings.add(
                        FaultCode::MissingField,
                        table.place(row, column.at),
                        &format!("/{}", column.name),
                        format!("the row of {name}"),
                        column.name,
                    );
                    whole = false;
                }
                _ => whole = false,
            }
        }
    }
    let missing: Vec<&str> = MONTHS
        .into_iter()
        .zip(given)
        .filter_map(|(name, given)| (!given).then_some(name))
        .collect();
    // A month that could not be read may be the one that seems to be missing.
    if !missing.is_empty() && !unread {
        findings.add(
            FaultCode::WrongLength,
            table.place_in_heading(heading.label_at),
            "/month",
            match 12 - missing.len() {
                1 => "1 month".to_owned(),
                held => format!("{held} months"),
            },
            format!("all twelve: {}", listed(&missing)),
        );
    }
    (whole && missing.is_empty()).then_some(normals)
}

/// The month as written, from 0.
fn month(written: &str) -> Option<usize> {
    if let Ok(number) = written.parse::<usize>() {
        return (1..=12).contains(&number).then(|| number - 1);
    }
    let word = written.to_lowercase();
    let long_enough = word.chars().count() >= 3;
    let is_it = |name: &str| long_enough && name.to_lowercase().starts_with(&word);
    MONTHS.iter().position(|name| is_it(name))
}

/// The missing months in words.
fn listed(missing: &[&str]) -> String {
    match missing {
        [one] => format!("{one} is missing"),
        [first @ .., last] if missing.len() <= NAMED => {
            format!("{} and {last} are missing", first.join(", "))
        }
        _ => format!("{} are missing", missing.len()),
    }
}

#[cfg(test)]
mod tests {
    use super::{listed, month};

    #[test]
    fn months_are_numbers_or_english_names() {
        for (written, expected) in [
            ("1", Some(0)),
            ("012", Some(11)),
            ("Sept", Some(8)),
            ("DECEMBER", Some(11)),
            ("ju", None),
            ("", None),
            ("0", None),
            ("13", None),
            ("-1", None),
            ("Mai", None),
            ("99999999999999999999999", None),
        ] {
            assert_eq!(month(written), expected, "{written}");
        }
    }

    #[test]
    fn a_few_missing_months_are_named() {
        assert_eq!(listed(&["May"]), "May is missing");
        assert_eq!(listed(&["May", "June"]), "May and June are missing");
        assert_eq!(listed(&["May"; 5]), "5 are missing");
    }
}
