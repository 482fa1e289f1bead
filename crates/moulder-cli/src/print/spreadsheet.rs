//! Tables for spreadsheets, as CSV.
//!
//! A spreadsheet takes a cell that begins with certain signs for a formula and runs it, even
//! where the cell is a name that somebody else chose. What is text is therefore written so
//! that it stays text, here and for all tables: an apostrophe goes before such a sign, as the
//! OWASP page "CSV Injection" advises (owasp.org/www-community/attacks/CSV_Injection; read).
//! What is a number is written as it is, with its minus.
//!
//! Figures stand in the units that answers are told in, or in SI as answers in JSON have them;
//! the name of a column ends in its unit.

use std::fmt::Display;

use clap::Args;
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::amount::{
    small_weight_in_unit, small_weight_unit, volume_in_unit, volume_unit, water_in_unit,
    water_unit, weight_in_unit, weight_unit,
};
use moulder::internals::quantity::height::{in_unit, unit};
use moulder::internals::quantity::units::Units;
use moulder::internals::text::rounding::rounded;
use moulder_words::warmth::{degrees, difference, temperature};

/// What a formula begins with by that page, and the same signs in full width, which some
/// spreadsheets read alike.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];
/// Where a spreadsheet of another country begins a new cell, in the middle of ours.
const SPLITS: [char; 4] = [';', '\t', '\r', '\n'];

/// Whether an answer is a table for a spreadsheet, and in which units.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct SheetArguments {
    /// Write the table as CSV, for a spreadsheet: in your units, with the unit in the name of each
    /// column; of several beds in the units of the first
    #[arg(long)]
    pub(crate) csv: bool,

    /// Write that CSV in metres, cubic metres, kilograms, litres and degrees Celsius, whatever your
    /// units
    #[arg(long, requires = "csv")]
    pub(crate) si: bool,
}

impl SheetArguments {
    /// The units of the table of a bed with those units.
    pub(crate) fn units(self, units: Units) -> SheetUnits {
        if self.si {
            SheetUnits::Si
        } else {
            SheetUnits::Owners(units)
        }
    }
}

/// The units of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum SheetUnits {
    /// SI, litres and degrees Celsius.
    Si,
    /// Those that the owner's answers are told in.
    Owners(Units),
}

/// What the figures of a column measure, and what they are given in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Quantity {
    /// A height; m.
    Height,
    /// A volume; m3.
    Volume,
    /// A weight; kg.
    Weight,
    /// A weight that a kitchen scale shows; kg.
    SmallWeight,
    /// Water; L.
    Water,
    /// A temperature; degC.
    Temperature,
    /// A difference of temperatures; K.
    TemperatureDifference,
    /// A share, or a figure whose name has its unit: the same for every owner.
    Plain,
}

impl Quantity {
    /// The unit as the name of a column has it; empty for none.
    fn unit(self, units: SheetUnits) -> String {
        let named = match units {
            SheetUnits::Si => match self {
                Self::Height => "m",
                Self::Volume => "m3",
                Self::Weight | Self::SmallWeight => "kg",
                Self::Water => "l",
                Self::Temperature | Self::TemperatureDifference => "c",
                Self::Plain => "",
            },
            SheetUnits::Owners(units) => match self {
                Self::Height => unit(units),
                Self::Volume => volume_unit(units),
                Self::Weight => weight_unit(units),
                Self::SmallWeight => small_weight_unit(units),
                Self::Water => water_unit(units),
                Self::Temperature | Self::TemperatureDifference => degrees(units),
                Self::Plain => "",
            },
        };
        named.replace(' ', "_")
    }

    /// A figure as it is written. In SI and of what has no unit to five places: a hundredth of a
    /// millimetre, of a gram, of a thousandth part.
    fn written(self, value: f64, units: SheetUnits) -> String {
        let SheetUnits::Owners(units) = units else {
            return rounded(value, 5);
        };
        significant(match self {
            Self::Height => in_unit(value, units),
            Self::Volume => volume_in_unit(value, units),
            Self::Weight => weight_in_unit(value, units),
            Self::SmallWeight => small_weight_in_unit(value, units),
            Self::Water => water_in_unit(value, units),
            Self::Temperature => temperature(value, units),
            Self::TemperatureDifference => difference(value, units),
            Self::Plain => return rounded(value, 5),
        })
    }
}

/// A figure to eight digits, from which it is found again in any unit to a millionth of it; less
/// than a millionth of a unit is nothing.
fn significant(value: f64) -> String {
    const NOTHING: f64 = 1e-6;
    if value.abs() < NOTHING {
        return "0".to_owned();
    }
    let eight: f64 = format!("{value:.7e}").parse().unwrap_or(value);
    eight.to_string()
}

/// A table whose columns are filled from the same rows.
pub(crate) struct Sheet<'r, R> {
    rows: &'r [R],
    units: SheetUnits,
    /// Each column, its name first.
    columns: Vec<Vec<String>>,
}

impl<'r, R> Sheet<'r, R> {
    pub(crate) const fn of(rows: &'r [R], units: SheetUnits) -> Self {
        Self {
            rows,
            units,
            columns: Vec::new(),
        }
    }

    fn column(&mut self, name: &str, cell: impl Fn(&R) -> String) -> &mut Self {
        let cells = self.rows.iter().map(cell);
        self.columns
            .push(std::iter::once(no_formula(name)).chain(cells).collect());
        self
    }

    /// Adds a column of texts, whoever chose them.
    pub(crate) fn text<'t>(&mut self, name: &str, cell: impl Fn(&R) -> &'t str) -> &mut Self {
        self.column(name, |row| no_formula(cell(row)))
    }

    /// Adds a column of numbers or dates as they are shown; empty where there is none.
    pub(crate) fn shown<T: Display>(
        &mut self,
        name: &str,
        cell: impl Fn(&R) -> Option<T>,
    ) -> &mut Self {
        self.column(name, |row| {
            cell(row).map_or_else(String::new, |shown| shown.to_string())
        })
    }

    /// Adds a column of figures; empty where there is none. The unit is put to the name.
    pub(crate) fn measured<T: Into<Option<f64>>>(
        &mut self,
        name: &str,
        quantity: Quantity,
        cell: impl Fn(&R) -> T,
    ) -> &mut Self {
        let heading = self.heading(name, quantity);
        self.figures(&heading, quantity, cell)
    }

    /// Adds a column of figures that are the same for every owner (see [`Quantity::Plain`]).
    pub(crate) fn number<T: Into<Option<f64>>>(
        &mut self,
        name: &str,
        cell: impl Fn(&R) -> T,
    ) -> &mut Self {
        self.figures(name, Quantity::Plain, cell)
    }

    fn heading(&self, name: &str, quantity: Quantity) -> String {
        let unit = quantity.unit(self.units);
        if unit.is_empty() {
            name.to_owned()
        } else {
            format!("{name}_{unit}")
        }
    }

    fn figures<T: Into<Option<f64>>>(
        &mut self,
        heading: &str,
        quantity: Quantity,
        cell: impl Fn(&R) -> T,
    ) -> &mut Self {
        let units = self.units;
        self.shown(heading, |row| {
            cell(row).into().map(|value| quantity.written(value, units))
        })
    }

    /// Adds columns of the ends of an interval, the unit last in their names; empty where there is
    /// none.
    pub(crate) fn ends(
        &mut self,
        name: &str,
        quantity: Quantity,
        band: impl Fn(&R) -> Option<Interval>,
    ) -> &mut Self {
        self.measured(&format!("{name}_low"), quantity, |row| {
            band(row).map(|band| band.lower)
        })
        .measured(&format!("{name}_high"), quantity, |row| {
            band(row).map(|band| band.upper)
        })
    }

    /// Adds the same columns, each end last in their names.
    pub(crate) fn ends_last(
        &mut self,
        name: &str,
        quantity: Quantity,
        band: impl Fn(&R) -> Option<Interval>,
    ) -> &mut Self {
        let name = self.heading(name, quantity);
        self.figures(&format!("{name}_low"), quantity, |row| {
            band(row).map(|band| band.lower)
        })
        .figures(&format!("{name}_high"), quantity, |row| {
            band(row).map(|band| band.upper)
        })
    }

    /// Adds columns of the low end, the mean and the high end of an interval.
    pub(crate) fn points(
        &mut self,
        name: &str,
        quantity: Quantity,
        band: impl Fn(&R) -> Interval,
    ) -> &mut Self {
        let name = self.heading(name, quantity);
        self.figures(&format!("{name}_low"), quantity, |row| band(row).lower)
            .figures(&format!("{name}_mean"), quantity, |row| band(row).mean)
            .figures(&format!("{name}_high"), quantity, |row| band(row).upper)
    }

    /// The heading and the rows as CSV.
    pub(crate) fn csv(&self) -> String {
        let mut writer = csv::Writer::from_writer(Vec::new());
        for row in 0..=self.rows.len() {
            let cells = self.columns.iter().map(|column| &column[row]);
            writer
                .write_record(cells)
                .expect("rows of one length are written to memory");
        }
        let bytes = writer.into_inner().expect("memory is always written to");
        String::from_utf8(bytes).expect("cells are text")
    }
}

/// The text with an apostrophe wherever a formula could begin. One that begins with a sign
/// that is not to be seen could hide one.
fn no_formula(text: &str) -> String {
    let mut safe = String::with_capacity(text.len() + 1);
    let mut could_begin = true;
    for (at, sign) in text.char_indices() {
        if could_begin && FORMULA.contains(&sign) || at == 0 && sign.is_control() {
            safe.push('\'');
        }
        could_begin = SPLITS.contains(&sign) || could_begin && sign.is_whitespace();
        safe.push(sign);
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(text: &str) -> String {
        let mut sheet = Sheet::of(&[()], SheetUnits::Si);
        let text = sheet.text("a", |()| text).csv();
        text.strip_prefix("a\n").unwrap().to_owned()
    }

    #[test]
    fn a_text_is_no_formula() {
        for sign in FORMULA.into_iter().chain(['\t', '\r', '\n', '\0']) {
            let begun = written(&format!("{sign}1+2"));
            assert!(begun.trim_start_matches('"').starts_with('\''), "{begun}");
        }
        // The two examples of the page, quoted as it has them.
        assert_eq!(written("=1+2\";=1+2"), "\"'=1+2\"\";'=1+2\"\n");
        assert_eq!(written("=1+2'\" ;,=1+2"), "\"'=1+2'\"\" ;,=1+2\"\n");
        // A cell of its own, for those whose lists are split by semicolons.
        assert_eq!(written("soil; -1+2"), "soil; '-1+2\n");
        for harmless in ["birch-log", "1 - 2", "Bed @ home", "'=1", "a,b=c"] {
            assert_eq!(written(harmless).trim().trim_matches('"'), harmless);
        }
    }

    #[test]
    fn a_number_stays_a_number() {
        let numbers = [-0.125, -1e-9, -0.000_005];
        let mut sheet = Sheet::of(&numbers, SheetUnits::Si);
        let text = sheet.number("a", |number| *number).csv();
        assert_eq!(text, "a\n-0.12500\n0.00000\n-0.00001\n");
    }

    #[test]
    fn figures_stand_in_the_units_of_the_table() {
        let one = |units, quantity, value| {
            let mut sheet = Sheet::of(&[()], units);
            sheet.measured("a", quantity, |()| value).csv()
        };
        let (metric, us) = (
            SheetUnits::Owners(Units::Metric),
            SheetUnits::Owners(Units::Us),
        );
        let uk = SheetUnits::Owners(Units::UkGarden);
        for (units, quantity, value, written) in [
            (
                SheetUnits::Si,
                Quantity::Height,
                0.123_456_7,
                "a_m\n0.12346\n",
            ),
            (metric, Quantity::Height, 0.123_456_7, "a_cm\n12.34567\n"),
            (us, Quantity::Height, -0.254, "a_in\n-10\n"),
            (uk, Quantity::Height, 0.254, "a_in\n10\n"),
            (SheetUnits::Si, Quantity::Volume, 0.04, "a_m3\n0.04000\n"),
            (uk, Quantity::Volume, 0.04, "a_L\n40\n"),
            (us, Quantity::Volume, 0.04, "a_cu_ft\n1.4125867\n"),
            (us, Quantity::Weight, 1.0, "a_lb\n2.2046226\n"),
            (metric, Quantity::SmallWeight, 0.0123, "a_g\n12.3\n"),
            (us, Quantity::SmallWeight, 0.028_349_523_125, "a_oz\n1\n"),
            (SheetUnits::Si, Quantity::Water, 1.0, "a_l\n1.00000\n"),
            (us, Quantity::Water, 3.785_411_784, "a_US_gal\n1\n"),
            (us, Quantity::Temperature, 10.0, "a_degF\n50\n"),
            (us, Quantity::TemperatureDifference, 10.0, "a_degF\n18\n"),
            (metric, Quantity::Temperature, -1.5, "a_degC\n-1.5\n"),
            (us, Quantity::Plain, 0.5, "a\n0.50000\n"),
        ] {
            assert_eq!(one(units, quantity, value), written);
        }
        assert_eq!(one(metric, Quantity::Height, -1e-18), "a_cm\n0\n");
    }

    #[test]
    fn a_figure_is_found_again_from_its_digits() {
        for value in [1.0 / 3.0, 2e5 / 3.0, -1e-4 / 3.0, 99_999_999.7, 0.05] {
            let found: f64 = significant(value).parse().unwrap();
            assert!((found / value - 1.0).abs() < 1e-7, "{value} {found}");
        }
    }
}
