//! The units of a bed file and their conversion factors.

use crate::text::phrase::{FOOT_MARKS, INCH_MARKS};

/// Dimension of a quantity, with its base unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dimension {
    /// Metres.
    Length,
    /// Cubic metres.
    Volume,
    /// Kilograms.
    Mass,
    /// A share of a whole, from 0 to 1.
    Share,
    /// Degrees.
    Angle,
}

impl Dimension {
    /// In words, with the article.
    #[must_use]
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Volume => "a volume",
            Self::Mass => "a weight",
            Self::Share => "a percentage",
            Self::Angle => "an angle",
        }
    }

    /// The unit that is suggested when one is missing.
    #[must_use]
    pub(crate) const fn usual_unit(self) -> &'static str {
        match self {
            Self::Length => "cm",
            Self::Volume => "L",
            Self::Mass => "kg",
            Self::Share => "%",
            Self::Angle => "deg",
        }
    }
}

/// A unit that a bed file may use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// The name printed in the list.
    pub name: &'static str,
    /// Other spellings, in lower case.
    pub also: &'static [&'static str],
    /// Its dimension.
    pub dimension: Dimension,
    /// The factor to the base unit is `times / over`, both exact whole numbers, so that "35 cm"
    /// becomes 0.35 and not a neighbour of it.
    times: f64,
    /// See `times`.
    over: f64,
}

impl Unit {
    const fn new(
        name: &'static str,
        also: &'static [&'static str],
        dimension: Dimension,
        times: f64,
        over: f64,
    ) -> Self {
        Self {
            name,
            also,
            dimension,
            times,
            over,
        }
    }

    /// The value in the base unit of the dimension.
    #[must_use]
    pub fn convert(&self, value: f64) -> f64 {
        value * self.times / self.over
    }

    /// Whether it is spelt so; `phrase` in lower case with single spaces.
    fn is_spelt(&self, phrase: &str) -> bool {
        self.name.to_lowercase() == phrase || self.also.contains(&phrase)
    }
}

use Dimension::{Angle, Length, Mass, Share, Volume};

/// All units, in the order in which they are printed.
///
/// Every factor is exact by definition (memory: NIST SP 811, 2008, appendix B; NIST Handbook 44,
/// appendix C; UK Units of Measurement Regulations 1995): inch 25.4 mm, pound 0.45359237 kg, US
/// gallon 231 cubic inches, UK gallon 4.54609 L, and multiples of these.
pub const UNITS: &[Unit] = &[
    Unit::new(
        "mm",
        &["millimetre", "millimetres", "millimeter", "millimeters"],
        Length,
        1.0,
        1e3,
    ),
    Unit::new(
        "cm",
        &["centimetre", "centimetres", "centimeter", "centimeters"],
        Length,
        1.0,
        1e2,
    ),
    Unit::new(
        "m",
        &["metre", "metres", "meter", "meters"],
        Length,
        1.0,
        1.0,
    ),
    Unit::new("in", &["inch", "inches"], Length, 254.0, 1e4),
    Unit::new("ft", &["foot", "feet"], Length, 3048.0, 1e4),
    Unit::new("yd", &["yard", "yards"], Length, 9144.0, 1e4),
    Unit::new(
        "ml",
        &["millilitre", "millilitres", "milliliter", "milliliters"],
        Volume,
        1.0,
        1e6,
    ),
    Unit::new(
        "L",
        &["litre", "litres", "liter", "liters", "ltr", "ltrs"],
        Volume,
        1.0,
        1e3,
    ),
    Unit::new(
        "m3",
        &[
            "m³",
            "cubic metre",
            "cubic metres",
            "cubic meter",
            "cubic meters",
            "cu m",
        ],
        Volume,
        1.0,
        1.0,
    ),
    Unit::new(
        "cu in",
        &["in3", "in³", "cubic inch", "cubic inches"],
        Volume,
        16_387_064.0,
        1e12,
    ),
    Unit::new(
        "cu ft",
        &["ft3", "ft³", "cubic foot", "cubic feet"],
        Volume,
        28_316_846_592.0,
        1e12,
    ),
    Unit::new(
        "cu yd",
        &["yd3", "yd³", "cubic yard", "cubic yards"],
        Volume,
        764_554_857_984.0,
        1e12,
    ),
    Unit::new(
        "US qt",
        &["us quart", "us quarts"],
        Volume,
        946_352_946.0,
        1e12,
    ),
    Unit::new(
        "US gal",
        &["us gallon", "us gallons"],
        Volume,
        3_785_411_784.0,
        1e12,
    ),
    Unit::new(
        "UK qt",
        &["uk quart", "uk quarts"],
        Volume,
        11_365_225.0,
        1e10,
    ),
    Unit::new(
        "UK gal",
        &["uk gallon", "uk gallons"],
        Volume,
        454_609.0,
        1e8,
    ),
    Unit::new("g", &["gram", "grams", "gramme", "grammes"], Mass, 1.0, 1e3),
    Unit::new(
        "kg",
        &["kilo", "kilos", "kilogram", "kilograms"],
        Mass,
        1.0,
        1.0,
    ),
    Unit::new("t", &["tonne", "tonnes"], Mass, 1e3, 1.0),
    Unit::new("oz", &["ounce", "ounces"], Mass, 28_349_523_125.0, 1e12),
    Unit::new("lb", &["lbs", "pound", "pounds"], Mass, 45_359_237.0, 1e8),
    Unit::new(
        "US ton",
        &["us tons", "short ton", "short tons"],
        Mass,
        90_718_474.0,
        1e5,
    ),
    Unit::new(
        "UK ton",
        &["uk tons", "long ton", "long tons"],
        Mass,
        10_160_469_088.0,
        1e7,
    ),
    Unit::new("%", &["percent", "per cent"], Share, 1.0, 1e2),
    Unit::new("deg", &["°", "degree", "degrees"], Angle, 1.0, 1.0),
];

/// Ambiguous spellings, each with the clear units.
const AMBIGUOUS: &[(&[&str], &[&str])] = &[
    (&["gal", "gals", "gallon", "gallons"], &["US gal", "UK gal"]),
    (&["qt", "quart", "quarts"], &["US qt", "UK qt"]),
    (&["ton", "tons"], &["t", "US ton", "UK ton"]),
    (INCH_MARKS, &["in"]),
    (FOOT_MARKS, &["ft"]),
];

/// The unit of that spelling; `phrase` in lower case with single spaces.
#[must_use]
pub fn unit(phrase: &str) -> Option<&'static Unit> {
    UNITS.iter().find(|unit| unit.is_spelt(phrase))
}

/// The clear units for an ambiguous spelling.
pub(crate) fn meanings(phrase: &str) -> Option<&'static [&'static str]> {
    AMBIGUOUS
        .iter()
        .find(|(spellings, _)| spellings.contains(&phrase))
        .map(|(_, clear)| *clear)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn factor(name: &str) -> f64 {
        unit(&name.to_lowercase()).unwrap().convert(1.0)
    }

    #[test]
    fn conversion_factors_are_the_legal_ones() {
        // NIST SP 811 (2008), appendix B, and NIST Handbook 44, appendix C (memory); all exact.
        let table = [
            ("in", 0.0254),
            ("ft", 0.3048),
            ("yd", 0.9144),
            ("cu in", 1.638_706_4e-5),
            ("cu ft", 0.028_316_846_592),
            ("cu yd", 0.764_554_857_984),
            ("US qt", 0.946_352_946e-3),
            ("US gal", 3.785_411_784e-3),
            ("UK qt", 1.136_522_5e-3),
            ("UK gal", 4.546_09e-3),
            ("oz", 0.028_349_523_125),
            ("lb", 0.453_592_37),
            ("US ton", 907.184_74),
            ("UK ton", 1_016.046_908_8),
            ("t", 1000.0),
            ("ml", 1e-6),
        ];
        for (name, si) in table {
            assert_eq!(factor(name).to_bits(), f64::to_bits(si), "{name}");
        }
    }

    #[test]
    fn units_agree_with_each_other() {
        let agree = |many: f64, small: &str, large: &str| {
            let whole = factor(large);
            assert!(
                (unit(small).unwrap().convert(many) - whole).abs() < 1e-15 * whole,
                "{small} {large}"
            );
        };
        agree(12.0, "in", "ft");
        agree(3.0, "ft", "yd");
        agree(1728.0, "cu in", "cu ft");
        agree(27.0, "cu ft", "cu yd");
        agree(231.0, "cu in", "us gal");
        agree(4.0, "us qt", "us gal");
        agree(4.0, "uk qt", "uk gal");
        agree(16.0, "oz", "lb");
        agree(2000.0, "lb", "us ton");
        agree(2240.0, "lb", "uk ton");
    }

    #[test]
    fn no_spelling_stands_for_two_units() {
        let mut spellings: Vec<String> = UNITS
            .iter()
            .flat_map(|unit| {
                std::iter::once(unit.name.to_lowercase())
                    .chain(unit.also.iter().map(|also| (*also).to_owned()))
            })
            .chain(
                AMBIGUOUS
                    .iter()
                    .flat_map(|(spellings, _)| spellings.iter().map(|s| (*s).to_owned())),
            )
            .collect();
        let all = spellings.len();
        spellings.sort();
        spellings.dedup();
        assert_eq!(spellings.len(), all);
        assert!(
            UNITS
                .iter()
                .all(|unit| { unit.also.iter().all(|also| *also == also.to_lowercase()) })
        );
    }

    #[test]
    fn unambiguous_spellings_are_units() {
        for (_, clear) in AMBIGUOUS {
            for name in *clear {
                assert!(unit(&name.to_lowercase()).is_some(), "{name}");
            }
        }
    }
}
