//! Volumes, weights and loads as text, in the owner's units.

use crate::quantity::units::Units;

/// Cubic metres in a cubic foot (exact: 0.3048 m cubed; memory: NIST Handbook 44, appendix C).
pub const CUBIC_FOOT_M3: f64 = 0.028_316_846_592;
/// Cubic feet in a cubic yard (exact).
const CUBIC_YARD_FT3: f64 = 27.0;
/// Kilograms in a pound (exact; memory: NIST Handbook 44, appendix C).
const POUND_KG: f64 = 0.453_592_37;
/// Ounces in a pound (exact).
const POUND_OZ: f64 = 16.0;
/// Litres in a US gallon (exact: 231 cubic inches; memory: NIST Handbook 44, appendix C).
const US_GALLON_L: f64 = 3.785_411_784;
/// Square metres in a square foot (exact: 0.3048 m squared).
const SQUARE_FOOT_M2: f64 = 0.092_903_04;
/// From here on volumes are in cubic metres; L.
const MANY_LITRES: f64 = 10_000.0;

/// A volume in m3 as text: litres, or cubic feet, and cubic yards from one on.
#[must_use]
pub fn volume(m3: f64, units: Units) -> String {
    volume_beside(m3, m3, units)
}

/// A volume in m3 as text, in the unit that [`volume`] has for another beside it.
#[must_use]
pub fn volume_beside(m3: f64, other_m3: f64, units: Units) -> String {
    match units {
        Units::Metric | Units::UkGarden => {
            if other_m3 * 1000.0 < MANY_LITRES {
                format!("{} L", figure(m3 * 1000.0))
            } else {
                format!("{} m3", tenths(m3))
            }
        }
        Units::Us => {
            let feet = m3 / CUBIC_FOOT_M3;
            // What rounds to a cubic yard is one.
            if other_m3 / CUBIC_FOOT_M3 < CUBIC_YARD_FT3 - 0.05 {
                format!("{} cu ft", tenths(feet))
            } else {
                format!("{} cu yd", tenths(feet / CUBIC_YARD_FT3))
            }
        }
    }
}

/// A volume in m3 as a bare number for a table column, in [`volume_unit`].
#[must_use]
pub fn volume_figure(m3: f64, units: Units) -> String {
    figure(volume_in_unit(m3, units))
}

/// A volume in m3, unrounded, in [`volume_unit`].
#[must_use]
pub fn volume_in_unit(m3: f64, units: Units) -> f64 {
    match units {
        Units::Metric | Units::UkGarden => m3 * 1000.0,
        Units::Us => m3 / CUBIC_FOOT_M3,
    }
}

/// The unit of [`volume_figure`].
#[must_use]
pub const fn volume_unit(units: Units) -> &'static str {
    match units {
        Units::Metric | Units::UkGarden => "L",
        Units::Us => "cu ft",
    }
}

/// A weight in kg, unrounded, in [`weight_unit`].
#[must_use]
pub fn weight_in_unit(kg: f64, units: Units) -> f64 {
    match units {
        Units::Metric | Units::UkGarden => kg,
        Units::Us => kg / POUND_KG,
    }
}

/// Water in litres, unrounded, in [`water_unit`].
#[must_use]
pub fn water_in_unit(litres: f64, units: Units) -> f64 {
    match units {
        Units::Metric | Units::UkGarden => litres,
        Units::Us => litres / US_GALLON_L,
    }
}

/// A weight in kg as text: kilograms or pounds.
#[must_use]
pub fn weight(kg: f64, units: Units) -> String {
    format!(
        "{} {}",
        figure(weight_in_unit(kg, units)),
        weight_unit(units)
    )
}

/// A small weight in kg as text: grams or ounces, and as [`weight`] from a kilogram or a pound
/// on.
#[must_use]
pub fn light_weight(kg: f64, units: Units) -> String {
    let least_kg = match units {
        Units::Metric | Units::UkGarden => 0.9995,
        Units::Us => POUND_KG,
    };
    if kg >= least_kg {
        return weight(kg, units);
    }
    let small = figure(small_weight_in_unit(kg, units));
    format!("{small} {}", small_weight_unit(units))
}

/// A weight in kg, unrounded, in [`small_weight_unit`].
#[must_use]
pub fn small_weight_in_unit(kg: f64, units: Units) -> f64 {
    match units {
        Units::Metric | Units::UkGarden => kg * 1000.0,
        Units::Us => kg / POUND_KG * POUND_OZ,
    }
}

/// The unit that a kitchen scale shows.
#[must_use]
pub const fn small_weight_unit(units: Units) -> &'static str {
    match units {
        Units::Metric | Units::UkGarden => "g",
        Units::Us => "oz",
    }
}

/// Water in litres as text: litres or US gallons.
#[must_use]
pub fn water(litres: f64, units: Units) -> String {
    format!("{} {}", water_figure(litres, units), water_unit(units))
}

/// Water in litres as a bare number for a table column, in [`water_unit`].
#[must_use]
pub fn water_figure(litres: f64, units: Units) -> String {
    figure(water_in_unit(litres, units))
}

/// The unit of [`water_figure`].
#[must_use]
pub const fn water_unit(units: Units) -> &'static str {
    match units {
        Units::Metric | Units::UkGarden => "L",
        Units::Us => "US gal",
    }
}

/// A weight in kg as a bare number for a table column: whole kilograms or pounds.
#[must_use]
pub fn weight_figure(kg: f64, units: Units) -> String {
    format!("{:.0}", weight_in_unit(kg, units))
}

/// A weight in kg as a bare number for a table column, to a tenth, in [`weight_unit`].
#[must_use]
pub fn weight_figure_to_a_tenth(kg: f64, units: Units) -> String {
    format!("{:.1}", weight_in_unit(kg, units))
}

/// The unit of [`weight_figure`].
#[must_use]
pub const fn weight_unit(units: Units) -> &'static str {
    match units {
        Units::Metric | Units::UkGarden => "kg",
        Units::Us => "lb",
    }
}

/// A load in kg/m2 as text.
#[must_use]
pub fn load(kg_per_m2: f64, units: Units) -> String {
    match units {
        Units::Metric | Units::UkGarden => {
            format!("{} kg on each square metre", figure(kg_per_m2))
        }
        Units::Us => format!(
            "{} lb on each square foot",
            figure(kg_per_m2 * SQUARE_FOOT_M2 / POUND_KG)
        ),
    }
}

/// Whole numbers from ten on, tenths below.
fn figure(value: f64) -> String {
    if value < 9.95 {
        tenths(value)
    } else {
        format!("{value:.0}")
    }
}

/// To a tenth; ".0" is omitted.
fn tenths(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::unit::unit;

    /// NIST SP 811 (2008), appendix B.8, seven digits; memory.
    #[test]
    fn conversions_are_those_of_the_printed_tables() {
        let cubic_yard = CUBIC_FOOT_M3 * CUBIC_YARD_FT3;
        for (ours, printed) in [
            (CUBIC_FOOT_M3, 2.831_685e-2),
            (cubic_yard, 7.645_549e-1),
            (POUND_KG, 4.535_924e-1),
            (US_GALLON_L, 3.785_412),
            (SQUARE_FOOT_M2, 9.290_304e-2),
            (POUND_KG / SQUARE_FOOT_M2, 4.882_428),
        ] {
            assert!((ours / printed - 1.0).abs() < 2e-7, "{ours} {printed}");
        }
    }

    #[test]
    fn reading_and_writing_use_the_same_units() {
        for (ours, name) in [
            (CUBIC_FOOT_M3, "cu ft"),
            (CUBIC_FOOT_M3 * CUBIC_YARD_FT3, "cu yd"),
            (POUND_KG, "lb"),
            (US_GALLON_L / 1000.0, "us gal"),
        ] {
            let read = unit(name).unwrap().convert(1.0);
            assert!((ours / read - 1.0).abs() < 1e-15, "{name}");
        }
    }

    #[test]
    fn texts_are_in_the_owners_units() {
        use Units::{Metric, UkGarden, Us};
        for (text, expected) in [
            (volume(0.28, Metric), "280 L"),
            (volume(0.28, Us), "9.9 cu ft"),
            (volume(1.53, Us), "2 cu yd"),
            (volume(1.53, UkGarden), "1530 L"),
            (volume_figure(0.28, Metric), "280"),
            (volume_figure(0.28, Us), "9.9"),
            (weight(121.4, Us), "268 lb"),
            (weight(3.27, UkGarden), "3.3 kg"),
            (weight_figure(3.27, Metric), "3"),
            (weight_figure(121.4, Us), "268"),
            (weight_figure_to_a_tenth(3.27, Metric), "3.3"),
            (weight_figure_to_a_tenth(121.4, Us), "267.6"),
            (light_weight(0.0123, Metric), "12 g"),
            (light_weight(0.0123, Us), "0.4 oz"),
            (light_weight(1.2, Metric), "1.2 kg"),
            (water(175.0, UkGarden), "175 L"),
            (water(20.0, Us), "5.3 US gal"),
            (load(541.3, Us), "111 lb on each square foot"),
        ] {
            assert_eq!(text, expected);
        }
    }

    #[test]
    fn figures_are_rounded() {
        let foot = CUBIC_FOOT_M3;
        assert_eq!(volume(26.94 * foot, Units::Us), "26.9 cu ft");
        assert_eq!(volume(26.96 * foot, Units::Us), "1 cu yd");
        assert_eq!(volume(9.9994, Units::Metric), "9999 L");
        assert_eq!(volume(12.34, Units::UkGarden), "12.3 m3");
        assert_eq!(weight(9.94, Units::Metric), "9.9 kg");
        assert_eq!(weight(9.96, Units::Metric), "10 kg");
        assert_eq!(weight(0.0, Units::Us), "0 lb");
        assert_eq!(load(43.4, Units::UkGarden), "43 kg on each square metre");
    }
}
