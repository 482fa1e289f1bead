//! The code book: what each code means, what to do about it, and a file that raises it.

use crate::nearest;

/// A code of a fault or a notice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Entry {
    /// The stable word ("decimal-comma").
    pub code: &'static str,
    /// What leads to it.
    pub cause: &'static str,
    /// What to do.
    pub cure: &'static str,
    /// A bed file that raises it; none where such a file would have to be very large.
    pub example: Option<Example>,
}

/// A bed file that shows a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Example {
    /// Its name.
    pub name: &'static str,
    /// What it holds.
    pub text: &'static str,
}

/// The example of that code: a file of the same name among the bad beds.
macro_rules! example {
    ($code:literal) => {
        Some(Example {
            name: concat!($code, ".toml"),
            text: include_str!(concat!("../tests/data/bad-beds/", $code, ".toml")),
        })
    };
}

/// An entry whose example bears its name.
macro_rules! entry {
    ($code:literal, $cause:literal, $cure:literal) => {
        Entry {
            code: $code,
            cause: $cause,
            cure: $cure,
            example: example!($code),
        }
    };
}

/// The codes of faults, in the order of [`crate::fault::FaultCode::ALL`].
pub static FAULTS: &[Entry] = &[
    entry!(
        "bad-syntax",
        "The line does not follow the rules by which a file is written (TOML or JSON): a quote, a comma or a bracket is missing or one too many.",
        "Put texts and quantities in double quotes, close every bracket, and compare the line with one that works."
    ),
    entry!(
        "too-deep",
        "Tables or lists lie in one another deeper than any bed needs, often because a heading holds too many dots.",
        "Take headings and lists as a new bed file has them: [bed], [measures], [[layer]] and no deeper."
    ),
    Entry {
        code: "too-big",
        cause: "The file is larger than any bed or any weather needs; perhaps it is another kind of file.",
        cure: "Check that it is the right file, and take out what does not belong to it.",
        // It would hold more than 256 kB.
        example: None,
    },
    entry!(
        "repeated-key",
        "One name stands twice in the same part of the file, so that it is not clear which one counts.",
        "Keep one of them. A second layer begins with a heading [[layer]] of its own."
    ),
    entry!(
        "unknown-field",
        "A name that this part of the file does not use: misspelt, or in the wrong part.",
        "Spell it as the list of fields does, or move it to the part it belongs to."
    ),
    entry!(
        "other-shape",
        "A field that belongs to another shape of bed, such as the slope of a mound given for a box.",
        "Leave the field out, or change the shape."
    ),
    entry!(
        "missing-field",
        "Something that must be given is not.",
        "Add the line that is shown, with your own figures."
    ),
    entry!(
        "unknown-format",
        "The file says a form number that this version does not know.",
        "Write format = 1; or, if the file is for a later version, use that version."
    ),
    entry!(
        "wrong-kind",
        "A number stands where a text must stand, a table where a list must stand, or the like.",
        "Write it as the example that is shown: quantities in quotes, layers under [[layer]] in double brackets."
    ),
    entry!(
        "unknown-word",
        "Only a few words can stand here, and this is not one of them.",
        "Choose one of the words that are shown; small letters count."
    ),
    entry!(
        "bad-text",
        "A name is empty, or holds signs that cannot be shown.",
        "Write something that can be read, on one line."
    ),
    entry!(
        "too-long",
        "A text is longer than can be read.",
        "Shorten it; a longer note belongs into a comment after a #."
    ),
    entry!(
        "bad-quantity",
        "A quantity is not a number followed by a unit.",
        "Write digits, then the unit: \"25 cm\", \"2 1/2 ft\", \"3 barrow\", \"40 kg\"."
    ),
    entry!(
        "missing-unit",
        "A number has no unit, so that it might be centimetres or inches.",
        "Add the unit, inside the quotes."
    ),
    entry!(
        "unknown-unit",
        "The unit is not on the list, nor among the measures of the file.",
        "Use a unit of the list, or say under [measures] what your own measure holds."
    ),
    entry!(
        "ambiguous-unit",
        "The unit means different things to different people: gallons, tons, yards of soil, marks for feet and inches.",
        "Write the clear one that is shown."
    ),
    entry!(
        "wrong-measure",
        "A weight stands where a length must stand, or the like.",
        "Measure what the field asks for."
    ),
    entry!(
        "decimal-comma",
        "A comma stands where a decimal point must stand.",
        "Write a point: \"1.6 m\"."
    ),
    entry!(
        "thousands-separator",
        "The thousands of a number are set apart by a comma, a blank or a mark.",
        "Write the digits together: \"1200 L\"."
    ),
    entry!(
        "out-of-range",
        "The value is beyond what can be believed of a garden bed; most often the unit is another one than was meant.",
        "Check the figure and its unit against the range that is shown."
    ),
    entry!(
        "wrong-length",
        "A row of months does not hold twelve values.",
        "Give twelve, January first."
    ),
    entry!(
        "unknown-material",
        "No material on the shelf has this name.",
        "Take the name that is shown, look at the list of materials, or lay a file of your own materials over the shelf."
    ),
    entry!(
        "unknown-climate",
        "No place on the list of climates has this name.",
        "Take a place of the list that lies near yours, or give twelve months of your own under [climate]."
    ),
    entry!(
        "too-many",
        "There are more entries than can be read.",
        "Put like layers together, or leave out what matters least."
    ),
    entry!(
        "too-few",
        "A list that needs an entry has none.",
        "Add one, or take away the heading over it."
    ),
    entry!(
        "not-a-date",
        "No day of the calendar is written so.",
        "Write year, month and day: 2026-03-14, without quotes."
    ),
    entry!(
        "before-filling",
        "A reading or an addition bears a date from before the bed was filled.",
        "Check both dates."
    ),
    entry!(
        "does-not-fit",
        "Two things that are said contradict each other.",
        "Keep the one that is right."
    ),
];

/// The codes of notices, in the order of [`crate::notice::CODES`].
pub static NOTICES: &[Entry] = &[
    entry!(
        "readings-not-used-yet",
        "The file holds tape readings. They are checked, and the forecast does not use them yet.",
        "Nothing: keep them for a later version."
    ),
    entry!(
        "added-not-used-yet",
        "The file holds later additions. They are checked, and the forecast does not use them yet.",
        "Nothing: keep them for a later version, and know that the forecast is for the bed as it was filled."
    ),
    entry!(
        "layers-upside-down",
        "Soil lies under wood and wood lies on top, as if the list ran from the top down.",
        "Write the layers in the order they were tipped in, the lowest first."
    ),
    entry!(
        "growing-soil-runs-thin",
        "The layer that roots live in gets thinner than plants can do with, most often because fine soil trickles into the gaps below.",
        "Keep soil back for topping up, or lay turf grass side down or whole card under the soil."
    ),
    entry!(
        "heap-will-not-stay",
        "All that is tipped in would stand so far over the rim that loose stuff slides off.",
        "Check the amounts and their units, or fill in two goes and let the first one settle."
    ),
    entry!(
        "airless-layer",
        "A layer rots faster than air can get in, or stands so wet that none gets in, for weeks on end.",
        "Mix in twigs or other coarse stuff, lay greens thinner, keep rain off while it rots, or let the bed drain better."
    ),
];

/// Every entry: faults, then notices.
pub fn entries() -> impl Iterator<Item = &'static Entry> {
    FAULTS.iter().chain(NOTICES)
}

/// The entry of that code, whatever the case.
///
/// ```
/// let entry = moulder::code_book::find("Decimal-Comma").ok_or("no such code")?;
/// assert_eq!(entry.cure, "Write a point: \"1.6 m\".");
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn find(code: &str) -> Option<&'static Entry> {
    let wanted = code.trim().to_lowercase();
    entries().find(|entry| entry.code == wanted)
}

/// Up to three codes most like a misspelt one, best first.
#[must_use]
pub fn nearest(code: &str) -> Vec<String> {
    nearest::nearest(code, entries().map(|entry| entry.code))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bed::Bed;
    use crate::catalogue::Catalogue;
    use crate::fault::{FaultCode, Faults};
    use crate::forecast::forecast;
    use crate::notice;
    use crate::read::read_toml;
    use crate::station::Stations;
    use crate::watcher::Unwatched;

    fn read(example: &Example) -> Result<Bed, Faults> {
        read_toml(example.text, &Catalogue::built_in(), &Stations::built_in())
    }

    #[test]
    fn every_code_of_a_fault_is_in_the_book_and_its_file_raises_it() {
        let codes: Vec<&str> = FAULTS.iter().map(|entry| entry.code).collect();
        let words: Vec<&str> = FaultCode::ALL.iter().map(|code| code.word()).collect();
        assert_eq!(codes, words);
        for entry in FAULTS {
            let Some(example) = &entry.example else {
                assert_eq!(entry.code, FaultCode::TooBig.word());
                continue;
            };
            let faults = read(example).expect_err(entry.code);
            let raised: Vec<&str> = faults.iter().map(|fault| fault.code.word()).collect();
            assert_eq!(raised, [entry.code]);
        }
    }

    #[test]
    fn every_code_of_a_notice_is_in_the_book_and_its_file_raises_it() {
        let codes: Vec<&str> = NOTICES.iter().map(|entry| entry.code).collect();
        assert_eq!(codes, notice::CODES);
        for entry in NOTICES {
            let example = entry.example.as_ref().expect(entry.code);
            let bed = read(example).unwrap();
            let year = forecast(&bed, 12, &mut Unwatched).unwrap();
            let raised = year.notices.iter().any(|notice| notice.code == entry.code);
            assert!(raised, "{}: {:?}", entry.code, year.notices);
        }
    }

    #[test]
    fn entries_are_whole_sentences_without_the_airs_of_a_compiler() {
        for entry in entries() {
            for text in [entry.cause, entry.cure] {
                assert!(text.ends_with('.') && text.len() > 15, "{}", entry.code);
                assert!(!text.contains("error") && !text.contains("-->"), "{text}");
            }
        }
    }

    #[test]
    fn a_misspelt_code_finds_the_right_one() {
        assert!(find("no-such-code").is_none());
        assert_eq!(nearest("decimal-coma")[0], "decimal-comma");
    }
}
