//! The columns of a forecast that can be asked for.

use std::ffi::OsStr;

use clap::builder::TypedValueParser;
use clap::error::ErrorKind;
use moulder::internals::forecast::Month;
use moulder::internals::forecast::intervals::MonthIntervals;
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::amount::{water_figure, water_unit, weight_figure, weight_unit};
use moulder::internals::quantity::height::{figure, rough_figure};
use moulder::internals::quantity::units::Units;
use moulder::internals::text::rounding::rounded;
use moulder_words::warmth::{degrees, lift_figure, temperature_figure};

use crate::print::lines::{listed, safe};

/// What stands in a column.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Kind {
    /// A height; its unit stands once over the table.
    Height(fn(&Month) -> Option<f64>),
    /// An end of the interval of the depth below the rim or, without a rim, of the height.
    End(fn(Interval) -> f64),
    /// A figure to so many places, with the unit its heading ends in.
    Figure(usize, &'static str, fn(&Month) -> f64),
    /// A figure in the owner's units, with the unit its heading ends in.
    InUnits(fn(Units) -> &'static str, fn(&Month, Units) -> String),
}

/// A column by its name.
#[derive(Debug)]
pub(crate) struct Named {
    /// What is typed.
    pub(crate) name: &'static str,
    /// The lines over the column, without the unit.
    heading: &'static str,
    /// What it is, in one line.
    about: &'static str,
    pub(crate) kind: Kind,
}

impl Named {
    /// The lines over the column.
    pub(crate) fn heading(&self, units: Units) -> String {
        match self.kind {
            Kind::Figure(_, unit, _) => format!("{}\n{unit}", self.heading),
            Kind::InUnits(unit, _) => format!("{}\n{}", self.heading, unit(units)),
            Kind::Height(_) | Kind::End(_) => self.heading.to_owned(),
        }
    }

    /// What stands in a row; a hyphen where there is nothing to say.
    pub(crate) fn cell(&self, row: &Month, bands: Option<&MonthIntervals>, units: Units) -> String {
        match self.kind {
            Kind::End(end) => bands.map_or_else(
                || "-".to_owned(),
                |bands| rough_figure(end(bands.below_rim_m.unwrap_or(bands.height_m)), units),
            ),
            Kind::Height(height) => {
                height(row).map_or_else(|| "-".to_owned(), |height_m| figure(height_m, units))
            }
            Kind::Figure(places, _, value) => rounded(value(row), places),
            Kind::InUnits(_, shown) => shown(row, units),
        }
    }
}

/// Every column there is.
pub(crate) static ALL: [Named; 26] = [
    Named {
        name: "height",
        heading: "height",
        about: "height of the surface over the ground",
        kind: Kind::Height(|row| Some(row.height_m)),
    },
    Named {
        name: "sunk",
        heading: "sunk",
        about: "how far it has sunk since filling",
        kind: Kind::Height(|row| Some(row.settlement_m)),
    },
    Named {
        name: "below-rim",
        heading: "below\nrim",
        about: "how far it lies below the rim",
        kind: Kind::Height(|row| row.below_rim_m),
    },
    Named {
        name: "low",
        heading: "low",
        about: "one such bed in ten lies less below the rim",
        kind: Kind::End(|band| band.lower),
    },
    Named {
        name: "high",
        heading: "high",
        about: "one such bed in ten lies more below the rim",
        kind: Kind::End(|band| band.upper),
    },
    Named {
        name: "settling",
        heading: "settled",
        about: "what of that is settling",
        kind: Kind::Height(|row| Some(row.parts.mechanical_m)),
    },
    Named {
        name: "sifting",
        heading: "sifted",
        about: "what of that is soil sifting down",
        kind: Kind::Height(|row| Some(row.parts.fines_migration_m)),
    },
    Named {
        name: "soft",
        heading: "soft\nstuff",
        about: "what of that is soft stuff rotting",
        kind: Kind::Height(|row| Some(row.parts.nonwoody_decay_m)),
    },
    Named {
        name: "wood",
        heading: "wood",
        about: "what of that is wood rotting",
        kind: Kind::Height(|row| Some(row.parts.wood_decay_m)),
    },
    Named {
        name: "added",
        heading: "added",
        about: "how much what was laid on later has raised it",
        kind: Kind::Height(|row| Some(row.added_m)),
    },
    Named {
        name: "carbon",
        heading: "carbon",
        about: "carbon left in the bed, kg",
        kind: Kind::Figure(1, "kg", |row| row.carbon_kg),
    },
    Named {
        name: "carbon-left",
        heading: "carbon\nleft",
        about: "share of the first day's carbon that is left, %",
        kind: Kind::Figure(0, "%", |row| row.carbon_left * 100.0),
    },
    Named {
        name: "released",
        heading: "released",
        about: "carbon given off as carbon dioxide, kg",
        kind: Kind::Figure(1, "kg", |row| row.carbon_released_kg),
    },
    Named {
        name: "weight",
        heading: "weight",
        about: "what the fill weighs, water included, kg or lb",
        kind: Kind::InUnits(weight_unit, |row, units| {
            weight_figure(row.total_mass_kg, units)
        }),
    },
    Named {
        name: "load",
        heading: "load",
        about: "its weight on the ground below, kN/m2",
        kind: Kind::Figure(1, "kN/m2", |row| row.vertical_stress_kpa),
    },
    Named {
        name: "water",
        heading: "water",
        about: "water in the fill, L or US gal",
        kind: Kind::InUnits(water_unit, |row, units| water_figure(row.water_l, units)),
    },
    Named {
        name: "water-in-wood",
        heading: "in wood",
        about: "share of that water which is in wood, %",
        kind: Kind::Figure(0, "%", |row| row.water_in_wood * 100.0),
    },
    Named {
        name: "warmth",
        heading: "root zone",
        about: "mean temperature of the root zone in the month, degC or degF",
        kind: Kind::InUnits(degrees, |row, units| {
            temperature_figure(row.root_zone_c, units)
        }),
    },
    Named {
        name: "lift",
        heading: "lift",
        about: "how much warmer that is than open ground, degC or degF",
        kind: Kind::InUnits(degrees, |row, units| {
            lift_figure(row.root_zone_lift_c, units)
        }),
    },
    Named {
        name: "warm-days",
        heading: "warm",
        about: "days of the month warm enough to sow in the bed",
        kind: Kind::Figure(0, "days", |row| row.warm_days),
    },
    Named {
        name: "open-ground-days",
        heading: "open\nground",
        about: "days of the month warm enough to sow in open ground",
        kind: Kind::Figure(0, "days", |row| row.warm_days_open_ground),
    },
    Named {
        name: "nitrogen",
        heading: "mineral\nN",
        about: "mineral nitrogen in the growing layer, g/m2",
        kind: Kind::Figure(1, "g/m2", |row| row.nitrogen.root_zone_g_m2),
    },
    Named {
        name: "nitrogen-freed",
        heading: "freed\nN",
        about: "N set free there in the month, less what is bound, g/m2",
        kind: Kind::Figure(1, "g/m2", |row| row.nitrogen.mineralised_g_m2),
    },
    Named {
        name: "nitrogen-wanted",
        heading: "wanted\nN",
        about: "nitrogen that the crop wanted in the month, g/m2",
        kind: Kind::Figure(1, "g/m2", |row| row.nitrogen.crop_demand_g_m2),
    },
    Named {
        name: "nitrogen-taken",
        heading: "taken\nN",
        about: "nitrogen that the crop found in the month, g/m2",
        kind: Kind::Figure(1, "g/m2", |row| row.nitrogen.crop_uptake_g_m2),
    },
    Named {
        name: "nitrogen-leached",
        heading: "leached\nN",
        about: "nitrogen that ran out with water, g/m2",
        kind: Kind::Figure(1, "g/m2", |row| row.nitrogen.leached_g_m2),
    },
];

/// The columns somebody asked for.
#[derive(Debug, Clone)]
pub(crate) struct Columns(pub(crate) Vec<&'static Named>);

/// Reads the names; `help` is answered with the list of them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ColumnNames;

impl TypedValueParser for ColumnNames {
    type Value = Columns;

    fn parse_ref(
        &self,
        command: &clap::Command,
        argument: Option<&clap::Arg>,
        value: &OsStr,
    ) -> Result<Columns, clap::Error> {
        if value == "help" {
            return Err(clap::Error::raw(ErrorKind::DisplayHelp, help()));
        }
        // A function from text is a parser, which puts its complaint in the usual words.
        let read: fn(&str) -> Result<Columns, String> = named;
        read.parse_ref(command, argument, value)
    }
}

/// The columns of those names, comma between.
fn named(text: &str) -> Result<Columns, String> {
    let mut columns: Vec<&'static Named> = Vec::new();
    for name in text.split(',').map(str::trim) {
        let Some(column) = ALL.iter().find(|column| column.name == name) else {
            return Err(if name.is_empty() {
                "a name is missing; --columns help lists them".to_owned()
            } else {
                format!(
                    "there is no column \"{}\"; --columns help lists them",
                    safe(name)
                )
            });
        };
        if columns.iter().any(|known| known.name == name) {
            return Err(format!("{name} is named twice"));
        }
        columns.push(column);
    }
    Ok(Columns(columns))
}

/// Every name with what it is.
fn help() -> String {
    let widest = ALL.iter().map(|column| column.name.len()).max();
    let about_at = widest.unwrap_or(0) + 4;
    let lines = ALL
        .iter()
        .map(|column| listed(column.name, column.about, about_at));
    format!(
        "Columns you can ask for, with commas between, as in --columns sunk,water,warmth:\n{}",
        lines.collect::<String>()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_is_read_and_each_once() {
        let names: Vec<&str> = ALL.iter().map(|column| column.name).collect();
        let read = named(&names.join(" ,")).unwrap();
        assert_eq!(read.0.len(), ALL.len());
        assert!(named("sunk,sunk").unwrap_err().contains("twice"));
        assert!(named("sunk,").unwrap_err().contains("missing"));
        assert!(named("Sunk").unwrap_err().contains("\"Sunk\""));
    }

    #[test]
    fn the_list_has_a_line_for_each() {
        let text = help();
        assert_eq!(text.lines().count(), ALL.len() + 1);
        assert!(text.lines().all(|line| line.len() <= 80), "{text}");
    }
}
