//! Pages of the manual made from tables: the bed file, the plan file and the codes.
//!
//! They are Markdown, kept under `docs/`. The example `write_docs` writes them, and a test
//! compares them with these functions.

use std::fmt::Write;

use crate::fault::guide::{Entry, Example, FAULTS, NOTICES};
use crate::fault::notice::{Severity, severity};
use crate::fault::sentence::notice;
use crate::library::Library;
use crate::quantity::measures::{USUAL_MEASURES, USUAL_MEASURES_SOURCE};
use crate::quantity::unit::{Dimension, UNITS};
use crate::read::field::plan::SECTIONS as PLAN_SECTIONS;
use crate::read::field::{Field, Kind, Need, Range, SECTIONS, Section};
use crate::read::read_toml;
use crate::text::limit;
use crate::text::phrase::joined;

/// First line of every page, so that nobody edits the page.
const MADE: &str = "<!-- Made by `cargo run --example write_docs`: change the tables instead. -->";

/// Path of the examples from the pages.
const EXAMPLES: &str = "../crates/moulder/data/bad-beds";

/// The page on the bed file: the fields of every section, then the units.
#[must_use]
pub fn bed_file_page() -> String {
    let mut page = format!(
        "{MADE}\n\n# The bed file\n\n\
         A bed file is TOML written by people, or JSON with the same fields written by \
         programs. `moulder new box` gives one to start from. Layers go from the ground up. \
         Quantities are texts with a unit (\"25 cm\", \"2 ft 6 in\", \"1/2 cu yd\", \
         \"3 barrow\"), decimals have a point, and days are written year first. A misspelt \
         name, a missing unit and everything else that is wrong is told at once, each with \
         its line.\n"
    );
    for section in SECTIONS {
        page.push_str(&section_text(section, SECTIONS));
    }
    page.push_str(&units_text());
    page
}

/// The page on the plan file: its own sections, and where the others are described.
#[must_use]
pub fn plan_file_page() -> String {
    let mut page = format!(
        "{MADE}\n\n# The plan file\n\n\
         A plan file says what bed shall be filled, how it shall stand once it has settled, \
         and what there is to fill it with; `moulder plan` answers with amounts, layer by \
         layer. It is TOML or JSON, written as [a bed file](bed-file.md) is: `[bed]`, \
         `[climate]`, `[measures]` and the units are those of a bed file. Everything that is \
         wrong is told at once.\n"
    );
    for section in PLAN_SECTIONS {
        page.push_str(&section_text(section, PLAN_SECTIONS));
    }
    page.push_str(
        "\n## How the answer is found\n\n\
         What each material keeps of its loose volume until the day asked for is taken from a \
         forecast of it alone; with these shares the amounts are a linear programme. Each \
         fill it gives is then forecast as the bed it makes; where that stands higher or \
         lower than was thought, the shares of its layers are corrected and the amounts \
         sought again, until the forecast is within 1 cm of what is wanted. Prices count by \
         the pack, whole ones, in what is compared, and in proportion in what is sought: a \
         cheaper fill by some packs may exist. The limits of good practice (coarse wood, card, \
         greens, compost, depth of soil) are common practice and have no source; they give \
         way, and are named, where nothing else would do.\n",
    );
    page
}

/// One section.
fn section_text(section: &Section, all: &[&Section]) -> String {
    let (heading, lead) = match section.name {
        "" => ("The file itself".to_owned(), String::new()),
        "climate at" => ("`[climate]`, by degrees".to_owned(), String::new()),
        "put" => (
            "`put`".to_owned(),
            "An entry of the list `put` of a layer.\n\n".to_owned(),
        ),
        name => {
            let list = all.iter().any(|outer| {
                outer
                    .fields
                    .iter()
                    .any(|field| field.name == name && matches!(field.kind, Kind::Sections(..)))
            });
            let heading = if list {
                format!("`[[{name}]]`")
            } else {
                format!("`[{name}]`")
            };
            (heading, String::new())
        }
    };
    let mut text = format!(
        "\n## {heading}\n\n{lead}| field | what it means | what can stand there | if it is \
         left out |\n| --- | --- | --- | --- |\n"
    );
    for field in section.fields {
        let _ = writeln!(
            text,
            "| `{}` | {} For example `{}`. | {} | {} |",
            field.name,
            cell(field.meaning),
            cell(field.example),
            cell(&what(field)),
            cell(&left_out(field))
        );
    }
    text
}

/// Permitted values of a field, in words.
fn what(field: &Field) -> String {
    match &field.kind {
        Kind::Format => "1".to_owned(),
        Kind::Months(range) => format!("twelve values, each {}", range.in_words),
        Kind::Text(most) => format!("a text of at most {most} characters"),
        Kind::Degrees => "two numbers of degrees, latitude and longitude".to_owned(),
        Kind::Date => "a day, as 2026-03-14".to_owned(),
        Kind::Bool => "true or false".to_owned(),
        Kind::Number(range) | Kind::Quantity(_, range) => range.in_words.to_owned(),
        Kind::Amount => "a volume, a thickness or a weight".to_owned(),
        Kind::Supply([]) => "a volume or a weight".to_owned(),
        Kind::Supply(words) => format!("a volume or a weight, or {}", words_text(words)),
        Kind::Word(words) => words_text(words),
        Kind::NoticeCodes => "a list of codes of notices, as `moulder codes` lists them".to_owned(),
        Kind::Words(words) => format!("a list of {}", words_text(words)),
        Kind::WordOrShare(words, range, after) => share_text(words, *range, *after),
        Kind::NameOr(section) => {
            format!("a name, or the table `[{}]` in either form", section.name)
        }
        Kind::Section(section) => format!("the table `[{}]`", section.name),
        Kind::Sections(section, most) if section.name == "put" => {
            format!("a list of at most {most} entries")
        }
        Kind::Sections(section, most) => format!("at most {most} times `[[{}]]`", section.name),
        Kind::Own(_, range, most) => {
            format!(
                "at most {most} names of your own, each with {}",
                range.in_words
            )
        }
    }
}

fn share_text(words: &[&str], range: Range, after: Option<&str>) -> String {
    let after = after.map_or_else(String::new, |after| format!(", followed by \"{after}\""));
    format!("{} or {}{after}", words_text(words), range.in_words)
}

fn words_text(words: &[&str]) -> String {
    let words: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    joined(&words, "or")
}

fn left_out(field: &Field) -> String {
    match field.need {
        Need::Required => "must be given".to_owned(),
        Need::Sometimes => "see there".to_owned(),
        Need::Optional(assumed) => assumed.to_owned(),
    }
}

/// The list of units, and the measures that need no definition.
fn units_text() -> String {
    let mut text = "\n## Units\n\n| what | units | also spelt |\n| --- | --- | --- |\n".to_owned();
    for dimension in [
        Dimension::Length,
        Dimension::Volume,
        Dimension::Mass,
        Dimension::Share,
        Dimension::Angle,
    ] {
        let units = UNITS.iter().filter(|unit| unit.dimension == dimension);
        let names: Vec<String> = units
            .clone()
            .map(|unit| format!("`{}`", unit.name))
            .collect();
        let also: Vec<&str> = units.flat_map(|unit| unit.also.iter().copied()).collect();
        let _ = writeln!(
            text,
            "| {} | {} | {} |",
            dimension.in_words(),
            names.join(", "),
            also.join(", ")
        );
    }
    let usual: Vec<String> = USUAL_MEASURES
        .iter()
        .map(|(name, m3)| format!("a {name} holds {:.0} L", m3 * 1000.0))
        .collect();
    let _ = write!(
        text,
        "\nA gallon, a quart or a ton must say whose it is, and marks for feet and inches are \
         not read. Unless `[measures]` says otherwise, {} ({USUAL_MEASURES_SOURCE}).\n\n\
         ## Limits\n\nA bed file may hold {} kB; layers may be {} m thick altogether.\n",
        usual.join(" and "),
        limit::FILE_BYTES / 1024,
        limit::HEAP_M
    );
    text
}

/// The page on the codes: cause, remedy and the message of each example.
#[must_use]
pub fn codes_page() -> String {
    let mut page = format!(
        "{MADE}\n\n# Codes\n\n\
         Everything that can be said of a file bears a code: a word that programs may rely on \
         and that never changes its meaning. `moulder codes` lists them, `moulder codes CODE` \
         explains one. A fault keeps a file from being read; a notice does not. A notice is a \
         note, a warning (something may be spoilt) or a danger (someone may be hurt); the list \
         `seen` of a bed file acknowledges it by its word. No notice stands in for the local \
         code or for licensed people.\n\n## Faults\n"
    );
    for entry in FAULTS {
        page.push_str(&entry_text(entry));
    }
    page.push_str("\n## Notices\n");
    for entry in NOTICES {
        page.push_str(&entry_text(entry));
    }
    page
}

fn entry_text(entry: &Entry) -> String {
    let mut text = format!(
        "\n### `{}`\n\n- Cause: {}\n- Cure: {}\n",
        entry.code, entry.cause, entry.cure
    );
    if let Some(source) = entry.source {
        let severity = match severity(entry.code) {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Danger => "danger",
        };
        let _ = writeln!(text, "- Severity: {severity}\n- Source: {source}.");
    }
    if let Some(example) = &entry.example {
        let _ = writeln!(text, "- Example: [{0}]({EXAMPLES}/{0})", example.name);
        for said in said_of(example) {
            let _ = writeln!(text, "  - {}", said.replace('<', "&lt;"));
        }
    }
    text
}

/// The messages on reading a bed file, a sentence for each fault or notice. Notices of a forecast
/// are left out, as their figures change with every law that is improved.
fn said_of(example: &Example) -> Vec<String> {
    match read_toml(example.text, &Library::built_in()) {
        Ok(bed) => bed.notices.iter().map(notice).collect(),
        Err(faults) => faults.iter().map(ToString::to_string).collect(),
    }
}

/// A text for a table cell.
fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}
