//! Would drawn years have held what the weather then did?
//!
//! ```text
//! cargo run --release --example hindcast
//! ```
//!
//! Eight stations with daily records since 2015. Both demo beds are filled there each spring from
//! 2015 to 2025, and run under the days that came. Beside it they are run in drawn years about
//! the normals of 1991-2020 and the warming since, all else being the same. Printed are the shares of the runs under
//! the days that came which lie within the 10 and 90 % quantiles of the drawn ones, for how far
//! the bed sank, its carbon and its water, at 6 and 12 months.
//!
//! Beds share the weather, horizons overlap and stations are neighbours, so a share is judged by
//! a block bootstrap: stations and years are drawn with replacement, each as a block. It exits
//! with 1 where four in five do not lie within the 95 % interval of a share.
#![allow(clippy::print_stdout, reason = "an example shows its answer")]

use std::error::Error;
use std::path::Path;
use std::process::ExitCode;

use moulder::filled::WeatherRecord;
use moulder::internals::forecast::{Forecast, forecast, forecast_in_drawn_years};
use moulder::months::unwatched;
use moulder::{Bed, Climate, Library, date};
use moulder_places::{Places, Spot};
use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng as _, SeedableRng as _};
use rayon::prelude::*;

/// File of a station, its degrees north and east, and its height in m (from memory).
const STATIONS: [(&str, f64, f64, f64); 8] = [
    ("nl_herwijnen", 51.859, 5.146, 3.0),
    ("nl_hoogeveen", 52.750, 6.574, 16.0),
    ("nl_hoorn_terschelling", 53.391, 5.346, 1.0),
    ("nl_hupsel", 52.069, 6.657, 29.0),
    ("nl_lelystad", 52.458, 5.520, -4.0),
    ("nl_marknesse", 52.703, 5.888, -3.0),
    ("nl_nieuw_beerta", 53.196, 7.150, 0.0),
    ("us_milwaukee", 42.955, -87.904, 205.0),
];
/// Years in whose spring the beds are filled.
const YEARS: std::ops::RangeInclusive<i16> = 2015..=2025;
/// The year that drawn ones stand for.
const MIDDLE_YEAR: i16 = 2020;
/// Demo beds.
const BEDS: [&str; 2] = ["bulk-bag", "log-box"];
/// Months after filling.
const HORIZONS: [usize; 2] = [6, 12];
/// Runs in drawn years.
const DRAWN: u64 = 128;
/// Resamples of the bootstrap.
const RESAMPLES: usize = 4000;
/// What the band should hold.
const WANTED: f64 = 0.8;

/// A figure of a month.
type Figure = fn(&Forecast, usize) -> f64;

/// What is compared.
const FIGURES: [(&str, Figure); 3] = [
    ("sunk", |run, month| run.months[month].settlement_m),
    ("carbon", |run, month| run.months[month].carbon_kg),
    ("water", |run, month| run.months[month].water_l),
];

/// Whether the band held a run: by station, year, bed, horizon and figure.
struct Case {
    station: usize,
    year: usize,
    horizon: usize,
    figure: usize,
    held: bool,
    below: bool,
}

fn main() -> Result<ExitCode, Box<dyn Error>> {
    let pairs: Vec<(usize, &str)> = (0..STATIONS.len())
        .flat_map(|station| BEDS.map(|bed| (station, bed)))
        .collect();
    let cases: Vec<Vec<Case>> = pairs
        .into_par_iter()
        .map(|(station, bed)| cases(station, bed).map_err(|error| error.to_string()))
        .collect::<Result<_, _>>()?;
    let cases: Vec<Case> = cases.into_iter().flatten().collect();
    println!(
        "{} runs under the days that came, {DRAWN} in drawn years for each bed and station",
        cases.len() / (HORIZONS.len() * FIGURES.len())
    );
    println!("figure, months: share within, below, of runs [95 % of the bootstrap]");
    let mut is_well = true;
    for (figure, (name, _)) in FIGURES.iter().enumerate() {
        for (horizon, months) in HORIZONS.iter().enumerate() {
            let of = |case: &&Case| case.figure == figure && case.horizon == horizon;
            let chosen: Vec<&Case> = cases.iter().filter(of).collect();
            is_well &= told(&format!("{name}, {months}"), &chosen);
        }
    }
    is_well &= told("all", &cases.iter().collect::<Vec<_>>());
    Ok(if is_well {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}

/// The cases of a demo bed at a station.
fn cases(station: usize, bed: &str) -> Result<Vec<Case>, Box<dyn Error>> {
    let (name, latitude_deg, longitude_deg, height_m) = STATIONS[station];
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let text = std::fs::read_to_string(here.join(format!("hindcast/days/{name}.csv")))?;
    let record = WeatherRecord::from_csv(&text)?;
    let text = std::fs::read_to_string(here.join(format!("beds/{bed}.toml")))?;
    let spot = Spot {
        latitude_deg,
        longitude_deg,
    };
    let there = Places::full().climate(spot, Some(height_m));
    let there = there.map_err(|why| format!("{name}: {why:?}"))?;
    let climate = Climate {
        name: name.to_owned(),
        latitude_deg,
        high_c: there.high_c,
        low_c: there.low_c,
        rain_mm: there.rain_mm,
        // All but the years is known.
        estimate: None,
    };
    let filled_in = |year| -> Result<Bed, Box<dyn Error>> {
        let first = text.lines().find(|line| line.starts_with("filled"));
        let text = text.replace(
            first.ok_or("a day of filling")?,
            &format!("filled = {}", date(year, 3, 15)),
        );
        let bed = Bed::from_toml(&text, &Library::built_in())?;
        Ok(bed.as_filled().with_climate(&climate)?)
    };
    let months = u32::try_from(HORIZONS[1])?;
    // Drawn years are those of the season; of the civil year they know the warming alone.
    let bed = filled_in(MIDDLE_YEAR)?;
    let drawn = (0..DRAWN).map(|seed| forecast_in_drawn_years(&bed, months, seed, &unwatched));
    let drawn: Vec<Forecast> = drawn.collect::<Result<_, _>>()?;
    let mut cases = Vec::new();
    for (year, filled) in YEARS.enumerate() {
        let run = forecast(
            &filled_in(filled)?.with_weather(record.clone())?,
            months,
            &unwatched,
        )?;
        for (horizon, month) in HORIZONS.into_iter().enumerate() {
            for (figure, (_, of)) in FIGURES.iter().enumerate() {
                let mut band: Vec<f64> = drawn.iter().map(|run| of(run, month)).collect();
                band.sort_by(f64::total_cmp);
                let tenth = band.len() / 10;
                let (lower, upper) = (band[tenth], band[band.len() - 1 - tenth]);
                let came = of(&run, month);
                cases.push(Case {
                    station,
                    year,
                    horizon,
                    figure,
                    held: (lower..=upper).contains(&came),
                    below: came < lower,
                });
            }
        }
    }
    Ok(cases)
}

/// Prints a share with its interval; whether that holds what the band should hold.
fn told(name: &str, cases: &[&Case]) -> bool {
    let [held, below] = [|case: &&&Case| case.held, |case: &&&Case| case.below]
        .map(|is| cases.iter().filter(is).count());
    let (least, most) = bootstrap(cases);
    let percent = |count: usize| 100.0 * as_float(count) / as_float(cases.len());
    let is_well = (least..=most).contains(&WANTED);
    println!(
        "{name}: {:.0} %, {:.0} %, of {} [{:.0} to {:.0}]{}",
        percent(held),
        percent(below),
        cases.len(),
        100.0 * least,
        100.0 * most,
        if is_well { "" } else { "  <- not 80" }
    );
    is_well
}

/// The 95 % interval of the share held, stations and years drawn with replacement.
fn bootstrap(cases: &[&Case]) -> (f64, f64) {
    let years = YEARS.count();
    let mut numbers = Pcg64::seed_from_u64(1);
    let mut counts = vec![vec![(0_usize, 0_usize); years]; STATIONS.len()];
    for case in cases {
        let count = &mut counts[case.station][case.year];
        count.0 += usize::from(case.held);
        count.1 += 1;
    }
    let mut drawn = |of: usize| -> Vec<usize> {
        let below = u64::try_from(of).unwrap_or(1);
        (0..of)
            .map(|_| usize::try_from(numbers.next_u64() % below).unwrap_or(0))
            .collect()
    };
    let mut shares: Vec<f64> = (0..RESAMPLES)
        .map(|_| {
            let (stations, years) = (drawn(STATIONS.len()), drawn(years));
            let chosen = stations.iter().flat_map(|station| {
                let counts = &counts[*station];
                years.iter().map(move |year| counts[*year])
            });
            let (held, all) = chosen.fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
            as_float(held) / as_float(all)
        })
        .collect();
    shares.sort_by(f64::total_cmp);
    (
        shares[RESAMPLES / 40],
        shares[RESAMPLES - 1 - RESAMPLES / 40],
    )
}

#[allow(clippy::cast_precision_loss, reason = "small counts")]
fn as_float(count: usize) -> f64 {
    count as f64
}
