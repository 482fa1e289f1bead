//! Faults and notices as plain sentences, separate from their data.

use crate::fault::notice::{self, Notice};
use crate::fault::notice_sentence::caution;
use crate::fault::{Fault, FaultCode, Faults, Place};
use crate::text::phrase::{is_mark, joined, quoted, shown};

/// A fault as text: where, what was found, what is expected.
#[must_use]
pub fn fault(fault: &Fault) -> String {
    format!("{}: {}", place(&fault.place), sentence(fault))
}

/// All faults, one a line.
#[must_use]
pub fn faults(faults: &Faults) -> String {
    let mut lines: Vec<String> = faults.iter().map(fault).collect();
    if faults.unlisted() > 0 {
        lines.push(format!("and {} more", faults.unlisted()));
    }
    lines.join("\n")
}

/// A place as text.
#[must_use]
pub fn place(place: &Place) -> String {
    match place {
        Place::Line { line, column } => format!("line {line}, column {column}"),
        Place::Pointer { pointer } if pointer.is_empty() => "in the document".to_owned(),
        Place::Pointer { pointer } => format!("at {}", shown(pointer)),
    }
}

/// A notice as text. A code without text of its own shows its values.
#[must_use]
pub fn notice(notice: &Notice) -> String {
    let value = |name: &str| notice.value(name);
    match &*notice.code {
        notice::GROWING_SOIL_RUNS_THIN => format!(
            "The growing soil runs thin: of {} there are {} left by month {}, and {} at the \
             end. What is missing has settled and trickled into the gaps below. Keep soil \
             back for topping up, or hold it with turf, grass side down, or whole card.",
            value("at-first"),
            value("thickness"),
            value("month"),
            value("at-last")
        ),
        notice::THIN_SOIL_LATER => format!(
            "From {} on, less than {} of soil or turf will lie over the wood ({} when filled, {} at \
             the least within {} months). Fill with {} more, or lay it on before then, or it dries \
             out and plants starve.",
            value("when"),
            value("least"),
            value("at-first"),
            value("thickness"),
            value("last"),
            value("more")
        ),
        notice::HEIGHT_OFF => format!(
            "The file says that the bed lies at {}, but the land within 60 km lies between {} and \
             {} as far as is known. Check the height and the degrees: higher is colder.",
            value("given"),
            value("low"),
            value("high")
        ),
        notice::AIRLESS_LAYER => format!(
            "Air hardly gets in for weeks on end (from month {} on, in {} of {} months): wet \
             stuff there turns slimy, smells and rots slowly. Mix in twigs, lay greens \
             thinner, or let the bed drain better.",
            value("first"),
            value("months"),
            value("of")
        ),
        notice::HEAP_WILL_NOT_STAY => format!(
            "The fill would stand {} above the rim. Loose stuff slides off beyond about {} \
             on a bed of this width: check the amounts, or fill in two goes.",
            value("heaped"),
            value("most")
        ),
        notice::LAYERS_UPSIDE_DOWN => format!(
            "The soil of {} lies under wood, and wood lies on top. Layers go from the ground up: is the list upside down?",
            quoted(value("name"))
        ),
        code => caution(notice).unwrap_or_else(|| {
            let figures: Vec<String> = notice
                .values
                .iter()
                .map(|(name, value)| format!("{name} {value}"))
                .collect();
            format!("{}: {}", code.replace('-', " "), figures.join(", "))
        }),
    }
}

/// A fault as text without its place.
#[must_use]
pub fn sentence(fault: &Fault) -> String {
    let found = quoted(&fault.found);
    let bare = shown(&fault.found);
    let expected = shown(&fault.expected);
    let field = quoted(name(&fault.path));
    let said = match fault.code {
        FaultCode::BadSyntax => format!("this cannot be read: {expected}."),
        FaultCode::TooDeep => {
            "lists and tables are nested too deep here. A bed file needs no more than four levels."
                .to_owned()
        }
        FaultCode::TooBig => format!("the file holds {bare}; {expected} can be read."),
        FaultCode::RepeatedKey => format!("{found} is given twice. Keep one of them."),
        FaultCode::UnknownField => format!("{found} is not a field of {expected}."),
        FaultCode::OtherShape => {
            format!("{found} is only for {expected}. Leave it out, or change the shape.")
        }
        FaultCode::MissingField => format!("{bare} needs {}.", quoted(&fault.expected)),
        FaultCode::UnknownFormat => {
            format!("this file says form {bare}, and this version reads {expected}.")
        }
        FaultCode::WrongKind => format!("{field} must be {expected}, not {bare}."),
        FaultCode::UnknownWord => format!("{field} cannot be {found}. It can be {expected}."),
        FaultCode::BadText => format!("{found} will not do here: it must be {expected}."),
        FaultCode::TooLong => format!("{field} is too long: {bare}, and {expected} can be read."),
        FaultCode::BadQuantity => format!("{found} cannot be read as {expected}."),
        FaultCode::MissingUnit => format!("{found} has no unit; {field} must be {expected}."),
        FaultCode::UnknownUnit => {
            format!("{found} is not a unit that can stand here; {field} must be {expected}.")
        }
        FaultCode::AmbiguousUnit if is_mark(&fault.found) => {
            "marks for feet and inches are too easily misread.".to_owned()
        }
        FaultCode::AmbiguousUnit => format!("the unit {found} is not clear enough."),
        FaultCode::WrongMeasure => format!("{found} will not do here: {field} must be {expected}."),
        FaultCode::DecimalComma => {
            format!("{found} has a comma where a decimal point must stand.")
        }
        FaultCode::ThousandsSeparator => {
            format!("{found} breaks the number up; digits must stand together.")
        }
        FaultCode::OutOfRange => format!("{found} is out of range: {field} must be {expected}."),
        FaultCode::WrongLength => format!("{field} holds {bare}; it must hold {expected}."),
        FaultCode::UnknownMaterial => format!("{found} is not a material on the shelf."),
        FaultCode::UnknownClimate => {
            format!("{found} is neither a place on the list nor a town that is known.")
        }
        FaultCode::AmbiguousPlace => format!("{expected} are called {found}."),
        FaultCode::NoClimateThere => format!("there is no climate at {bare}: {expected}."),
        FaultCode::TooMany => format!("there are {bare}, and {expected} can be read."),
        FaultCode::TooFew => format!("{field} is empty; it needs {expected}."),
        FaultCode::NotADate => format!("{found} is not a day of the calendar."),
        FaultCode::BeforeFilling => {
            format!("{bare} is before the bed was filled, on {expected}.")
        }
        FaultCode::DoesNotFit | FaultCode::NoRoom => format!("{bare}; {expected}."),
        // Faults of files and options; the program that opens them adds detail.
        FaultCode::NotText => format!("the file is no plain text from {bare} on."),
        FaultCode::Unreadable => format!("{bare} cannot be read: {expected}."),
        FaultCode::Unwritable => format!("{bare} cannot be written: {expected}."),
        FaultCode::MissingOption => format!("{bare} is missing."),
        FaultCode::BadOption => format!("{bare} will not do: {expected}."),
        FaultCode::Unfinished | FaultCode::Stopped => {
            format!("{bare} was not done: {expected}.")
        }
    };
    match advice(fault) {
        Some(advice) => format!("{said} {advice}"),
        None => said,
    }
}

/// The sentence with suggestions, where there are any.
fn advice(fault: &Fault) -> Option<String> {
    if fault.help.is_empty() {
        return match fault.code {
            FaultCode::UnknownClimate => Some(format!(
                "{NEAR} Say where yours is, as in climate = {{ at = [52.6, 1.3] }}, or give twelve \
                 months of your own under [climate]."
            )),
            FaultCode::NoClimateThere => Some(
                "Degrees north and degrees east, in this order; south and west are negative."
                    .to_owned(),
            ),
            FaultCode::UnknownMaterial => {
                Some("See the list of materials, or describe your own in a file.".to_owned())
            }
            FaultCode::BadQuantity => written_so(&fault.expected)
                .map(|example| format!("Write a number and a unit, as in \"{example}\".")),
            FaultCode::UnknownUnit
                if fault.expected.contains("a volume") && !fault.found.contains(' ') =>
            {
                Some(format!(
                    "If it is a measure of your own, say what it holds under [measures], as in {} = \
                 \"12 L\".",
                    shown(fault.found.trim_end_matches('s'))
                ))
            }
            FaultCode::NotADate => Some(date_advice(&fault.found).to_owned()),
            _ => None,
        };
    }
    let quoted_help: Vec<String> = fault.help.iter().map(|text| quoted(text)).collect();
    let plain_help: Vec<String> = fault.help.iter().map(|text| shown(text)).collect();
    Some(match fault.code {
        FaultCode::UnknownClimate => {
            format!(
                "Did you mean {}? If not, moulder climates --near 52.6,1.3 shows the climate of a \
                 place by its latitude and longitude.",
                joined(&quoted_help, "or")
            )
        }
        FaultCode::UnknownField
        | FaultCode::UnknownWord
        | FaultCode::UnknownMaterial
        | FaultCode::UnknownUnit => format!("Did you mean {}?", joined(&quoted_help, "or")),
        FaultCode::AmbiguousPlace => {
            // Degrees are a table, not a text.
            let texts = fault.help.iter().map(|text| {
                if text.starts_with('{') {
                    shown(text)
                } else {
                    quoted(text)
                }
            });
            format!("Write {}.", joined(&texts.collect::<Vec<String>>(), "or"))
        }
        // These suggest a whole line of a file, which has quotes of its own.
        FaultCode::MissingField | FaultCode::WrongKind | FaultCode::BadSyntax => {
            format!("Write for example: {}", joined(&plain_help, "or"))
        }
        _ => format!("Write {}.", joined(&quoted_help, "or")),
    })
}

/// How to find a climate for a place that is not on the list.
const NEAR: &str = "moulder climates --near 52.6,1.3 shows the climate of a place, by its \
                    latitude and longitude.";

/// How to write a date, by what is wrong with it.
fn date_advice(found: &str) -> &'static str {
    let parts: Vec<&str> = found.trim_matches('"').split('-').collect();
    match parts.as_slice() {
        [year, month, day] if year.len() == 4 && (month.len() == 1 || day.len() == 1) => {
            "Write month and day with two digits, as in 2026-03-04."
        }
        [year, month, _] if year.len() == 4 && month.len() == 2 => {
            "There is no such day in that month, or no such month."
        }
        _ => "Write the year first, as in 2026-03-14.",
    }
}

/// An example of the expected quantity.
fn written_so(expected: &str) -> Option<&'static str> {
    [
        ("a length", "25 cm"),
        ("a volume", "80 L"),
        ("a weight", "40 kg"),
        ("a percentage", "30 %"),
        ("an angle", "40 deg"),
    ]
    .into_iter()
    .find(|(kind, _)| expected.starts_with(kind))
    .map(|(_, example)| example)
}

/// The name of the field: the last part of a path that is not a number.
fn name(path: &str) -> &str {
    path.rsplit('/')
        .find(|part| !part.is_empty() && part.parse::<usize>().is_err())
        .unwrap_or("the document")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example(code: FaultCode, found: &str, expected: &str, help: &[&str]) -> Fault {
        Fault {
            code,
            place: Place::Line {
                line: 14,
                column: 12,
            },
            path: "/layer/1/put/0/material".into(),
            found: found.into(),
            expected: expected.into(),
            help: help.iter().map(|text| (*text).to_owned()).collect(),
        }
    }

    #[test]
    fn a_misspelt_material() {
        let fault = example(
            FaultCode::UnknownMaterial,
            "grass cliping",
            "",
            &["grass clippings"],
        );
        assert_eq!(
            fault.to_string(),
            "line 14, column 12: \"grass cliping\" is not a material on the shelf. Did you mean \"grass clippings\"?"
        );
    }

    #[test]
    fn several_suggestions() {
        let fault = example(
            FaultCode::AmbiguousUnit,
            "gal",
            "",
            &["5 US gal", "5 UK gal"],
        );
        assert_eq!(
            sentence(&fault),
            "the unit \"gal\" is not clear enough. Write \"5 US gal\" or \"5 UK gal\"."
        );
    }

    #[test]
    fn sentences_are_one_plain_line() {
        for &code in FaultCode::ALL {
            let text = fault(&example(code, "a\nb\u{202e}c", "a thing", &["x\u{1b}[1m"]));
            assert!(!text.contains(char::is_control), "{text}");
            assert!(!text.contains('\u{202e}'), "{text}");
            assert!(!text.contains("-->") && !text.contains("error"), "{text}");
            assert!(text.starts_with("line 14, column 12: "), "{text}");
            assert!(text.contains("x\\u{1b}[1m"), "{code:?} hides its help");
        }
    }

    #[test]
    fn long_excerpts_are_cut() {
        let text = sentence(&example(
            FaultCode::UnknownMaterial,
            &"log".repeat(1000),
            "",
            &[],
        ));
        assert!(text.chars().count() < 200);
        assert!(text.contains('…'));
    }

    #[test]
    fn notices_have_sentences() {
        let values = || vec![("count", "2".into())];
        let unknown = Notice::new("no-such-code", None, values());
        assert_eq!(notice(&unknown), "no such code: count 2");
    }
}
