//! Quantities as gardeners write them: "25 cm", "2 ft 6 in", "1/2 cu yd", "3 barrow", "12 kg dry".
//!
//! ```text
//! quantity = part { blanks part } [ blanks "dry" ]
//! part     = number [ blanks ] unit
//! number   = whole blanks whole "/" whole | whole "/" whole | digits [ "." digits ] [ exponent ]
//! unit     = words, none of which begins with a digit
//! ```
//!
//! Several parts must be of one dimension, each smaller than the one before.

use std::fmt;

use winnow::Parser;
use winnow::ascii::{digit1, multispace0, multispace1};
use winnow::combinator::{
    alt, delimited, not, opt, peek, preceded, repeat, separated_pair, terminated,
};
use winnow::error::EmptyError;
use winnow::token::{one_of, take_till, take_while};

use crate::fault::FaultCode;
use crate::quantity::measures::{Measures, one_spaced};
use crate::quantity::unit::{self, Dimension, UNITS};
use crate::text::limit;
use crate::text::phrase::is_mark;
use crate::text::suggestion::suggestions;

/// A quantity in the base unit of its dimension.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    /// What it measures.
    pub dimension: Dimension,
    /// Its value: m, m3, kg, a share from 0 to 1, or degrees.
    pub value: f64,
    /// Whether it ended in "dry": an oven-dry mass.
    pub dry: bool,
    /// The measure it was given in, if not a unit.
    pub measure: Option<String>,
}

/// Why a text is not a quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Refusal {
    /// The kind of fault.
    pub code: FaultCode,
    /// The part that cannot be read.
    pub found: String,
    /// What is expected there.
    pub expected: String,
    /// What may be written instead.
    pub help: Vec<String>,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "\"{}\" is not what is expected: {}",
            self.found, self.expected
        )?;
        if self.help.is_empty() {
            return Ok(());
        }
        write!(f, "; what would do: {}", self.help.join(", "))
    }
}

impl std::error::Error for Refusal {}

/// Parses a quantity of one of the `wanted` dimensions.
///
/// # Errors
///
/// A [`Refusal`] with what cannot be read and what may be written instead.
pub fn parse(text: &str, wanted: &[Dimension], measures: &Measures) -> Result<Quantity, Refusal> {
    let reading = Reading {
        text,
        wanted,
        measures,
    };
    reading.quantity()
}

/// A number as written.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Number<'t> {
    /// Digits with dots and commas anywhere, checked later.
    Plain(&'t str),
    /// Groups of three digits with spaces between.
    Grouped(&'t str),
    /// Whole part if any, numerator and denominator.
    Fraction(Option<&'t str>, &'t str, &'t str),
}

type Part<'t> = (Number<'t>, &'t str);
type Parsed<T> = Result<T, EmptyError>;

fn fraction<'t>(input: &mut &'t str) -> Parsed<(&'t str, &'t str)> {
    separated_pair(digit1, '/', digit1).parse_next(input)
}

fn grouped<'t>(input: &mut &'t str) -> Parsed<&'t str> {
    let three = (
        one_of([' ', '\u{a0}', '\u{202f}', '_', '\'']),
        take_while(3..=3, '0'..='9'),
        peek(not(one_of(('0'..='9', '/')))),
    );
    let groups = repeat::<_, _, (), _, _>(1.., three);
    terminated(
        (take_while(1..=3, '0'..='9'), groups).take(),
        peek(not(one_of(['"', '\'']))),
    )
    .parse_next(input)
}

/// Digits with dots and commas, and an exponent as programs write one ("1e-7").
fn plain<'t>(input: &mut &'t str) -> Parsed<&'t str> {
    let exponent = (one_of(['e', 'E']), opt(one_of(['+', '-'])), digit1);
    (
        take_while(1.., |c: char| c.is_ascii_digit() || c == '.' || c == ','),
        opt(exponent),
    )
        .take()
        .parse_next(input)
}

fn number<'t>(input: &mut &'t str) -> Parsed<Number<'t>> {
    alt((
        separated_pair(digit1, multispace1, fraction)
            .map(|(whole, (upper, lower))| Number::Fraction(Some(whole), upper, lower)),
        fraction.map(|(upper, lower)| Number::Fraction(None, upper, lower)),
        grouped.map(Number::Grouped),
        plain.map(Number::Plain),
    ))
    .parse_next(input)
}

/// Characters other than letters that a unit may begin with.
const UNIT_SIGNS: &str = "%°\"'″”′’";

/// Words up to the next number or the end.
fn unit_words<'t>(input: &mut &'t str) -> Parsed<&'t str> {
    let word = (
        one_of(|c: char| c.is_alphabetic() || UNIT_SIGNS.contains(c)),
        take_till(0.., char::is_whitespace),
    );
    repeat::<_, _, (), _, _>(1.., preceded(multispace0, word))
        .take()
        .parse_next(input)
}

fn parts<'t>(input: &mut &'t str) -> Parsed<Vec<Part<'t>>> {
    let unit = alt((unit_words, "".value("")));
    repeat(1.., delimited(multispace0, (number, unit), multispace0)).parse_next(input)
}

/// A text with what it is parsed for.
struct Reading<'a> {
    text: &'a str,
    wanted: &'a [Dimension],
    measures: &'a Measures,
}

impl Reading<'_> {
    fn quantity(&self) -> Result<Quantity, Refusal> {
        let text = self.text;
        if text.chars().count() > limit::QUANTITY_CHARACTERS {
            return Err(Refusal {
                code: FaultCode::TooLong,
                found: format!("{} characters", text.chars().count()),
                expected: format!("at most {} characters", limit::QUANTITY_CHARACTERS),
                help: Vec::new(),
            });
        }
        let trimmed = text.trim();
        if let Some(rest) = trimmed.strip_prefix(['-', '−', '–'])
            && rest.trim_start().starts_with(|c: char| c.is_ascii_digit())
        {
            return Err(self.refusal(FaultCode::OutOfRange, trimmed, "zero or more", Vec::new()));
        }
        let Ok(mut parts) = parts.parse(trimmed) else {
            return Err(self.unreadable());
        };
        let dry = take_dry(&mut parts);
        let mut sum: Option<Quantity> = None;
        let mut last_unit = f64::INFINITY;
        let several = parts.len() > 1;
        for (number, phrase) in parts {
            let value = self.number(number)?;
            let one = self.unit(number, phrase)?;
            let size = one.convert(value);
            match &mut sum {
                None => {
                    sum = Some(Quantity {
                        dimension: one.dimension(),
                        value: size,
                        dry,
                        measure: one.measure(),
                    });
                }
                Some(sum) => {
                    let smaller = one.convert(1.0) < last_unit;
                    if sum.dimension != one.dimension() || !smaller || one.measure().is_some() {
                        return Err(self.unreadable());
                    }
                    sum.value += size;
                }
            }
            last_unit = one.convert(1.0);
        }
        let Some(quantity) = sum else {
            return Err(self.unreadable());
        };
        if several && quantity.measure.is_some() {
            return Err(self.unreadable());
        }
        if !self.wanted.contains(&quantity.dimension) {
            let expected = self.wanted_in_words();
            return Err(self.refusal(FaultCode::WrongMeasure, trimmed, &expected, Vec::new()));
        }
        if dry && quantity.dimension != Dimension::Mass {
            return Err(Refusal {
                code: FaultCode::DoesNotFit,
                found: format!("\"{trimmed}\" is not a weight"),
                expected: "\"dry\" goes with a weight only, as in \"12 kg dry\"".into(),
                help: Vec::new(),
            });
        }
        Ok(quantity)
    }

    /// The value of a number, or why there is none.
    fn number(&self, number: Number<'_>) -> Result<f64, Refusal> {
        match number {
            Number::Fraction(whole, upper, lower) => {
                let (upper, lower) = (digits(upper), digits(lower));
                let (Some(upper), Some(lower)) = (upper, lower) else {
                    return Err(self.unreadable());
                };
                let whole_part = match whole {
                    // "2 3/2" is more likely a typing error than three and a half.
                    Some(_) if upper >= lower => return Err(self.unreadable()),
                    Some(whole) => digits(whole).ok_or_else(|| self.unreadable())?,
                    None => 0.0,
                };
                if lower > 0.0 {
                    Ok(whole_part + upper / lower)
                } else {
                    Err(self.unreadable())
                }
            }
            Number::Grouped(raw) => {
                let joined: String = raw.chars().filter(char::is_ascii_digit).collect();
                Err(self.punctuation(FaultCode::ThousandsSeparator, raw, &[joined]))
            }
            Number::Plain(raw) => {
                if raw.contains(',') {
                    return Err(self.comma(raw));
                }
                // Every finite number as a program writes it, however many digits it has.
                let (mantissa, _) = raw.split_once(['e', 'E']).unwrap_or((raw, ""));
                let mut halves = mantissa.split('.');
                let is_empty = halves.any(str::is_empty);
                if is_empty || mantissa.matches('.').count() > 1 {
                    return Err(self.unreadable());
                }
                let value: f64 = raw.parse().map_err(|_| self.unreadable())?;
                if value.is_finite() {
                    Ok(value)
                } else {
                    Err(self.unreadable())
                }
            }
        }
    }

    /// A number with commas: thousands ("1,250") or a decimal comma ("2,5").
    fn comma(&self, raw: &str) -> Refusal {
        let joined = raw.replace(',', "");
        if raw.rfind('.') > raw.rfind(',') {
            return self.punctuation(FaultCode::ThousandsSeparator, raw, &[joined]);
        }
        let (before, after) = raw.rsplit_once(',').unwrap_or((raw, ""));
        let before: String = before.chars().filter(char::is_ascii_digit).collect();
        let pointed = format!("{before}.{after}");
        let threes = raw.split(',').skip(1).all(|group| group.len() == 3);
        if threes && !raw.contains('.') && !raw.starts_with("0,") {
            // "1,250" may mean either, so both are shown.
            let single = raw.matches(',').count() == 1;
            let both = if single {
                vec![joined, pointed]
            } else {
                vec![joined]
            };
            return self.punctuation(FaultCode::ThousandsSeparator, raw, &both);
        }
        self.punctuation(FaultCode::DecimalComma, raw, &[pointed])
    }

    /// A refusal that suggests the whole text with the number corrected.
    fn punctuation(&self, code: FaultCode, raw: &str, numbers: &[String]) -> Refusal {
        let help = numbers
            .iter()
            .filter(|number| number.parse::<f64>().is_ok())
            .map(|number| self.text.trim().replacen(raw, number, 1))
            .collect();
        self.refusal(code, self.text.trim(), "digits with a point", help)
    }

    /// The unit of that phrase, or why there is none.
    fn unit(&self, number: Number<'_>, phrase: &str) -> Result<UnitSize<'_>, Refusal> {
        let spelt = one_spaced(phrase);
        let written = written(number);
        let with = |units: &[&str]| -> Vec<String> {
            units
                .iter()
                .map(|unit| format!("{written} {unit}"))
                .collect()
        };
        if spelt.is_empty() {
            let units: Vec<&str> = self.wanted.iter().map(|kind| kind.usual_unit()).collect();
            let expected = self.wanted_in_words();
            return Err(self.refusal(
                FaultCode::MissingUnit,
                self.text.trim(),
                &expected,
                with(&units),
            ));
        }
        if let Some((name, held)) = self.measures.find(&spelt) {
            return Ok(UnitSize::Measure(name, held));
        }
        if let Some(unit) = unit::unit(&spelt) {
            return Ok(UnitSize::Unit(unit));
        }
        if let Some(clear) = unit::meanings(&spelt) {
            let expected = "a unit with one meaning";
            if is_mark(&spelt) {
                let help = vec![self.marks_spelt()];
                return Err(self.refusal(FaultCode::AmbiguousUnit, phrase.trim(), expected, help));
            }
            return Err(self.refusal(
                FaultCode::AmbiguousUnit,
                phrase.trim(),
                expected,
                with(clear),
            ));
        }
        let units = UNITS
            .iter()
            .filter(|unit| self.wanted.contains(&unit.dimension))
            .map(|unit| unit.name);
        let spellings = units.chain(self.measures.names());
        let mut similar = suggestions(&spelt, spellings);
        // "8 cm thick", "30 L of leaves": a unit followed by a remark.
        if let Some((first, _)) = spelt.split_once(' ')
            && let Some(unit) = unit::unit(first)
            && self.wanted.contains(&unit.dimension)
        {
            similar = vec![unit.name.to_owned()];
        }
        let help = with(&similar.iter().map(String::as_str).collect::<Vec<_>>());
        let expected = self.wanted_in_words();
        Err(self.refusal(FaultCode::UnknownUnit, phrase.trim(), &expected, help))
    }

    /// The whole text with "ft" and "in" for the marks.
    fn marks_spelt(&self) -> String {
        let mut spelt = String::new();
        // Two single marks stand for inches.
        for c in self.text.replace("''", "\"").chars() {
            match unit::meanings(&c.to_string()) {
                Some([clear]) => {
                    spelt.push(' ');
                    spelt.push_str(clear);
                    spelt.push(' ');
                }
                _ => spelt.push(c),
            }
        }
        let words: Vec<&str> = spelt.split_whitespace().collect();
        words.join(" ")
    }

    fn wanted_in_words(&self) -> String {
        let words: Vec<&str> = self.wanted.iter().map(|kind| kind.in_words()).collect();
        match words.as_slice() {
            [] => String::new(),
            [one] => (*one).to_owned(),
            [first @ .., last] => format!("{} or {last}", first.join(", ")),
        }
    }

    fn unreadable(&self) -> Refusal {
        const VULGAR: [(char, &str); 5] = [
            ('½', "1/2"),
            ('¼', "1/4"),
            ('¾', "3/4"),
            ('⅓', "1/3"),
            ('⅔', "2/3"),
        ];
        let text = self.text.trim();
        let mut help = Vec::new();
        for (c, fraction) in VULGAR {
            if let Some((before, after)) = text.split_once(c) {
                let plain = format!("{} {fraction}{after}", before.trim_end());
                help.push(plain.trim().to_owned());
            }
        }
        let expected = self.wanted_in_words();
        self.refusal(FaultCode::BadQuantity, text, &expected, help)
    }

    #[expect(clippy::unused_self, reason = "reads as the other refusals do")]
    fn refusal(&self, code: FaultCode, found: &str, expected: &str, help: Vec<String>) -> Refusal {
        Refusal {
            code,
            found: found.to_owned(),
            expected: expected.to_owned(),
            help,
        }
    }
}

/// Size of one unit.
enum UnitSize<'a> {
    Unit(&'static unit::Unit),
    Measure(&'a str, f64),
}

impl UnitSize<'_> {
    fn convert(&self, value: f64) -> f64 {
        match self {
            Self::Unit(unit) => unit.convert(value),
            Self::Measure(_, held) => value * held,
        }
    }

    fn dimension(&self) -> Dimension {
        match self {
            Self::Unit(unit) => unit.dimension,
            Self::Measure(..) => Dimension::Volume,
        }
    }

    fn measure(&self) -> Option<String> {
        match self {
            Self::Unit(_) => None,
            Self::Measure(name, _) => Some((*name).to_owned()),
        }
    }
}

/// Removes a closing "dry" from the last unit.
fn take_dry(parts: &mut [Part<'_>]) -> bool {
    let Some((_, phrase)) = parts.last_mut() else {
        return false;
    };
    let trimmed = phrase.trim_end();
    let Some((unit, last)) = trimmed.rsplit_once(char::is_whitespace) else {
        return false;
    };
    if last.eq_ignore_ascii_case("dry") {
        *phrase = unit;
        true
    } else {
        false
    }
}

/// At most fifteen digits, so that every whole number is exact.
fn digits(raw: &str) -> Option<f64> {
    let fits = (1..=15).contains(&raw.len()) && raw.bytes().all(|byte| byte.is_ascii_digit());
    if fits { raw.parse().ok() } else { None }
}

fn written(number: Number<'_>) -> String {
    match number {
        Number::Plain(raw) | Number::Grouped(raw) => raw.to_owned(),
        Number::Fraction(None, upper, lower) => format!("{upper}/{lower}"),
        Number::Fraction(Some(whole), upper, lower) => format!("{whole} {upper}/{lower}"),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const ALL: &[Dimension] = &[
        Dimension::Length,
        Dimension::Volume,
        Dimension::Mass,
        Dimension::Share,
        Dimension::Angle,
    ];

    fn measures() -> Measures {
        let mut measures = Measures::default();
        measures.add("bucket", 0.014).unwrap();
        measures.add("Trailer Load", 1.2).unwrap();
        measures
    }

    fn read(text: &str) -> Result<Quantity, Refusal> {
        parse(text, ALL, &measures())
    }

    #[test]
    fn quantities_are_read() {
        use Dimension::{Angle, Length, Mass, Share, Volume};
        let table = [
            ("25 cm", Length, 0.25),
            ("35cm", Length, 0.35),
            ("  2.5   m ", Length, 2.5),
            ("10 in", Length, 0.254),
            ("2.5e1 cm", Length, 0.25),
            ("2 ft 6 in", Length, 0.762),
            ("2 ft 6 1/2 in", Length, 0.7747),
            ("1 yd 1 ft 1 in", Length, 1.2446),
            ("0.5 mm", Length, 0.0005),
            ("1/2 cu yd", Volume, 0.382_277_428_992),
            ("2 1/2 cu ft", Volume, 0.070_792_116_48),
            ("80 L", Volume, 0.08),
            ("80 l", Volume, 0.08),
            ("3 m3", Volume, 3.0),
            ("3 m³", Volume, 3.0),
            ("5 US gal", Volume, 0.018_927_058_92),
            ("5 uk gallons", Volume, 0.022_730_45),
            ("3 barrow", Volume, 0.24),
            ("3 Barrows", Volume, 0.24),
            ("0.2 bulk-bag", Volume, 0.146),
            ("2 bulk bags", Volume, 1.46),
            ("2 trailer-loads", Volume, 2.4),
            ("2 buckets", Volume, 0.028),
            ("1/2 trailer load", Volume, 0.6),
            ("2 trailer loads", Volume, 2.4),
            ("40 kg", Mass, 40.0),
            ("2 lb 8 oz", Mass, 1.133_980_925),
            ("1.5 t", Mass, 1500.0),
            ("1 US ton", Mass, 907.184_74),
            ("30 %", Share, 0.3),
            ("30%", Share, 0.3),
            ("40 deg", Angle, 40.0),
            ("40°", Angle, 40.0),
        ];
        for (text, dimension, value) in table {
            let quantity = read(text).unwrap_or_else(|refusal| panic!("{text}: {refusal:?}"));
            assert_eq!(quantity.dimension, dimension, "{text}");
            let apart = (quantity.value - value).abs();
            assert!(apart <= 1e-15 * value, "{text}: {}", quantity.value);
            assert!(!quantity.dry, "{text}");
        }
    }

    #[test]
    fn dry_goes_with_a_weight() {
        let dry = read("12 kg dry").unwrap();
        assert!(dry.dry);
        assert_eq!(dry.dimension, Dimension::Mass);
        assert_eq!(read("12 L dry").unwrap_err().code, FaultCode::DoesNotFit);
    }

    #[test]
    fn the_measure_is_remembered() {
        assert_eq!(
            read("3 barrows").unwrap().measure.as_deref(),
            Some("barrow")
        );
        assert_eq!(read("3 L").unwrap().measure, None);
        assert_eq!(measures().usual("barrow"), Some(0.08));
        let mut own = measures();
        own.add("barrow", 0.1).unwrap();
        assert_eq!(own.usual("barrow"), None);
        let three = parse("3 barrow", ALL, &own).unwrap();
        assert!((three.value - 0.3).abs() < 1e-15);
    }

    #[test]
    fn refusals_suggest_a_correction() {
        use FaultCode::{
            AmbiguousUnit, BadQuantity, DecimalComma, MissingUnit, OutOfRange, ThousandsSeparator,
            TooLong, UnknownUnit,
        };
        let long = "9".repeat(61);
        let table: &[(&str, FaultCode, &str)] = &[
            ("25", MissingUnit, "25 cm"),
            ("2,5 cm", DecimalComma, "2.5 cm"),
            ("0,125 m3", DecimalComma, "0.125 m3"),
            ("1.250,5 L", DecimalComma, "1250.5 L"),
            ("1,250 L", ThousandsSeparator, "1250 L"),
            ("1,250.5 L", ThousandsSeparator, "1250.5 L"),
            ("1 250 L", ThousandsSeparator, "1250 L"),
            ("1'250 L", ThousandsSeparator, "1250 L"),
            ("1_250 L", ThousandsSeparator, "1250 L"),
            ("5 gal", AmbiguousUnit, "5 US gal"),
            ("2 tons", AmbiguousUnit, "2 t"),
            ("10\"", AmbiguousUnit, "10 in"),
            ("2'", AmbiguousUnit, "2 ft"),
            ("8cm thick", UnknownUnit, "8 cm"),
            ("6' 6\"", AmbiguousUnit, "6 ft 6 in"),
            ("6''", AmbiguousUnit, "6 in"),
            ("2′ 6 1/2″", AmbiguousUnit, "2 ft 6 1/2 in"),
            ("25 cmn", UnknownUnit, "25 cm"),
            ("3 barow", UnknownUnit, "3 barrow"),
            ("3 wheelbarrows", UnknownUnit, "3 barrow"),
            ("½ cu yd", BadQuantity, "1/2 cu yd"),
            ("2½ ft", BadQuantity, "2 1/2 ft"),
            ("-3 cm", OutOfRange, ""),
            ("− 3 cm", OutOfRange, ""),
            ("25 wibble", UnknownUnit, ""),
            ("", BadQuantity, ""),
            ("cm", BadQuantity, ""),
            ("NaN cm", BadQuantity, ""),
            ("inf cm", BadQuantity, ""),
            ("1/0 cm", BadQuantity, ""),
            ("2 3/2 cm", BadQuantity, ""),
            (".5 cm", BadQuantity, ""),
            ("5. cm", BadQuantity, ""),
            ("1.2.3 cm", BadQuantity, ""),
            ("1e999 L", BadQuantity, ""),
            ("6 in 2 ft", BadQuantity, ""),
            ("2 ft 6 kg", BadQuantity, ""),
            ("2 ft 6", MissingUnit, "6 cm"),
            ("2 barrow 1 L", BadQuantity, ""),
            ("+3 cm", BadQuantity, ""),
            ("٣ cm", BadQuantity, ""),
            (&long, TooLong, ""),
        ];
        for (text, code, help) in table {
            let refusal = read(text).expect_err(text);
            assert_eq!(refusal.code, *code, "{text}: {refusal:?}");
            if !help.is_empty() {
                assert_eq!(
                    refusal.help.first().map(String::as_str),
                    Some(*help),
                    "{text}"
                );
            }
        }
    }

    #[test]
    fn suggestions_can_be_parsed() {
        for text in [
            "25",
            "2,5 cm",
            "1,250.5 L",
            "1 250 L",
            "5 gal",
            "2'",
            "2½ ft",
        ] {
            for help in read(text).unwrap_err().help {
                assert!(read(&help).is_ok(), "{text}: {help}");
            }
        }
    }

    #[test]
    fn another_dimension_is_refused() {
        let refusal = parse("25 L", &[Dimension::Length], &measures()).unwrap_err();
        assert_eq!(refusal.code, FaultCode::WrongMeasure);
        assert_eq!(refusal.expected, "a length");
    }

    proptest! {
        #[test]
        fn no_text_panics(text in any::<String>()) {
            let _ = read(&text);
        }

        #[test]
        fn no_likely_text_panics(text in "[0-9 .,/'\"a-z½%-]{0,40}") {
            if let Ok(quantity) = read(&text) {
                prop_assert!(quantity.value.is_finite() && quantity.value >= 0.0);
            }
        }

        #[test]
        fn quantities_round_trip(whole in 0u32..100_000, tenths in 0u32..10, unit in 0..UNITS.len()) {
            let unit = &UNITS[unit];
            let quantity = read(&format!("{whole}.{tenths} {}", unit.name)).unwrap();
            let value = unit.convert(f64::from(whole) + f64::from(tenths) / 10.0);
            prop_assert_eq!(quantity.dimension, unit.dimension);
            prop_assert!((quantity.value - value).abs() <= 1e-12 * value.max(1e-9));
        }
    }
}
