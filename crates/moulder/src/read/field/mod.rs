//! The fields of a bed file, one table a section, used by the reader and by the manual.

pub mod plan;

use crate::quantity::unit::Dimension;
use crate::text::limit;
use crate::text::work;

/// The only version of the format that this version reads.
pub const FORMAT: i64 = 1;

/// A part of a bed file with fields of its own.
#[derive(Debug, PartialEq)]
pub struct Section {
    /// Its name in the file; empty for the file itself.
    pub name: &'static str,
    /// In words, with the article ("a layer").
    pub in_words: &'static str,
    /// The fields, in the order of the manual.
    pub fields: &'static [Field],
}

impl Section {
    /// The field of that name.
    #[must_use]
    pub fn field(&self, name: &str) -> Option<&'static Field> {
        work::count(self.fields.len());
        self.fields.iter().find(|field| field.name == name)
    }
}

/// One field.
#[derive(Debug, PartialEq)]
pub struct Field {
    /// Its name in the file.
    pub name: &'static str,
    /// Its permitted values.
    pub kind: Kind,
    /// Whether it is required.
    pub need: Need,
    /// What it means, for the manual.
    pub meaning: &'static str,
    /// How it is written, as a line of TOML.
    pub example: &'static str,
}

/// Whether a field is required.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Always.
    Required,
    /// When another field requires it, as its meaning says.
    Sometimes,
    /// Never; the default, in words.
    Optional(&'static str),
}

/// Permitted values of a field.
#[derive(Debug, PartialEq)]
pub enum Kind {
    /// The version of the format.
    Format,
    /// A number of that range.
    Number(Range),
    /// Twelve numbers of that range, January first.
    Months(Range),
    /// A text of at most that many characters.
    Text(usize),
    /// A day.
    Date,
    /// True or false.
    Bool,
    /// A quantity of that dimension and range.
    Quantity(Dimension, Range),
    /// A volume, a thickness or a weight.
    Amount,
    /// A volume or a weight, or one of these words.
    Supply(&'static [&'static str]),
    /// One of these words.
    Word(&'static [&'static str]),
    /// A list of codes of notices.
    NoticeCodes,
    /// A list of these words.
    Words(&'static [&'static str]),
    /// One of these words, or a share, with the last word after it if one is given.
    WordOrShare(&'static [&'static str], Range, Option<&'static str>),
    /// Degrees of latitude and of longitude.
    Degrees,
    /// The name of a place, or a section.
    NameOr(&'static Section),
    /// A section.
    Section(&'static Section),
    /// A list of at most that many sections.
    Sections(&'static Section, usize),
    /// Names of the user's own, each with a quantity of that dimension and range.
    Own(Dimension, Range, usize),
}

/// The plausible range of a value; judgement throughout, wide enough for any garden.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The least value, in the base unit.
    pub low: f64,
    /// The largest value, in the base unit.
    pub high: f64,
    /// Both, in words.
    pub in_words: &'static str,
}

impl Range {
    pub(crate) const fn new(low: f64, high: f64, in_words: &'static str) -> Self {
        Self {
            low,
            high,
            in_words,
        }
    }

    /// Whether the range contains the value; false for NaN.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

/// Thickness of an ingredient; m.
pub const THICKNESS: Range = Range::new(1e-3, 3.0, "a thickness from 1 mm to 3 m");
/// Volume of an ingredient; m3. The least is a tenth of a millilitre.
pub const VOLUME: Range = Range::new(1e-7, 5e3, "a volume above zero and up to 5000 m3");
/// Mass of an ingredient; kg. The least is a tenth of a gram.
pub const MASS: Range = Range::new(1e-4, 5e6, "a weight above zero and up to 5000 t");

const WIDTH: Range = Range::new(0.1, 50.0, "a length from 10 cm to 50 m");
const LENGTH: Range = Range::new(0.1, 200.0, "a length from 10 cm to 200 m");
pub(crate) const RIM: Range = Range::new(0.05, 5.0, "a length from 5 cm to 5 m");
const TRENCH: Range = Range::new(0.0, 2.0, "a length from 0 cm to 2 m");
const SLOPE: Range = Range::new(10.0, 80.0, "an angle from 10 deg to 80 deg");
pub(crate) const WHOLE: Range = Range::new(0.0, 1.0, "a percentage from 0 % to 100 %");
pub(crate) const WET: Range = Range::new(0.0, 0.95, "a percentage from 0 % to 95 %");
pub(crate) const ROTTEN: Range = Range::new(0.0, 0.9, "a percentage from 0 % to 90 %");
pub(crate) const PIECE: Range = Range::new(5e-4, 2.0, "a length from 0.5 mm to 2 m");
pub(crate) const MEASURE: Range = Range::new(1e-5, 100.0, "a volume from 10 ml to 100 m3");
const DEGREES: Range = Range::new(-90.0, 90.0, "a number of degrees from -90 to 90");
/// Latitudes and longitudes.
pub(crate) const SPOT_DEGREES: [Range; 2] = [
    DEGREES,
    Range::new(-180.0, 180.0, "a number of degrees from -180 to 180"),
];
const SEA_LEVEL: Range = Range::new(-450.0, 6000.0, "a height from -450 m to 6000 m");
const WARMTH: Range = Range::new(-60.0, 60.0, "a temperature from -60 to 60 degrees Celsius");
const RAIN: Range = Range::new(0.0, 3000.0, "a number of millimetres from 0 to 3000");
const WEEKLY: Range = Range::new(0.0, 10.0, "a volume a week from 0 L to 10 m3");
const MONTH: Range = Range::new(1.0, 12.0, "a month as a whole number from 1 to 12");
const COUNT: Range = Range::new(1.0, 10_000.0, "a whole number from 1 to 10000");
const FEED: Range = Range::new(1e-4, 100.0, "a weight from 0.1 g to 100 kg");
/// Share of nitrogen in a feed, by weight.
pub const FEED_NITROGEN: Range = Range::new(1e-5, 1.0, "a percentage from 0.001 % to 100 %");
/// Below the rim; what stands above it has a minus, as in forecasts.
const BELOW: Range = Range::new(
    -7.0,
    7.0,
    "a length from 0 cm to 7 m, or up to 7 m above the rim with a minus",
);
const ABOVE: Range = Range::new(0.0, 7.0, "a length from 0 cm to 7 m");
const GIVE: Range = Range::new(0.0, 0.5, "a length from 0 cm to 50 cm");

pub(crate) const fn required(
    name: &'static str,
    kind: Kind,
    meaning: &'static str,
    example: &'static str,
) -> Field {
    Field {
        name,
        kind,
        need: Need::Required,
        meaning,
        example,
    }
}

pub(crate) const fn sometimes(
    name: &'static str,
    kind: Kind,
    meaning: &'static str,
    example: &'static str,
) -> Field {
    Field {
        name,
        kind,
        need: Need::Sometimes,
        meaning,
        example,
    }
}

pub(crate) const fn optional(
    name: &'static str,
    kind: Kind,
    assumed: &'static str,
    meaning: &'static str,
    example: &'static str,
) -> Field {
    Field {
        name,
        kind,
        need: Need::Optional(assumed),
        meaning,
        example,
    }
}

// Fields of several sections.
pub(crate) const FORMAT_FIELD: Field = required(
    "format",
    Kind::Format,
    "Version of this file form.",
    "format = 1",
);
pub(crate) const NAME: Field = optional(
    "name",
    Kind::Text(limit::NAME_CHARACTERS),
    "unnamed bed",
    "What you call the bed.",
    "name = \"Long bed\"",
);
pub(crate) const PLACE: Field = required(
    "climate",
    Kind::NameOr(&CLIMATE),
    "A place on the list of climates, a town with its country or region, where it stands by degrees, or twelve months of your own.",
    "climate = \"Cambridge UK\"",
);
pub(crate) const UNITS: Field = optional(
    "units",
    Kind::Word(&["metric", "us", "uk-garden"]),
    "metric",
    "The units that answers come in.",
    "units = \"metric\"",
);
pub(crate) const MEASURES: Field = optional(
    "measures",
    Kind::Own(Dimension::Volume, MEASURE, limit::MEASURES),
    "barrow 80 L, bulk-bag 730 L",
    "What your own measures hold.",
    "[measures]",
);
pub(crate) const SEEN: Field = optional(
    "seen",
    Kind::NoticeCodes,
    "none",
    "The cautions you have seen to, by their words; they are then listed in one line.",
    "seen = [\"lifting\", \"plain-card\"]",
);
pub(crate) const MATERIAL: Field = required(
    "material",
    Kind::Text(limit::NAME_CHARACTERS),
    "A material on the shelf.",
    "material = \"birch log\"",
);
pub(crate) const AS: Field = optional(
    "as",
    Kind::Word(&["tipped", "in-place", "trodden", "watered"]),
    "in-place for a thickness, unless the layer was firmed or trodden then; else tipped",
    "The state in which a volume or thickness was measured.",
    "as = \"tipped\"",
);
pub(crate) const ACROSS: Field = optional(
    "across",
    Kind::Quantity(Dimension::Length, PIECE),
    "the size on the shelf",
    "Size of a piece across its shorter way.",
    "across = \"12 cm\"",
);
pub(crate) const MOISTURE: Field = optional(
    "moisture",
    Kind::WordOrShare(&["fresh", "dry", "wet"], WET, None),
    "fresh",
    "Water on arrival: fresh, dry (air-dry), wet, or a percentage of the wet weight.",
    "moisture = \"60 %\"",
);
pub(crate) const ARRIVED: Field = optional(
    "arrived",
    Kind::WordOrShare(&["sound", "half-rotten"], ROTTEN, Some("rotten")),
    "sound",
    "How far it had rotted before: sound, half-rotten, or the share of its carbon gone.",
    "arrived = \"30 % rotten\"",
);

/// The file itself.
pub static FILE: Section = Section {
    name: "",
    in_words: "a bed file",
    fields: &[
        FORMAT_FIELD,
        NAME,
        required(
            "filled",
            Kind::Date,
            "The day it was filled; from 1900 to 2200.",
            "filled = 2026-03-14",
        ),
        PLACE,
        UNITS,
        optional(
            "count",
            Kind::Number(COUNT),
            "1",
            "How many beds like it there are; top-ups are added up over them.",
            "count = 30",
        ),
        required(
            "bed",
            Kind::Section(&BED),
            "The outline of the bed.",
            "[bed]",
        ),
        MEASURES,
        required(
            "layer",
            Kind::Sections(&LAYER, limit::LAYERS),
            "The layers from the ground up.",
            "[[layer]]",
        ),
        optional(
            "water",
            Kind::Section(&WATER),
            "rain alone",
            "What you water, and what is laid over the bed.",
            "[water]",
        ),
        optional(
            "weather",
            Kind::Section(&WEATHER),
            "drawn years about the climate",
            "Weather that was measured, and how drying is worked out.",
            "[weather]",
        ),
        optional(
            "crop",
            Kind::Word(&["hungry", "modest", "none"]),
            "hungry",
            "What grows on it: hungry (cabbages, squash, tomatoes), modest (lettuce, carrots, onions) or none.",
            "crop = \"hungry\"",
        ),
        optional(
            "fed",
            Kind::Sections(&FED, limit::ADDED),
            "none",
            "Feed that was or will be given.",
            "[[fed]]",
        ),
        SEEN,
        optional(
            "reading",
            Kind::Sections(&READING, limit::READINGS),
            "none",
            "What a tape said later: moulder fit and topup use it.",
            "[[reading]]",
        ),
        optional(
            "added",
            Kind::Sections(&ADDED, limit::ADDED),
            "none",
            "What was laid on it later, or will be.",
            "[[added]]",
        ),
    ],
};

/// Where the bed stands.
pub static SPOT: Section = Section {
    name: "climate at",
    in_words: "a place by its degrees",
    fields: &[
        required(
            "at",
            Kind::Degrees,
            "Degrees north and degrees east; south and west are negative.",
            "at = [45.76, 4.84]",
        ),
        optional(
            "height",
            Kind::Quantity(Dimension::Length, SEA_LEVEL),
            "that of a town or station within 10 km, else the mean of the land around",
            "Height above the sea.",
            "height = \"170 m\"",
        ),
        optional(
            "name",
            Kind::Text(limit::NAME_CHARACTERS),
            "the degrees",
            "Name of the place.",
            "name = \"Our valley\"",
        ),
    ],
};

/// Twelve months of the user's own.
pub static CLIMATE: Section = Section {
    name: "climate",
    in_words: "a climate of your own",
    fields: &[
        optional(
            "name",
            Kind::Text(limit::NAME_CHARACTERS),
            "own climate",
            "Name of the place.",
            "name = \"Our valley\"",
        ),
        required(
            "latitude",
            Kind::Number(DEGREES),
            "Degrees north; south is negative.",
            "latitude = 52.2",
        ),
        required(
            "high",
            Kind::Months(WARMTH),
            "Mean daily high of each month, degrees Celsius, January first.",
            "high = [7, 8, 11, 14, 17, 20, 23, 22, 19, 15, 10, 7]",
        ),
        required(
            "low",
            Kind::Months(WARMTH),
            "Mean daily low of each month, degrees Celsius; never above the high.",
            "low = [1, 1, 3, 4, 7, 10, 12, 12, 10, 7, 4, 2]",
        ),
        required(
            "rain",
            Kind::Months(RAIN),
            "Rain of each month; mm.",
            "rain = [48, 36, 35, 40, 45, 52, 50, 58, 52, 58, 54, 50]",
        ),
    ],
};

/// The outline of the bed.
pub static BED: Section = Section {
    name: "bed",
    in_words: "the bed",
    fields: &[
        required(
            "shape",
            Kind::Word(&["box", "round", "bag", "mound"]),
            "What holds the filling.",
            "shape = \"box\"",
        ),
        sometimes(
            "width",
            Kind::Quantity(Dimension::Length, WIDTH),
            "Inside width of a box or bag, width at the foot of a mound; required for these.",
            "width = \"90 cm\"",
        ),
        sometimes(
            "length",
            Kind::Quantity(Dimension::Length, LENGTH),
            "Inside length of a box or bag, length at the foot of a mound; required for these.",
            "length = \"1.8 m\"",
        ),
        sometimes(
            "across",
            Kind::Quantity(Dimension::Length, WIDTH),
            "Inside diameter of a round bed; required for it.",
            "across = \"1.2 m\"",
        ),
        sometimes(
            "rim",
            Kind::Quantity(Dimension::Length, RIM),
            "Height of the rim above the ground; required unless the bed is a mound.",
            "rim = \"60 cm\"",
        ),
        optional(
            "trench",
            Kind::Quantity(Dimension::Length, TRENCH),
            "0 cm",
            "Depth dug out below the ground; a mound fills it upright.",
            "trench = \"20 cm\"",
        ),
        optional(
            "bulged",
            Kind::Quantity(Dimension::Share, WHOLE),
            "0 %",
            "How far a bag had bulged from square to round when heights were taken.",
            "bulged = \"30 %\"",
        ),
        optional(
            "slope",
            Kind::Quantity(Dimension::Angle, SLOPE),
            "40 deg",
            "Slope of a mound's sides, from level.",
            "slope = \"40 deg\"",
        ),
        optional(
            "stands-on",
            Kind::Word(&["ground", "paving", "deck", "balcony", "roof"]),
            "not known; cautions speak of all",
            "What is below the bed. Only cautions ask for it.",
            "stands-on = \"ground\"",
        ),
        optional(
            "near-wall",
            Kind::Bool,
            "not known; cautions speak of it",
            "Whether the bed stands against the wall of a building. Only cautions ask for it.",
            "near-wall = false",
        ),
        optional(
            "boards",
            Kind::Word(&["untreated", "treated", "painted", "tarred", "none"]),
            "not known; cautions speak of it",
            "What the boards of a box or a round bed are; none where its sides are no timber. Only cautions ask for it.",
            "boards = \"untreated\"",
        ),
    ],
};

/// One layer.
pub static LAYER: Section = Section {
    name: "layer",
    in_words: "a layer",
    fields: &[
        optional(
            "name",
            Kind::Text(limit::NAME_CHARACTERS),
            "layer and its number",
            "What you call the layer.",
            "name = \"log base\"",
        ),
        optional(
            "grows",
            Kind::Bool,
            "true for the top layer when no layer says so, else false",
            "Whether roots live here.",
            "grows = true",
        ),
        required(
            "put",
            Kind::Sections(&PUT, limit::MATERIALS_A_LAYER),
            "What was put in, all of it mixed.",
            "put = [{ material = \"birch log\", amount = \"30 cm\" }]",
        ),
        optional(
            "then",
            Kind::Words(&["tipped", "firmed", "trodden", "watered"]),
            "unknown: anything from tipped to trodden",
            "What was done to the layer once it was in; tipped is nothing.",
            "then = [\"trodden\", \"watered\"]",
        ),
    ],
};

/// Other words for what is done to a layer, by the word of its field: each is answered with that
/// word, however near another is spelt.
pub static DONE_SYNONYMS: &[(&str, &[&str])] = &[
    (
        "tipped",
        &[
            "dumped",
            "heaped",
            "loose",
            "nothing",
            "poured",
            "raked",
            "shovelled",
            "tipped in",
        ],
    ),
    (
        "firmed",
        &[
            "firm",
            "firmed down",
            "firmed in",
            "patted",
            "patted down",
            "pressed",
            "pressed down",
            "pressed in",
        ],
    ),
    (
        "trodden",
        &[
            "compacted",
            "compressed",
            "packed",
            "packed down",
            "rammed",
            "rolled",
            "stamped",
            "stamped down",
            "stamped on",
            "stomped",
            "tamped",
            "tamped down",
            "trampled",
            "trod",
            "trodden down",
            "trodden in",
            "walked on",
        ],
    ),
    (
        "watered",
        &[
            "drenched",
            "hosed",
            "rained on",
            "soaked",
            "watered in",
            "wet",
            "wetted",
        ],
    ),
];

/// One material of a layer.
pub static PUT: Section = Section {
    name: "put",
    in_words: "a material that is put in",
    fields: &[
        MATERIAL,
        required(
            "amount",
            Kind::Amount,
            "A volume, a thickness over the whole bed, or a weight as it arrived; \"12 kg dry\" is an oven-dry weight.",
            "amount = \"30 cm\"",
        ),
        AS,
        ACROSS,
        MOISTURE,
        ARRIVED,
    ],
};

/// Watering and cover.
pub static WATER: Section = Section {
    name: "water",
    in_words: "the watering",
    fields: &[
        optional(
            "irrigation",
            Kind::Quantity(Dimension::Volume, WEEKLY),
            "0 L",
            "Water given in a week of the season, over the whole bed.",
            "irrigation = \"20 L\"",
        ),
        optional(
            "from",
            Kind::Number(MONTH),
            "5 in the north, 11 in the south",
            "First month of watering, January is 1.",
            "from = 5",
        ),
        optional(
            "to",
            Kind::Number(MONTH),
            "9 in the north, 3 in the south",
            "Last month of watering; it may lie before the first, over the turn of the year.",
            "to = 9",
        ),
        optional(
            "cover",
            Kind::Word(&["open", "fleece", "sheet"]),
            "open",
            "What lies over the bed all year: fleece lets 70 % of the rain through, a sheet 5 % (both our own closure). What a cover keeps from drying is not counted.",
            "cover = \"open\"",
        ),
    ],
};

/// Weather that was measured, and how evapotranspiration is computed.
pub static WEATHER: Section = Section {
    name: "weather",
    in_words: "the weather",
    fields: &[
        optional(
            "file",
            Kind::Text(limit::NAME_CHARACTERS),
            "none",
            "A CSV file of days, beside the bed file: `date,high_c,low_c,rain_mm`, or `high_f`, `low_f`, `rain_in`. Its days are used as they were; what is missing, and what comes after its last day, is drawn about the climate.",
            "file = \"weather.csv\"",
        ),
        optional(
            "evapotranspiration",
            Kind::Word(&["fao-56", "hargreaves"]),
            "fao-56",
            "How much a lawn would give off is worked out from high and low: as FAO-56 advises (Penman-Monteith with the dew point at the low and 2 m/s of wind), or by the equation of Hargreaves, which is higher.",
            "evapotranspiration = \"fao-56\"",
        ),
    ],
};

/// A feeding.
pub static FED: Section = Section {
    name: "fed",
    in_words: "a feeding",
    fields: &[
        required("on", Kind::Date, "The day it was given.", "on = 2026-05-10"),
        required(
            "nitrogen",
            Kind::Quantity(Dimension::Mass, FEED),
            "Nitrogen in it that plants can take at once, over the whole bed: the weight of the feed times the N on its label.",
            "nitrogen = \"10 g\"",
        ),
        optional(
            "feed",
            Kind::Quantity(Dimension::Share, FEED_NITROGEN),
            "of a feed with 13 %",
            "What the label of that feed says of nitrogen, by weight: what to feed is told in the last feed that has it.",
            "feed = \"13 %\"",
        ),
    ],
};

/// A tape measure reading.
pub static READING: Section = Section {
    name: "reading",
    in_words: "a reading",
    fields: &[
        required(
            "on",
            Kind::Date,
            "The day of the reading, before anything was laid on that day.",
            "on = 2026-06-14",
        ),
        sometimes(
            "below-rim",
            Kind::Quantity(Dimension::Length, BELOW),
            "From the rim down to the soil, with a minus where it stands above the rim; this or height, and not for a mound.",
            "below-rim = \"17 cm\"",
        ),
        sometimes(
            "height",
            Kind::Quantity(Dimension::Length, ABOVE),
            "From the ground up to the soil; this or below-rim.",
            "height = \"70 cm\"",
        ),
        optional(
            "give-or-take",
            Kind::Quantity(Dimension::Length, GIVE),
            "1 cm",
            "How far the tape may be off: four readings in five are closer.",
            "give-or-take = \"1 cm\"",
        ),
        optional(
            "note",
            Kind::Text(limit::NOTE_CHARACTERS),
            "none",
            "Anything worth remembering.",
            "note = \"after heavy rain\"",
        ),
    ],
};

/// One later addition.
pub static ADDED: Section = Section {
    name: "added",
    in_words: "an addition",
    fields: &[
        required("on", Kind::Date, "The day it was added.", "on = 2026-09-20"),
        required(
            "material",
            Kind::Text(limit::NAME_CHARACTERS),
            "A material on the shelf.",
            "material = \"loamy topsoil\"",
        ),
        required(
            "amount",
            Kind::Amount,
            "How much, as for a layer.",
            "amount = \"60 L\"",
        ),
        AS,
        ACROSS,
        MOISTURE,
        ARRIVED,
        optional(
            "note",
            Kind::Text(limit::NOTE_CHARACTERS),
            "none",
            "Anything worth remembering.",
            "note = \"bagged soil\"",
        ),
    ],
};

/// Every section, in the order of the manual.
pub static SECTIONS: &[&Section] = &[
    &FILE, &SPOT, &CLIMATE, &BED, &LAYER, &PUT, &WATER, &WEATHER, &FED, &READING, &ADDED,
];

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

    #[test]
    fn ranges_hold_no_nonsense() {
        assert!(RIM.holds(0.05) && RIM.holds(5.0));
        assert!(!RIM.holds(0.0499) && !RIM.holds(f64::NAN) && !RIM.holds(f64::INFINITY));
    }
}
