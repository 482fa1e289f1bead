//! `moulder climates`: the climates on the list, and that of any place.

use clap::Args;
use moulder::internals::fault::FaultCode;
use moulder::internals::fault::error::Error;
use moulder::internals::fault::sentence::sentence;
use moulder::internals::library::climates::{Climate, Station};
use moulder::internals::library::{Library, nearby};
use moulder::internals::quantity::units::Units;
use moulder::internals::text::month::MONTHS;
use moulder_words::climate::{CREDIT, MILE_KM, estimate_in_words, height};
use serde::Serialize;

use crate::common::number::elevation;
use crate::common::units::UnitsName;
use crate::print::lines::{apart, hanging, plain, safe};
use crate::print::look::Look;
use crate::print::screen::pretty;
use crate::print::table::Table;
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct ClimatesArguments {
    /// One climate, or a town, as in "Lyon, France", to see its twelve months; without it, the
    /// list of climates
    #[arg(num_args = 0..)]
    pub(crate) name: Vec<String>,

    /// The climate of a place, by degrees north and east, and the nearest on the list; south and
    /// west are negative, as in 52.6,1.3 or -42.9,147.3
    #[arg(long, value_name = "LAT,LON", conflicts_with = "name", allow_hyphen_values = true,
          value_parser = spot)]
    pub(crate) near: Option<Spot>,

    /// How high that place lies above the sea, as in "120 m" or "400 ft"
    #[arg(long, value_name = "HEIGHT", requires = "near", allow_hyphen_values = true,
          value_parser = elevation)]
    pub(crate) elevation: Option<f64>,

    /// The units of the answer: metric, us or uk-garden
    #[arg(long, value_enum, value_name = "UNITS", hide_possible_values = true,
          default_value_t = UnitsName::Metric, hide_default_value = true)]
    pub(crate) units: UnitsName,

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
    if let Some(station) = library.find_station(&name) {
        return Ok(if asked.json {
            pretty(station)
        } else {
            of_station(station, asked)
        });
    }
    let climate = library
        .place(&name)
        .map_err(|error| none_of(&name, &error))?;
    Ok(if asked.json {
        pretty(&climate)
    } else {
        estimated(&climate, asked)
    })
}

/// No climate has that name, or several have.
fn none_of(name: &str, error: &Error) -> Trouble {
    let fault = match error.faults() {
        [fault] if fault.code != FaultCode::UnknownClimate => fault,
        faults => {
            let nearest = faults
                .first()
                .map_or(&[][..], |fault| fault.help.as_slice());
            return unknown(name, nearest);
        }
    };
    let refusal = Refusal::new(fault.code, sentence(fault));
    Trouble::bad_input(refusal.found(name, &fault.help).option("<NAME>"))
}

fn unknown(name: &str, nearest: &[String]) -> Trouble {
    let said = format!(
        "There is no climate \"{}\" on the list, and no town of that name is known.",
        safe(name)
    );
    let more = "moulder climates --near 52.6,1.3 shows the climate of a place, by its latitude and \
                longitude; moulder climates lists those on the list, and a bed file may hold \
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
/// Millimetres in an inch (exact).
const INCH_MM: f64 = 25.4;

/// A station near a place, for programs.
#[derive(Serialize)]
struct Near<'a> {
    km: f64,
    in_words: String,
    station: &'a Station,
}

/// What is known of a place, for programs.
#[derive(Serialize)]
struct Around<'a> {
    /// Its climate; none at sea, on ice or off the map.
    climate: Option<Climate>,
    stations: Vec<Near<'a>>,
}

/// The climate of a place and the stations on the list nearest to it.
fn near(library: &Library, spot: Spot, asked: &ClimatesArguments) -> String {
    let mut found = library.by_distance(spot.latitude_deg, spot.longitude_deg);
    found.truncate(NEAREST);
    let at = [spot.latitude_deg, spot.longitude_deg];
    let climate = library.spot(at, asked.elevation);
    if asked.json {
        let stations = found.iter().map(|(km, station)| Near {
            km: *km,
            in_words: nearby::in_words(*km, station, asked.elevation),
            station,
        });
        return pretty(&Around {
            climate: climate.ok(),
            stations: stations.collect(),
        });
    }
    let mut said = match &climate {
        Ok(climate) => estimated(climate, asked),
        Err(error) => error.faults().first().map_or_else(String::new, |fault| {
            let nearest = found.first().map_or_else(String::new, |(km, station)| {
                nearby::in_words(*km, station, asked.elevation)
            });
            let said = sentence(fault);
            let (first, rest) = said.split_at(said.chars().next().map_or(0, char::len_utf8));
            plain(&format!("{}{rest} {nearest}", first.to_uppercase()))
        }),
    };
    said += "\nNearest on the list:\n";
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

/// A station on the list, month by month, with its source.
fn of_station(station: &Station, asked: &ClimatesArguments) -> String {
    let climate = &station.climate;
    let head = format!(
        "{}: {}. {}, {} above the sea; means of {}.",
        climate.name,
        station.about,
        latitude_of(climate),
        height(station.elevation_m, asked.units.into()),
        station.years
    );
    format!(
        "{}\n{}\n{}{}",
        plain(&head),
        months(climate, asked),
        hanging(0, 2, &format!("Source: {}.", station.source)),
        hanging(0, 2, &format!("Licence: {}", station.licence))
    )
}

/// An estimated climate, month by month, with how sure it is and how a bed file names it.
fn estimated(climate: &Climate, asked: &ClimatesArguments) -> String {
    let told = estimate_in_words(climate, asked.units.into()).unwrap_or_default();
    let written = climate
        .estimate
        .as_ref()
        .map_or_else(String::new, |estimate| {
            if asked.near.is_none() {
                return format!("climate = \"{}\"", climate.name);
            }
            format!(
                "climate = {{ at = [{}, {}], height = \"{:.0} m\" }}",
                climate.latitude_deg, estimate.longitude_deg, estimate.height_m
            )
        });
    format!(
        "{}\n{}\nIn a bed file: {}\n\n{}",
        plain(&told),
        months(climate, asked),
        safe(&written),
        hanging(0, 2, CREDIT)
    )
}

/// The twelve months.
fn months(climate: &Climate, asked: &ClimatesArguments) -> String {
    let is_us = Units::from(asked.units) == Units::Us;
    let degrees = |celsius: f64| {
        let degrees = if is_us { 1.8 * celsius + 32.0 } else { celsius };
        format!("{degrees:.1}")
    };
    let rain = |mm: f64| {
        if is_us {
            format!("{:.1}", mm / INCH_MM)
        } else {
            format!("{mm:.0}")
        }
    };
    let rows: Vec<usize> = (0..MONTHS.len()).collect();
    let [high, low, fallen] = if is_us {
        ["daily high\ndeg F", "daily low\ndeg F", "rain\nin"]
    } else {
        ["daily high\ndeg C", "daily low\ndeg C", "rain\nmm"]
    };
    let mut table = Table::of(&rows);
    table
        .left("month", |month| MONTHS[*month].to_owned())
        .right(high, |month| degrees(climate.high_c[*month]))
        .right(low, |month| degrees(climate.low_c[*month]))
        .right(fallen, |month| rain(climate.rain_mm[*month]));
    table.drawn(asked.look)
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
