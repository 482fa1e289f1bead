//! How far estimated climates are off, at stations that neither the grid nor the estimate knew.
//!
//! ```text
//! cargo run --release --example places
//! ```
//!
//! `withheld.csv` holds a tenth of the world's stations, drawn at random; `withheld.bin` is a set
//! packed from the others and from a grid that was merged without them. Printed are the errors
//! beside those measured when the way of estimating was chosen, the share of errors within the
//! intervals that a forecast draws from, and twenty stations of well-known places one by one.
//!
//! Normals of 1991-2020 of the national services, in WMO Climatological Standard Normals (NOAA
//! NCEI accession 0253808, doi:10.25921/800j-vn07).
//!
//! It exits with 1 where an error is more than a tenth above what was measured beforehand, or an
//! interval holds another share than it says.
#![allow(clippy::print_stdout, reason = "an example shows its answer")]

use std::error::Error;
use std::fs;
use std::path::Path;
use std::process::ExitCode;

use moulder_places::{Normals, Places, Spot};

/// What was measured beforehand, over the whole world: rms and median of monthly mean
/// temperatures in K, median and 90 % quantile of the year's rain as a share.
const BEFOREHAND: [(&str, f64); 4] = [
    ("temperature of a month, root mean square, K", 0.91),
    ("temperature of a month, median, K", 0.42),
    ("rain of a year, median, %", 9.3),
    ("rain of a year, one in ten beyond, %", 32.0),
];
/// Largest ratio to these.
const WORSE: f64 = 1.1;
/// The 90 % quantile of Student's t with four degrees of freedom (1.533, any table; memory).
const TENTH_T: f64 = 1.533;
/// Share of errors within 80 % intervals: with some 500 stations, three standard errors.
const HELD: std::ops::RangeInclusive<f64> = 0.74..=0.86;
/// Least rain of a year that an error is a share of; mm.
const LEAST_RAIN_MM: f64 = 100.0;
/// Well-known places among the withheld stations.
const KNOWN: [&str; 20] = [
    "NEW YORK CNTRL PK TWR",
    "PHILADELPHIA INTL AP",
    "FT WORTH MEACHAM FLD",
    "KANSAS CITY INTL AP",
    "LAS VEGAS MCCARRAN AP",
    "SALEM MCNARY FLD",
    "PORTO ALEGRE",
    "Melilla",
    "RABATSALE",
    "NICE",
    "RENNES ST JACQUES",
    "Berlin-Tegel",
    "FrankfurtMain",
    "GeneveCointrin",
    "Roma Fiumicino",
    "BrizeNorton",
    "Uppsala Flygplats",
    "StPetersburg",
    "Kagoshima",
    "WU LU MU QI",
];

/// A station that the set does not know.
struct Withheld {
    name: String,
    country: String,
    spot: Spot,
    height_m: f64,
    high_and_low_c: Option<([f64; 12], [f64; 12])>,
    rain_mm: Option<[f64; 12]>,
}

impl Withheld {
    /// Its mean temperatures, where it has them.
    fn means_c(&self) -> Option<[f64; 12]> {
        self.high_and_low_c.map(middles)
    }
}

fn middles((high_c, low_c): ([f64; 12], [f64; 12])) -> [f64; 12] {
    core::array::from_fn(|month| 0.5 * (high_c[month] + low_c[month]))
}

fn mean(months: &[f64; 12]) -> f64 {
    months.iter().sum::<f64>() / 12.0
}

fn withheld(folder: &Path) -> Result<Vec<Withheld>, Box<dyn Error>> {
    let mut stations = Vec::new();
    let mut reader = csv::Reader::from_path(folder.join("withheld.csv"))?;
    for row in reader.records() {
        let row = row?;
        let months = |from: usize| -> Result<Option<[f64; 12]>, Box<dyn Error>> {
            if row[from].is_empty() {
                return Ok(None);
            }
            let mut months = [0.0; 12];
            for (at, month) in months.iter_mut().enumerate() {
                *month = row[from + at].parse()?;
            }
            Ok(Some(months))
        };
        stations.push(Withheld {
            name: row[0].to_owned(),
            country: row[1].to_owned(),
            spot: Spot {
                latitude_deg: row[2].parse()?,
                longitude_deg: row[3].parse()?,
            },
            height_m: row[4].parse()?,
            high_and_low_c: months(5)?.zip(months(17)?),
            rain_mm: months(29)?,
        });
    }
    Ok(stations)
}

/// Errors at the stations that have an estimate.
#[derive(Default)]
struct Errors {
    /// Of each month's mean temperature; K.
    months_k: Vec<f64>,
    /// Of the year's rain, as a share of it.
    rain: Vec<f64>,
    /// Of the year over their scales: temperature, half range, logarithm of rain.
    over_scale: [Vec<f64>; 3],
    /// Stations without an estimate.
    none: usize,
}

impl Errors {
    fn add(&mut self, station: &Withheld, estimated: &Normals) {
        if let Some((high_c, low_c)) = station.high_and_low_c {
            let told = middles((estimated.high_c, estimated.low_c));
            let months = middles((high_c, low_c));
            let off: [f64; 12] = core::array::from_fn(|month| told[month] - months[month]);
            self.months_k.extend(off);
            let half = |high: &[f64; 12], low: &[f64; 12]| 0.5 * (mean(high) - mean(low));
            let half_off = half(&estimated.high_c, &estimated.low_c) - half(&high_c, &low_c);
            self.over_scale[0].push(mean(&off) / estimated.spread.warmth_k);
            self.over_scale[1].push(half_off / estimated.spread.half_range_k);
        }
        if let Some(rain_mm) = station.rain_mm {
            let (told, found) = (12.0 * mean(&estimated.rain_mm), 12.0 * mean(&rain_mm));
            self.rain
                .push((told - found).abs() / found.max(LEAST_RAIN_MM));
            let ratio = (told + 20.0) / (found + 20.0);
            self.over_scale[2].push(libm::log(ratio) / estimated.spread.ln_rain);
        }
    }

    /// In the order of [`BEFOREHAND`].
    fn figures(&self) -> [f64; 4] {
        let count = f64::from(u32::try_from(self.months_k.len()).unwrap_or(u32::MAX));
        let squares: f64 = self.months_k.iter().map(|off| off * off).sum();
        let absolute: Vec<f64> = self.months_k.iter().map(|off| off.abs()).collect();
        [
            (squares / count).sqrt(),
            quantile(absolute, 0.5),
            100.0 * quantile(self.rain.clone(), 0.5),
            100.0 * quantile(self.rain.clone(), 0.9),
        ]
    }

    /// Shares of errors within 80 % intervals.
    fn held(&self) -> [f64; 3] {
        [0, 1, 2].map(|part| {
            let errors = &self.over_scale[part];
            let within = errors.iter().filter(|error| error.abs() <= TENTH_T).count();
            let number = |count: usize| f64::from(u32::try_from(count).unwrap_or(u32::MAX));
            number(within) / number(errors.len())
        })
    }
}

fn quantile(mut values: Vec<f64>, share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let last = f64::from(u32::try_from(values.len().saturating_sub(1)).unwrap_or(0));
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "an index of the list"
    )]
    let at = (share * last).round() as usize;
    values[at]
}

fn main() -> Result<ExitCode, Box<dyn Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/places");
    let places = Places::unpack(&fs::read(folder.join("withheld.bin"))?)?;
    let stations = withheld(&folder)?;
    let mut errors = Errors::default();
    let mut known = Vec::new();
    for station in &stations {
        let Ok(estimated) = places.climate(station.spot, Some(station.height_m)) else {
            errors.none += 1;
            continue;
        };
        errors.add(station, &estimated);
        if KNOWN.contains(&station.name.as_str()) {
            known.push((station, estimated));
        }
    }
    println!(
        "{} stations withheld, {} of them without an estimate (far out at sea)\n",
        stations.len(),
        errors.none
    );
    let mut is_good = known.len() == KNOWN.len();
    println!("{:<48}{:>11}{:>8}", "error", "beforehand", "now");
    for ((what, before), now) in BEFOREHAND.into_iter().zip(errors.figures()) {
        let fails = if now <= before * WORSE { "" } else { "  worse" };
        is_good &= fails.is_empty();
        println!("{what:<48}{before:>11.2}{now:>8.2}{fails}");
    }
    println!();
    let parts = ["temperature", "half the daily range", "rain"];
    for (what, held) in parts.into_iter().zip(errors.held()) {
        let fails = if HELD.contains(&held) { "" } else { "  off" };
        is_good &= fails.is_empty();
        println!(
            "8 in 10 intervals of {what:<27}{:>19.0} %{fails}",
            100.0 * held
        );
    }
    println!("\nPublished beside estimated, WMO normals 1991-2020: means of the year");
    println!(
        "{:<24}{:<16}{:>8}{:>8}{:>7}{:>8}{:>8}{:>7}",
        "station", "country", "deg C", "est.", "+/-", "mm", "est.", "+/- %"
    );
    for (station, estimated) in known {
        let (Some(means_c), Some(rain_mm)) = (station.means_c(), station.rain_mm) else {
            continue;
        };
        println!(
            "{:<24}{:<16.15}{:>8.1}{:>8.1}{:>7.1}{:>8.0}{:>8.0}{:>7.0}",
            station.name,
            station.country,
            mean(&means_c),
            mean(&middles((estimated.high_c, estimated.low_c))),
            TENTH_T * estimated.spread.warmth_k,
            12.0 * mean(&rain_mm),
            12.0 * mean(&estimated.rain_mm),
            100.0 * (libm::exp(TENTH_T * estimated.spread.ln_rain) - 1.0)
        );
    }
    Ok(if is_good {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}
