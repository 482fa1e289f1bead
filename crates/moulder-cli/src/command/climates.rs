//! `moulder climates`: the climates that ship with the library.

use clap::Args;
use moulder::internals::fault::FaultCode;
use moulder::internals::library::climates::{Climate, Station};
use moulder::internals::library::{Library, nearby};
use moulder::internals::text::month::MONTHS;
use serde::Serialize;

use crate::common::number::elevation;
use crate::print::lines::{apart, hanging, plain, safe};
use crate::print::look::Look;
use crate::print::screen::pretty;
use crate::print::table::Table;
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct ClimatesArguments {
    /// One climate, to see its twelve months; without it, the list of all
    #[arg(num_args = 0..)]
    pub(crate) name: Vec<String>,

    /// The climates nearest to a place, in degrees; south and west are negative, as in
    /// 52.6,1.3 or -42.9,147.3
    #[arg(long, value_name = "LAT,LON", conflicts_with = "name", allow_hyphen_values = true,
          value_parser = spot)]
    pub(crate) near: Option<Spot>,

    /// How high that place lies above the sea, as in "120 m" or "400 ft"
    #[arg(long, value_name = "HEIGHT", requires = "near", allow_hyphen_values = true,
          value_parser = elevation)]
    pub(crate) elevation: Option<f64>,

    /// Answer in JSON, for programs
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

/// A place on the map; degrees, south and west negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spot {
    pub(crate) latitude_deg: f64,
    pub(crate) longitude_deg: f64,
}

fn spot(text: &str) -> Result<Spot, String> {
    let place = text.split_once(',').and_then(|(latitude, longitude)| {
        let latitude_deg = latitude.trim().parse().ok()?;
        let longitude_deg = longitude.trim().parse().ok()?;
        let likely =
            (-90.0..=90.0).contains(&latitude_deg) && (-180.0..=180.0).contains(&longitude_deg);
        likely.then_some(Spot {
            latitude_deg,
            longitude_deg,
        })
    });
    place.ok_or_else(|| {
        "write latitude and longitude in degrees with a comma between and no blank, as in \
         52.6,1.3 (south and west are negative)"
            .to_owned()
    })
}

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
    let said = format!("There is no climate \"{}\" on the list.", safe(name));
    let more = "moulder climates --near 52.6,1.3 lists the climates nearest to a place, by its \
                latitude and longitude; moulder climates lists them all, and a bed file may hold \
                twelve months of your own.";
    let refusal = Refusal::unknown(FaultCode::UnknownClimate, &said, more, name, nearest);
    Trouble::bad_input(refusal.option("<NAME>"))
}

fn list(stations: &[&Station], look: Look) -> String {
    let mut table = Table::of(stations);
    table
        .left("climate", |station| station.climate.name.clone())
        .right("latitude", |station| latitude_of(&station.climate))
        .right("mean\ndeg C", |station| {
            format!("{:.1}", mean_c(&station.climate))
        })
        .right("rain a year\nmm", |station| {
            format!("{:.0}", station.climate.rain_mm.iter().sum::<f64>())
        })
        .wrapped("in a few words", |station| station.about.clone());
    let mut said = table.drawn(look);
    said.push_str("\nThe measurements are from:\n");
    for station in stations {
        // The whole licence stands with the climate itself.
        let owner = station
            .licence
            .split_inclusive(". ")
            .next()
            .unwrap_or_default();
        let credit = format!("{}: {}", station.climate.name, owner.trim_end());
        said += &hanging(2, 4, &credit);
    }
    said
}

/// How many stations near a place are listed.
const NEAREST: usize = 5;
/// Kilometres in a mile (exact: international mile of 5280 ft; memory: NIST Handbook 44,
/// appendix C).
const MILE_KM: f64 = 1.609_344;

/// A station near a place, for programs.
#[derive(Serialize)]
struct Near<'a> {
    km: f64,
    in_words: String,
    station: &'a Station,
}

/// The stations nearest to a place, and whether the first will do.
fn near(library: &Library, spot: Spot, asked: &ClimatesArguments) -> String {
    let mut found = library.by_distance(spot.latitude_deg, spot.longitude_deg);
    found.truncate(NEAREST);
    if asked.json {
        let found: Vec<Near<'_>> = found
            .iter()
            .map(|(km, station)| Near {
                km: *km,
                in_words: nearby::in_words(*km, station, asked.elevation),
                station,
            })
            .collect();
        return pretty(&found);
    }
    let mut said = String::new();
    if let Some((km, station)) = found.first() {
        let words = nearby::in_words(*km, station, asked.elevation);
        said += &plain(&words);
        said.push('\n');
    }
    let mut table = Table::of(&found);
    table
        .left("climate", |(_, station)| station.climate.name.clone())
        .right("away\nkm", |(km, _)| format!("{km:.0}"))
        .right("away\nmiles", |(km, _)| format!("{:.0}", km / MILE_KM))
        .right("above the sea\nm", |(_, station)| {
            format!("{:.0}", station.elevation_m)
        })
        .wrapped("in a few words", |(_, station)| station.about.clone());
    said += &table.drawn(asked.look);
    said += &apart(OWN_WEATHER);
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
        latitude_of(climate),
        station.elevation_m,
        station.years
    );
    let rows: Vec<usize> = (0..MONTHS.len()).collect();
    let mut table = Table::of(&rows);
    table
        .left("month", |month| MONTHS[*month].to_owned())
        .right("daily high\ndeg C", |month| {
            format!("{:.1}", climate.high_c[*month])
        })
        .right("daily low\ndeg C", |month| {
            format!("{:.1}", climate.low_c[*month])
        })
        .right("rain\nmm", |month| {
            format!("{:.0}", climate.rain_mm[*month])
        });
    format!(
        "{}\n{}\n{}{}",
        plain(&head),
        table.drawn(look),
        hanging(0, 2, &format!("Source: {}.", station.source)),
        hanging(0, 2, &format!("Licence: {}", station.licence))
    )
}

fn latitude_of(climate: &Climate) -> String {
    let side = if climate.latitude_deg < 0.0 { "S" } else { "N" };
    format!("{:.1} {side}", climate.latitude_deg.abs())
}

/// Mean over the year, each month as the mean of its high and low; degC.
fn mean_c(climate: &Climate) -> f64 {
    let months = climate.high_c.iter().zip(&climate.low_c);
    months.map(|(high, low)| 0.5 * (high + low)).sum::<f64>() / 12.0
}
