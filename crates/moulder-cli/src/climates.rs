//! `moulder climates`: the climates that ship with the library.

use moulder::internals::library::Library;
use std::fmt::Write;

use moulder::internals::fault::FaultCode;
use moulder::internals::library::climates::{Climate, Station};
use moulder::internals::library::nearby;
use moulder::internals::text::month::MONTHS;
use moulder::internals::text::phrase::joined;
use serde_json::{Value, json};

use crate::arguments::{ClimatesArguments, Look, Spot};
use crate::lines::{TextWidth, safe, wrapped};
use crate::output::pretty;
use crate::refusal::Refusal;
use crate::table::{Column, Stand, table};
use crate::trouble::Trouble;

/// The answer to what was asked.
pub(crate) fn answer(asked: &ClimatesArguments) -> Result<String, Trouble> {
    let library = Library::built_in();
    if let Some(spot) = asked.near {
        return Ok(near(&library, spot, asked));
    }
    if asked.name.is_empty() {
        let all: Vec<&Station> = library.stations().collect();
        return Ok(if asked.json {
            pretty(&all)
        } else {
            list(&all, asked.look)
        });
    }
    let name = asked.name.join(" ");
    let Some(station) = library.find_station(&name) else {
        return Err(unknown(&name, &library.stations_like(&name)));
    };
    Ok(if asked.json {
        pretty(station)
    } else {
        months(station, asked.look)
    })
}

fn unknown(name: &str, nearest: &[&str]) -> Trouble {
    let mut said = format!("There is no climate \"{}\" on the list.", safe(name));
    if !nearest.is_empty() {
        let names: Vec<String> = nearest.iter().map(|near| format!("\"{near}\"")).collect();
        let _ = write!(said, " Did you mean {}?", joined(&names, "or"));
    }
    said.push_str(
        " moulder climates lists them all, and a bed file may hold twelve months of your own.",
    );
    let refusal = Refusal::new(FaultCode::UnknownClimate, said);
    Trouble::bad_input(refusal.option("<NAME>").found(name, nearest))
}

fn list(stations: &[&Station], look: Look) -> String {
    let columns = [
        Column::new("climate", Stand::Left),
        Column::new("latitude", Stand::Right),
        Column::new("mean\ndeg C", Stand::Right),
        Column::new("rain a year\nmm", Stand::Right),
        Column::new("in a few words", Stand::Wrapped),
    ];
    let rows = stations
        .iter()
        .map(|station| {
            let climate = &station.climate;
            vec![
                climate.name.clone(),
                latitude(climate),
                format!("{:.1}", mean_c(climate)),
                format!("{:.0}", climate.rain_mm.iter().sum::<f64>()),
                station.about.clone(),
            ]
        })
        .collect();
    let mut said = table(&columns, rows, look);
    said.push_str("\nThe measurements are from:\n");
    for station in stations {
        // The whole licence stands with the climate itself.
        let owner = station
            .licence
            .split_inclusive(". ")
            .next()
            .unwrap_or_default();
        let credit = format!("{}: {}", station.climate.name, owner.trim_end());
        said.push_str(&wrapped(&credit, TextWidth::hanging(2, 4)));
    }
    said
}

/// How many stations near a place are listed.
const NEAREST: usize = 5;
/// Kilometres in a mile (exact: international mile of 5280 ft; memory: NIST Handbook 44,
/// appendix C).
const MILE_KM: f64 = 1.609_344;

/// The stations nearest to a place, and whether the first will do.
fn near(library: &Library, spot: Spot, asked: &ClimatesArguments) -> String {
    let mut found = library.by_distance(spot.latitude_deg, spot.longitude_deg);
    found.truncate(NEAREST);
    if asked.json {
        let found: Vec<Value> = found
            .iter()
            .map(|(km, station)| {
                json!({
                    "km": km,
                    "in_words": nearby::in_words(*km, station, asked.elevation),
                    "station": station,
                })
            })
            .collect();
        return pretty(&found);
    }
    let mut said = String::new();
    if let Some((km, station)) = found.first() {
        let words = nearby::in_words(*km, station, asked.elevation);
        said.push_str(&wrapped(&words, TextWidth::PLAIN));
        said.push('\n');
    }
    let columns = [
        Column::new("climate", Stand::Left),
        Column::new("away\nkm", Stand::Right),
        Column::new("away\nmiles", Stand::Right),
        Column::new("above the sea\nm", Stand::Right),
        Column::new("in a few words", Stand::Wrapped),
    ];
    let rows = found
        .iter()
        .map(|(km, station)| {
            vec![
                station.climate.name.clone(),
                format!("{km:.0}"),
                format!("{:.0}", km / MILE_KM),
                format!("{:.0}", station.elevation_m),
                station.about.clone(),
            ]
        })
        .collect();
    said.push_str(&table(&columns, rows, asked.look));
    said.push('\n');
    said.push_str(&wrapped(OWN_WEATHER, TextWidth::PLAIN));
    said
}

/// How to do without a station.
const OWN_WEATHER: &str = "Numbers of your own: a CSV file with the heading \
month,high_c,low_c,rain_mm and twelve rows, given as --weather FILE.csv --latitude DEGREES \
with forecast or check.";

fn months(station: &Station, look: Look) -> String {
    let climate = &station.climate;
    let head = format!(
        "{}: {}. {}, {:.0} m above the sea; means of {}.",
        climate.name,
        station.about,
        latitude(climate),
        station.elevation_m,
        station.years
    );
    let columns = [
        Column::new("month", Stand::Left),
        Column::new("daily high\ndeg C", Stand::Right),
        Column::new("daily low\ndeg C", Stand::Right),
        Column::new("rain\nmm", Stand::Right),
    ];
    let highs = climate.high_c.iter();
    let rows = MONTHS
        .iter()
        .zip(highs.zip(&climate.low_c).zip(&climate.rain_mm))
        .map(|(month, ((high, low), rain))| {
            let name = (*month).to_owned();
            vec![
                name,
                format!("{high:.1}"),
                format!("{low:.1}"),
                format!("{rain:.0}"),
            ]
        })
        .collect();
    format!(
        "{}\n{}\n{}{}",
        wrapped(&head, TextWidth::PLAIN),
        table(&columns, rows, look),
        wrapped(
            &format!("Source: {}.", station.source),
            TextWidth::hanging(0, 2)
        ),
        wrapped(
            &format!("Licence: {}", station.licence),
            TextWidth::hanging(0, 2)
        )
    )
}

fn latitude(climate: &Climate) -> String {
    let side = if climate.latitude_deg < 0.0 { "S" } else { "N" };
    format!("{:.1} {side}", climate.latitude_deg.abs())
}

/// Mean over the year, each month as the middle of its high and low; degC.
fn mean_c(climate: &Climate) -> f64 {
    let months = climate.high_c.iter().zip(&climate.low_c);
    months.map(|(high, low)| 0.5 * (high + low)).sum::<f64>() / 12.0
}
