//! What a field of a question may hold: one table for the checks and for the schema.

#[cfg(feature = "schema")]
use moulder::internals::bed::document::BedDocument;
use moulder::internals::text::limit::{
    FILE_BYTES, MONTHS_LIMIT, SAMPLES_LIMIT, SHELF_BYTES, WEATHER_BYTES,
};
use moulder::{Date, FaultCode};
#[cfg(feature = "schema")]
use schemars::SchemaGenerator;
use serde_json::{Value, json};

use crate::findings::Findings;

/// A field of a question.
#[derive(Debug)]
pub(crate) struct Field {
    pub(crate) name: &'static str,
    /// What it says, for the schema.
    #[cfg_attr(
        not(feature = "schema"),
        allow(dead_code, reason = "the schema tells it")
    )]
    pub(crate) about: &'static str,
    pub(crate) kind: Kind,
}

/// What may stand in a field.
#[derive(Debug)]
pub(crate) enum Kind {
    /// A document: an object, or a text in TOML. The first is of a bed, the other of a plan.
    Bed,
    Plan,
    /// So many beds.
    Beds {
        most: usize,
    },
    Text {
        most_bytes: usize,
    },
    Whole {
        least: u64,
        most: u64,
    },
    Number {
        least: f64,
        most: f64,
    },
    Flag,
    /// A day of the calendar, as in "2026-03-14".
    Day,
    Word(&'static [&'static str]),
    /// A list of whole numbers, at least one.
    Wholes {
        least: u64,
        most: u64,
        length: usize,
    },
    /// A list of objects of these fields, at least one.
    Objects {
        fields: &'static [Use],
        length: usize,
    },
    /// Degrees north and east.
    Spot,
    /// Parts of an ensemble, as the answer to "realisations" has them.
    Parts,
}

/// A field in a question or an object, and whether it must be there.
#[derive(Debug)]
pub(crate) struct Use {
    pub(crate) field: &'static Field,
    pub(crate) is_needed: bool,
}

/// A field that may be left out.
pub(crate) const fn may(field: &'static Field) -> Use {
    Use {
        field,
        is_needed: false,
    }
}

/// A field that must be there.
pub(crate) const fn must(field: &'static Field) -> Use {
    Use {
        field,
        is_needed: true,
    }
}

/// Checks an object against its fields.
pub(crate) fn check_object(
    given: &serde_json::Map<String, Value>,
    fields: &[Use],
    pointer: &str,
    whose: &str,
    findings: &mut Findings,
) {
    for used in fields {
        let name = used.field.name;
        match given.get(name) {
            Some(Value::Null) | None if used.is_needed => findings.missing(pointer, whose, name),
            Some(Value::Null) | None => {}
            Some(value) => used
                .field
                .kind
                .check(value, &format!("{pointer}/{name}"), findings),
        }
    }
    let names = || fields.iter().map(|used| used.field.name);
    for name in given.keys() {
        if !names().any(|known| known == name) {
            findings.unknown_field(pointer, whose, name, names());
        }
    }
}

impl Kind {
    /// Checks a value that stands in such a field.
    fn check(&self, value: &Value, pointer: &str, findings: &mut Findings) {
        let is_right = match self {
            Self::Bed | Self::Plan => value.is_object() || value.is_string(),
            Self::Text { .. } | Self::Word(_) | Self::Day => value.is_string(),
            Self::Whole { .. } | Self::Number { .. } => value.is_number(),
            Self::Flag => value.is_boolean(),
            Self::Beds { .. } | Self::Wholes { .. } | Self::Objects { .. } | Self::Parts => {
                value.is_array()
            }
            Self::Spot => value.as_array().is_some_and(|list| list.len() == 2),
        };
        if !is_right {
            findings.wrong(FaultCode::WrongKind, pointer, value, &self.in_words());
            return;
        }
        let list = value.as_array().map_or(&[][..], Vec::as_slice);
        let text = value.as_str().unwrap_or_default();
        match self {
            Self::Text { most_bytes } if text.len() > *most_bytes => {
                let found = format!("{} kB", text.len().div_ceil(1024));
                let found = Value::String(found);
                findings.wrong(FaultCode::TooLong, pointer, &found, &self.in_words());
            }
            Self::Bed | Self::Plan | Self::Flag | Self::Text { .. } | Self::Parts => {}
            Self::Word(words) if words.contains(&text) => {}
            Self::Word(_) => {
                findings.wrong(FaultCode::UnknownWord, pointer, value, &self.in_words());
            }
            Self::Day if is_day(text) => {}
            Self::Day => findings.wrong(FaultCode::NotADate, pointer, value, &self.in_words()),
            Self::Whole { least, most } => {
                let is_within = whole(value).is_some_and(|n| (*least..=*most).contains(&n));
                findings.unless(is_within, pointer, value, &self.in_words());
            }
            Self::Number { least, most } => {
                let is_within = value
                    .as_f64()
                    .is_some_and(|x| (*least..=*most).contains(&x));
                findings.unless(is_within, pointer, value, &self.in_words());
            }
            Self::Spot => {
                for (at, most) in [90.0, 180.0].into_iter().enumerate() {
                    let degrees = list.get(at).and_then(Value::as_f64);
                    let is_within = degrees.is_some_and(|x| (-most..=most).contains(&x));
                    findings.unless(is_within, &format!("{pointer}/{at}"), &list[at], DEGREES);
                }
            }
            Self::Beds { most } => {
                if self.has_length(list, *most, pointer, findings) {
                    for (at, bed) in list.iter().enumerate() {
                        Self::Bed.check(bed, &format!("{pointer}/{at}"), findings);
                    }
                }
            }
            Self::Wholes {
                least,
                most,
                length,
            } => {
                if self.has_length(list, *length, pointer, findings) {
                    let (least, most) = (*least, *most);
                    for (at, number) in list.iter().enumerate() {
                        let each = Self::Whole { least, most };
                        each.check(number, &format!("{pointer}/{at}"), findings);
                    }
                }
            }
            Self::Objects { fields, length } => {
                if !self.has_length(list, *length, pointer, findings) {
                    return;
                }
                for (at, each) in list.iter().enumerate() {
                    let pointer = format!("{pointer}/{at}");
                    match each {
                        Value::Object(given) => {
                            check_object(given, fields, &pointer, "this entry", findings);
                        }
                        other => findings.wrong(FaultCode::WrongKind, &pointer, other, "an object"),
                    }
                }
            }
        }
    }

    /// Whether a list holds something and no more than that; if not, it is found.
    fn has_length(
        &self,
        list: &[Value],
        most: usize,
        pointer: &str,
        findings: &mut Findings,
    ) -> bool {
        let code = match list.len() {
            0 => FaultCode::TooFew,
            count if count > most => FaultCode::TooMany,
            _ => return true,
        };
        findings.wrong(code, pointer, &json!(list.len()), &self.in_words());
        false
    }

    /// What must stand there, as a short phrase.
    fn in_words(&self) -> String {
        match self {
            Self::Bed => "a bed: an object, or the text of its file".to_owned(),
            Self::Plan => "a plan: an object, or the text of its file".to_owned(),
            Self::Beds { most } => format!("a list of 1 to {most} beds"),
            Self::Text { most_bytes } => format!("a text of {} kB at most", most_bytes / 1024),
            Self::Whole { least, most } => format!("a whole number from {least} to {most}"),
            Self::Number { least, most } => format!("a number from {least} to {most}"),
            Self::Flag => "true or false".to_owned(),
            Self::Day => "a day of the calendar, as in \"2026-03-14\"".to_owned(),
            Self::Word(words) => format!("one of {}", words.join(", ")),
            Self::Wholes {
                least,
                most,
                length,
            } => {
                format!("a list of 1 to {length} whole numbers from {least} to {most}")
            }
            Self::Objects { length, .. } => format!("a list of 1 to {length} objects"),
            Self::Spot => "two numbers: degrees north and degrees east".to_owned(),
            Self::Parts => "a list of parts, as \"realisations\" answers".to_owned(),
        }
    }

    /// As JSON Schema.
    #[cfg(feature = "schema")]
    fn schema(&self, generator: &mut SchemaGenerator) -> Value {
        let text = json!({"type": "string"});
        match self {
            Self::Bed => json!({"anyOf": [generator.subschema_for::<BedDocument>(), text]}),
            Self::Plan => json!({"anyOf": [{"type": "object"}, text]}),
            Self::Beds { most } => json!({
                "type": "array", "minItems": 1, "maxItems": most,
                "items": Self::Bed.schema(generator),
            }),
            Self::Text { .. } => text,
            Self::Whole { least, most } => {
                json!({"type": "integer", "minimum": least, "maximum": most})
            }
            Self::Number { least, most } => {
                json!({"type": "number", "minimum": least, "maximum": most})
            }
            Self::Flag => json!({"type": "boolean"}),
            Self::Day => json!({"type": "string", "format": "date"}),
            Self::Word(words) => json!({"enum": words}),
            Self::Wholes {
                least,
                most,
                length,
            } => json!({
                "type": "array", "minItems": 1, "maxItems": length,
                "items": {"type": "integer", "minimum": least, "maximum": most},
            }),
            Self::Objects { fields, length } => json!({
                "type": "array", "minItems": 1, "maxItems": length,
                "items": schema_of_object(fields, generator),
            }),
            Self::Spot => json!({
                "type": "array", "minItems": 2, "maxItems": 2, "items": {"type": "number"},
            }),
            Self::Parts => json!({"type": "array", "items": {"type": "object"}}),
        }
    }
}

/// A whole number, which JSON may write with a point, as in 12.0.
pub(crate) fn whole(value: &Value) -> Option<u64> {
    /// Up to this every whole number has a double of its own.
    const EXACT: f64 = 9_007_199_254_740_992.0;
    let as_double = || {
        let number = value.as_f64()?;
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "it lies between 0 and 2^53"
        )]
        let whole = number as u64;
        let is_whole = (0.0..=EXACT).contains(&number) && number % 1.0 == 0.0;
        is_whole.then_some(whole)
    };
    value.as_u64().or_else(as_double)
}

/// What degrees are.
const DEGREES: &str = "degrees: north from -90 to 90, east from -180 to 180";

/// Whether a text is a day as documents write it.
fn is_day(text: &str) -> bool {
    let is_plain = text.len() == "2026-03-14".len();
    is_plain && text.parse::<Date>().is_ok()
}

/// Objects of these fields as JSON Schema.
#[cfg(feature = "schema")]
pub(crate) fn schema_of_object(fields: &[Use], generator: &mut SchemaGenerator) -> Value {
    let mut properties = serde_json::Map::new();
    for used in fields {
        let mut schema = used.field.kind.schema(generator);
        schema["description"] = json!(used.field.about);
        properties.insert(used.field.name.to_owned(), schema);
    }
    let needed = fields.iter().filter(|used| used.is_needed);
    let needed: Vec<&str> = needed.map(|used| used.field.name).collect();
    json!({
        "type": "object", "additionalProperties": false,
        "required": needed, "properties": properties,
    })
}

/// Declares fields.
macro_rules! fields {
    ($($ident:ident = $name:literal, $kind:expr, $about:literal;)+) => {
        $(
            #[doc = $about]
            pub(crate) static $ident: Field = Field { name: $name, about: $about, kind: $kind };
        )+
    };
}

/// Most beds of one question.
const BEDS: usize = 1000;
/// Greatest sum of money.
const MONEY: Kind = Kind::Number {
    least: 0.0,
    most: 1e9,
};
/// A height above zero; m.
const HEIGHT: Kind = Kind::Number {
    least: 1e-3,
    most: 5.0,
};
const MONTHS_ANY: Kind = Kind::Whole {
    least: 0,
    most: MONTHS_LIMIT as u64,
};
const MONTHS_SOME: Kind = Kind::Whole {
    least: 1,
    most: MONTHS_LIMIT as u64,
};
const DRAWS_ANY: Kind = Kind::Whole {
    least: 0,
    most: SAMPLES_LIMIT as u64,
};
/// Length of a name; bytes.
const NAME: Kind = Kind::Text { most_bytes: 1024 };

fields! {
    BED = "bed", Kind::Bed, "The bed: its document as an object, or the text of its file, TOML or JSON. Names may have underscores for hyphens.";
    BEDS_GIVEN = "beds", Kind::Beds { most: BEDS }, "The beds, one document each.";
    DESIGNS = "beds", Kind::Beds { most: 20 }, "The designs, one document each.";
    PLAN = "plan", Kind::Plan, "The plan: its document as an object, or the text of its file, TOML or JSON.";
    MATERIALS = "materials", Kind::Text { most_bytes: SHELF_BYTES }, "Materials of your own: a text in TOML, which goes before the built-in ones.";
    WEATHER = "weather", Kind::Text { most_bytes: WEATHER_BYTES }, "Days that were measured: a text in CSV.";
    UNITS = "units", Kind::Word(&["metric", "us", "uk-garden"]), "The units of sentences and drawings, whatever the document says; figures are SI.";
    AS_FILLED = "as_filled", Kind::Flag, "Leaves tape readings out.";
    MONTHS = "months", MONTHS_ANY, "Months from the day of filling.";
    MONTHS_ON = "months", MONTHS_SOME, "Months from today.";
    DRAWS = "draws", DRAWS_ANY, "Realisations behind the intervals; 0 for the nominal run alone.";
    DRAWS_SOME = "draws", Kind::Whole { least: 2, most: SAMPLES_LIMIT as u64 }, "Realisations behind the intervals.";
    ROWS = "draws", Kind::Whole { least: 8, most: 10_000 }, "Rows of the sensitivity analysis: a run for each group of parameters and one more.";
    SEED = "seed", Kind::Whole { least: 0, most: u64::MAX }, "Seed of the realisations: the same seed, the same answer.";
    DEEPER_THAN = "deeper_than_m", HEIGHT, "A depth below the rim whose chance is told; m.";
    DEFAULTS = "defaults", Kind::Flag, "Adds to each default how far it widens the interval of the settlement.";
    AT = "at", MONTHS_SOME, "Months after filling.";
    TODAY = "today", Kind::Day, "The day to take for today.";
    YEARS = "years", Kind::Whole { least: 1, most: 20 }, "Years to look ahead.";
    WITH = "with", NAME, "The material to top up with; loamy topsoil where it is left out.";
    WAYS = "ways", Kind::Objects { fields: WAY, length: 4 }, "How it is sold, each order in the cheapest of these; bags of 40 L where it is left out.";
    IN_MONTHS = "in_months", Kind::Wholes { least: 1, most: 12, length: 12 }, "Top up in these months of each year.";
    BELOW = "below_m", HEIGHT, "Top up as soon as the surface lies this far below the rim; m.";
    SOIL = "soil_m", HEIGHT, "Top up as soon as the growing soil is thinner than this; m.";
    AT_MOST = "at_most_m", HEIGHT, "No more than this at once; m.";
    BUDGET = "yearly_budget", MONEY, "No more than this in a calendar year.";
    EACH = "each", Kind::Flag, "Each bed buys for itself.";
    DELIVER_ON = "deliver_on", Kind::Objects { fields: DAY_OF_YEAR, length: 12 }, "The days of the year on which it is delivered, and no others.";
    OVERFILL = "overfill_months", Kind::Whole { least: 1, most: 60 }, "Adds how high to heap the bed at the start, to be level after so many months.";
    FEED = "feed_nitrogen", Kind::Number { least: 0.001, most: 1.0 }, "Nitrogen in the feed that doses are told in; share of its weight.";
    CHART = "kind", Kind::Word(&["height", "layers", "carbon", "causes", "warmth", "water", "nitrogen", "weight", "section", "topups", "unknowns", "fit", "comparison"]), "What to draw.";
    WIDTH = "width", Kind::Whole { least: 320, most: 4000 }, "Width of the drawing; px.";
    PICTURES = "at", Kind::Wholes { least: 0, most: MONTHS_LIMIT as u64, length: 12 }, "Months that the section draws.";
    PAPER = "paper", Kind::Word(&["a4", "letter", "a5"]), "The paper that the page is printed on.";
    ONE_SHEET = "one_sheet", Kind::Flag, "The first sheet alone.";
    FULL = "full", Kind::Flag, "Every chart, column and source.";
    NAME_OF = "name", NAME, "The name of one; all where it is left out.";
    NEAR = "near", Kind::Spot, "A place, by degrees north and east.";
    HEIGHT_ABOVE_SEA = "height_m", Kind::Number { least: -500.0, most: 9000.0 }, "Its height above the sea; m.";
    BEGINS = "begins", NAME, "How the name begins, as far as it was typed.";
    MOST_TOWNS = "at_most", Kind::Whole { least: 1, most: 100 }, "How many at most; 8 where it is left out.";
    FROM = "from", DRAWS_ANY, "The first realisation.";
    TO = "to", DRAWS_ANY, "The realisation before which it ends.";
    PARTS = "parts", Kind::Parts, "Parts of the ensemble, in order and without a gap from realisation 0 on.";
    WAY_NAME = "name", NAME, "What one is called; \"bag\", or \"load\" from half a cubic metre on, where it is left out.";
    WAY_VOLUME = "volume_m3", Kind::Number { least: 1e-3, most: 100.0 }, "Its loose volume; m3.";
    WAY_PRICE = "price", MONEY, "Its price, in the owner's money.";
    WAY_DELIVERY = "delivery", MONEY, "Cost of each delivery.";
    WAY_LEAD = "lead_days", Kind::Whole { least: 0, most: 730 }, "Days from order to delivery.";
    WAY_LEAST = "least", Kind::Whole { least: 1, most: 1_000_000 }, "Fewest that are sold at once.";
    WAY_MOST = "most", Kind::Whole { least: 1, most: 1_000_000 }, "Most that one delivery brings.";
    MONTH_OF_YEAR = "month", Kind::Whole { least: 1, most: 12 }, "The month.";
    DAY_OF_MONTH = "day", Kind::Whole { least: 1, most: 31 }, "The day; the last of a shorter month.";
}

/// A way to buy.
pub(crate) static WAY: &[Use] = &[
    may(&WAY_NAME),
    must(&WAY_VOLUME),
    may(&WAY_PRICE),
    may(&WAY_DELIVERY),
    may(&WAY_LEAD),
    may(&WAY_LEAST),
    may(&WAY_MOST),
];

/// A day of each year.
pub(crate) static DAY_OF_YEAR: &[Use] = &[must(&MONTH_OF_YEAR), must(&DAY_OF_MONTH)];

/// A document's size, at most; bytes.
pub(crate) const DOCUMENT_BYTES: usize = FILE_BYTES;
