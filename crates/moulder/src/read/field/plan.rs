//! The fields of a plan file, one table a section, used by the reader and by the manual.

use super::{
    ACROSS, BED, FORMAT_FIELD, Field, Kind, MATERIAL, MEASURES, MOISTURE, NAME, Need, PLACE, RIM,
    ROTTEN, Range, SEEN, Section, UNITS, WHOLE, optional, required,
};
use crate::quantity::unit::Dimension;
use crate::text::limit;

const AFTER: Range = Range::new(1.0, 120.0, "a whole number of months from 1 to 120");
const SOIL: Range = Range::new(0.0, 1.0, "a length from 0 cm to 1 m");
const PRICE: Range = Range::new(0.0, 1e6, "a number from 0 to 1000000");

/// Default of the least depth of growing soil over the wood; m (the least of what gardeners
/// recommend: common practice, no source).
pub(crate) const SOIL_M: (f64, &str) = (0.2, "20 cm");
/// Default of the months after which the bed is to have its height: our own choice.
pub(crate) const AFTER_MONTHS: (u32, &str) = (12, "12");

/// The file itself.
pub static PLAN: Section = Section {
    name: "",
    in_words: "a plan file",
    fields: &[
        FORMAT_FIELD,
        NAME,
        required(
            "filled",
            Kind::Date,
            "The day it will be filled; from 1900 to 2200.",
            "filled = 2026-03-14",
        ),
        PLACE,
        UNITS,
        optional(
            "money",
            Kind::Text(8),
            "nothing",
            "What stands before a price.",
            "money = \"EUR\"",
        ),
        required(
            "bed",
            Kind::Section(&BED),
            "The outline of the bed, as in a bed file.",
            "[bed]",
        ),
        MEASURES,
        optional(
            "wanted",
            Kind::Section(&WANTED),
            "level with the rim after 12 months, under 20 cm of soil",
            "How the bed shall stand once it has settled.",
            "[wanted]",
        ),
        SEEN,
        required(
            "hand",
            Kind::Sections(&HAND, limit::LAYERS),
            "What is at hand, or can be bought.",
            "[[hand]]",
        ),
    ],
};

/// The target height of the bed after settlement.
pub static WANTED: Section = Section {
    name: "wanted",
    in_words: "what is wanted",
    fields: &[
        Field {
            name: "height",
            kind: Kind::Quantity(Dimension::Length, RIM),
            need: Need::Optional("the rim; for a mound it must be given"),
            meaning: "Height above the ground once the bed has settled.",
            example: "height = \"60 cm\"",
        },
        optional(
            "after",
            Kind::Number(AFTER),
            AFTER_MONTHS.1,
            "How many months after filling it shall stand so.",
            "after = 12",
        ),
        optional(
            "soil",
            Kind::Quantity(Dimension::Length, SOIL),
            SOIL_M.1,
            "Least depth of the growing soil on top by then.",
            "soil = \"20 cm\"",
        ),
    ],
};

/// One item of stock.
pub static HAND: Section = Section {
    name: "hand",
    in_words: "what is at hand",
    fields: &[
        MATERIAL,
        required(
            "amount",
            Kind::Supply(&["plenty"]),
            "How much there is, loose as tipped or by weight as it lies; plenty: as much as it takes.",
            "amount = \"6 barrow\"",
        ),
        optional(
            "price",
            Kind::Number(PRICE),
            "at no cost",
            "What one pack of it costs; needs `per`.",
            "price = 3.50",
        ),
        optional(
            "per",
            Kind::Supply(&[]),
            "at no cost",
            "What one pack holds; packs are bought whole.",
            "per = \"40 L\"",
        ),
        optional(
            "least",
            Kind::Quantity(Dimension::Share, WHOLE),
            "0 %",
            "Least share of the whole fill by loose volume.",
            "least = \"10 %\"",
        ),
        optional(
            "most",
            Kind::Quantity(Dimension::Share, WHOLE),
            "100 %",
            "Largest share of the whole fill by loose volume.",
            "most = \"25 %\"",
        ),
        ACROSS,
        MOISTURE,
        optional(
            "arrived",
            Kind::WordOrShare(&["sound", "half-rotten"], ROTTEN, Some("rotten")),
            "sound",
            "How far it has rotted already: sound, half-rotten, or the share of its carbon gone.",
            "arrived = \"30 % rotten\"",
        ),
    ],
};

/// The sections that a bed file does not have, in the order of the manual.
pub static SECTIONS: &[&Section] = &[&PLAN, &WANTED, &HAND];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn examples_are_lines_of_toml_that_set_the_field() {
        for section in SECTIONS {
            for field in section.fields {
                let table: toml::Table = field.example.parse().unwrap();
                let keys: Vec<&str> = table.keys().map(String::as_str).collect();
                assert_eq!(keys, [field.name], "{}", section.in_words);
                assert!(field.meaning.ends_with('.'), "{}", field.name);
            }
        }
    }
}
