//! The columns of a forecast that can be asked for.

use std::ffi::OsStr;

use clap::builder::TypedValueParser;
use clap::error::ErrorKind;
use moulder::internals::forecast::Month;
use moulder::internals::forecast::band::MonthIntervals;
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::amount::{water_figure, water_unit, weight_figure, weight_unit};
use moulder::internals::quantity::height::{figure, rough_figure};
use moulder::internals::quantity::units::Units;
use moulder_words::warmth::{degrees, lift_figure, temperature_figure};

use crate::print::lines::{listed, safe};

/// What stands in a column.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Kind {
    /// A height in the units of the tape; its unit is said once over the table.
    Height(fn(&Month) -> Option<f64>),
    /// An end of the band of what lies below the rim or, where there is none, of the height.
    End(fn(Interval) -> f64),
    /// Anything else, with the unit its heading ends in.
    Other {
        /// The unit; empty where the name says it.
        unit: fn(Units) -> &'static str,
        /// The figure as it is shown.
        shown: fn(&Month, Units) -> String,
    },
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
            Kind::Other { unit, .. } if !unit(units).is_empty() => {
                format!("{}\n{}", self.heading, unit(units))
            }
            _ => self.heading.to_owned(),
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
            Kind::Other { shown, .. } => shown(row, units),
        }
    }
}

const fn height(
    name: &'static str,
    heading: &'static str,
    about: &'static str,
    height: fn(&Month) -> Option<f64>,
) -> Named {
    Named {
        name,
        heading,
        about,
        kind: Kind::Height(height),
    }
}

const fn end(name: &'static str, about: &'static str, end: fn(Interval) -> f64) -> Named {
    Named {
        name,
        heading: name,
        about,
        kind: Kind::End(end),
    }
}

const fn other(
    name: &'static str,
    heading: &'static str,
    about: &'static str,
    unit: fn(Units) -> &'static str,
    shown: fn(&Month, Units) -> String,
) -> Named {
    Named {
        name,
        heading,
        about,
        kind: Kind::Other { unit, shown },
    }
}

/// Every column there is.
pub(crate) static ALL: [Named; 26] = [
    height(
        "height",
        "height",
        "height of the surface over the ground",
        |row| Some(row.height_m),
    ),
    height("sunk", "sunk", "how far it has sunk since filling", |row| {
        Some(row.settlement_m)
    }),
    height(
        "below-rim",
        "below\nrim",
        "how far it lies below the rim",
        |row| row.below_rim_m,
    ),
    end(
        "low",
        "in one draw of ten it lies less below the rim",
        |band| band.lower,
    ),
    end(
        "high",
        "in one draw of ten it lies more below the rim",
        |band| band.upper,
    ),
    height("settling", "settled", "what of that is settling", |row| {
        Some(row.parts.mechanical_m)
    }),
    height(
        "sifting",
        "sifted",
        "what of that is soil sifting down",
        |row| Some(row.parts.fines_migration_m),
    ),
    height(
        "soft",
        "soft\nstuff",
        "what of that is soft stuff rotting",
        |row| Some(row.parts.nonwoody_decay_m),
    ),
    height("wood", "wood", "what of that is wood rotting", |row| {
        Some(row.parts.wood_decay_m)
    }),
    height(
        "added",
        "added",
        "how much what was laid on later has raised it",
        |row| Some(row.added_m),
    ),
    other(
        "carbon",
        "carbon",
        "carbon left in the bed, kg",
        |_| "kg",
        |row, _| tenths(row.carbon_kg),
    ),
    other(
        "carbon-left",
        "carbon\nleft",
        "share of the first day's carbon that is left, %",
        |_| "%",
        |row, _| percent(row.carbon_left),
    ),
    other(
        "released",
        "released",
        "carbon given off as carbon dioxide, kg",
        |_| "kg",
        |row, _| tenths(row.carbon_released_kg),
    ),
    other(
        "weight",
        "weight",
        "what the fill weighs, water included, kg or lb",
        weight_unit,
        |row, units| weight_figure(row.total_mass_kg, units),
    ),
    other(
        "load",
        "load",
        "its weight on the ground below, kN/m2",
        |_| "kN/m2",
        |row, _| tenths(row.vertical_stress_kpa),
    ),
    other(
        "water",
        "water",
        "water in the fill, L or US gal",
        water_unit,
        |row, units| water_figure(row.water_l, units),
    ),
    other(
        "water-in-wood",
        "in wood",
        "share of that water which is in wood, %",
        |_| "%",
        |row, _| percent(row.water_in_wood),
    ),
    other(
        "warmth",
        "root zone",
        "mean temperature of the root zone in the month, degC or degF",
        degrees,
        |row, units| temperature_figure(row.root_zone_c, units),
    ),
    other(
        "lift",
        "lift",
        "how much warmer that is than open ground, degC or degF",
        degrees,
        |row, units| lift_figure(row.root_zone_lift_c, units),
    ),
    other(
        "warm-days",
        "warm",
        "days of the month warm enough to sow in the bed",
        |_| "days",
        |row, _| days(row.warm_days),
    ),
    other(
        "open-ground-days",
        "open\nground",
        "days of the month warm enough to sow in open ground",
        |_| "days",
        |row, _| days(row.warm_days_open_ground),
    ),
    other(
        "nitrogen",
        "mineral\nN",
        "mineral nitrogen in the growing layer, g/m2",
        |_| "g/m2",
        |row, _| tenths(row.nitrogen.root_zone_g_m2),
    ),
    other(
        "nitrogen-freed",
        "freed\nN",
        "N set free there in the month, less what is bound, g/m2",
        |_| "g/m2",
        |row, _| tenths(row.nitrogen.mineralised_g_m2),
    ),
    other(
        "nitrogen-wanted",
        "wanted\nN",
        "nitrogen that the crop wanted in the month, g/m2",
        |_| "g/m2",
        |row, _| tenths(row.nitrogen.crop_demand_g_m2),
    ),
    other(
        "nitrogen-taken",
        "taken\nN",
        "nitrogen that the crop found in the month, g/m2",
        |_| "g/m2",
        |row, _| tenths(row.nitrogen.crop_uptake_g_m2),
    ),
    other(
        "nitrogen-leached",
        "leached\nN",
        "nitrogen that ran out with water, g/m2",
        |_| "g/m2",
        |row, _| tenths(row.nitrogen.leached_g_m2),
    ),
];

/// To a tenth; a rounded zero has no sign.
fn tenths(value: f64) -> String {
    /// What is nearer to zero than this is written as zero.
    const HALF_A_TENTH: f64 = 0.05;
    let value = if value.abs() < HALF_A_TENTH {
        0.0
    } else {
        value
    };
    format!("{value:.1}")
}

fn percent(share: f64) -> String {
    format!("{:.0}", share * 100.0)
}

fn days(days: f64) -> String {
    format!("{days:.0}")
}

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
