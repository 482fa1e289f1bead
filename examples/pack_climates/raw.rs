//! The raw tables, as CSV.

use std::collections::{BTreeMap, BTreeSet};
use std::error::Error;
use std::path::Path;

use csv::StringRecord;
use moulder_places::{Cell, Region, Spot, Station, Tables, Town};

/// Towns of the light set: the largest.
const LIGHT_TOWNS: usize = 5000;
/// Stations of the light set: the first in each square of so many degrees and band of so many m.
const LIGHT_SQUARE_DEG: f64 = 4.0;
/// See [`LIGHT_SQUARE_DEG`].
const LIGHT_BAND_M: f64 = 600.0;

/// Stations, regions and towns; grids are read when a set is made.
pub(crate) struct Raw {
    stations: Vec<Station>,
    regions: Vec<Region>,
    towns: Vec<Town>,
}

impl Raw {
    /// Reads the tables of a folder.
    ///
    /// # Errors
    ///
    /// A file that is not there, or a cell that is no number.
    pub(crate) fn read(folder: &Path, regions: &Path) -> Result<Self, Box<dyn Error>> {
        let mut stations = Vec::new();
        for row in rows(&folder.join("stations_1991_2020.csv"))? {
            stations.push(Station {
                name: titled(&row[2]),
                spot: spot(&row[4], &row[5])?,
                height_m: row[6].parse()?,
                high_and_low_c: months(&row, 7)?.zip(months(&row, 19)?),
                rain_mm: months(&row, 31)?,
            });
        }
        let mut known = BTreeMap::new();
        for row in rows(regions)? {
            known.insert(
                (row[0].to_owned(), row[1].to_owned()),
                Region {
                    country: row[0].to_owned(),
                    name: row[3].to_owned(),
                    short: row[2].to_owned(),
                },
            );
        }
        let listed = rows(&folder.join("places_25000.csv"))?;
        let of_row = |row: &StringRecord| {
            let (country, code) = (row[2].to_owned(), row[3].to_owned());
            let region = known.get(&(country.clone(), code));
            region.cloned().unwrap_or_else(|| Region {
                country,
                name: String::new(),
                short: String::new(),
            })
        };
        let regions: BTreeSet<Region> = listed.iter().map(of_row).collect();
        let regions: Vec<Region> = regions.into_iter().collect();
        let mut towns = Vec::new();
        for row in listed {
            let people: f64 = row[7].parse()?;
            towns.push(Town {
                // A few have their region in the name.
                name: row[0].split(',').next().unwrap_or_default().to_owned(),
                region: regions.binary_search(&of_row(&row)).unwrap_or_default(),
                spot: spot(&row[4], &row[5])?,
                height_m: if row[6].is_empty() {
                    0.0
                } else {
                    row[6].parse()?
                },
                size: size(people),
            });
        }
        Ok(Self {
            stations,
            regions,
            towns,
        })
    }

    /// Everything, on the grid of one degree.
    ///
    /// # Errors
    ///
    /// A grid that is not there, or a cell that is no number.
    pub(crate) fn tables(&self, folder: &Path) -> Result<Tables, Box<dyn Error>> {
        Ok(Tables {
            step_deg: 1,
            cells: cells(&folder.join("grid_1deg.csv"))?,
            stations: self.stations.clone(),
            regions: self.regions.clone(),
            towns: self.towns.clone(),
        })
    }

    /// The light set, on the grid of two degrees. The towns are listed with the largest first.
    ///
    /// # Errors
    ///
    /// As [`Self::tables`].
    pub(crate) fn light(&self, folder: &Path) -> Result<Tables, Box<dyn Error>> {
        let square = |station: &Station| {
            let band = |value: f64, width: f64| format!("{}", (value / width).floor());
            (
                band(station.spot.latitude_deg, LIGHT_SQUARE_DEG),
                band(station.spot.longitude_deg, LIGHT_SQUARE_DEG),
                band(station.height_m, LIGHT_BAND_M),
            )
        };
        let mut squares = BTreeSet::new();
        let stations = self.stations.iter().filter(|station| {
            station.high_and_low_c.is_some()
                && station.rain_mm.is_some()
                && squares.insert(square(station))
        });
        // Without names, which would take it beyond its size.
        let stations = stations.map(|station| Station {
            name: String::new(),
            ..station.clone()
        });
        let stations: Vec<Station> = stations.collect();
        let mut towns: Vec<Town> = self.towns.iter().take(LIGHT_TOWNS).cloned().collect();
        let used: BTreeSet<usize> = towns.iter().map(|town| town.region).collect();
        let used: Vec<usize> = used.into_iter().collect();
        for town in &mut towns {
            town.region = used.binary_search(&town.region).unwrap_or_default();
        }
        Ok(Tables {
            step_deg: 2,
            cells: cells(&folder.join("grid_2deg.csv"))?,
            stations,
            regions: used.iter().map(|at| self.regions[*at].clone()).collect(),
            towns,
        })
    }
}

/// A grid.
///
/// # Errors
///
/// A file that is not there, or a cell that is no number.
pub(crate) fn cells(file: &Path) -> Result<Vec<Cell>, Box<dyn Error>> {
    let mut cells = Vec::new();
    for row in rows(file)? {
        let of = |from| months(&row, from)?.ok_or_else(|| "an empty cell".into());
        let of = |from| -> Result<[f64; 12], Box<dyn Error>> { of(from) };
        cells.push(Cell {
            spot: spot(&row[0], &row[1])?,
            height_m: row[2].parse()?,
            high_c: of(3)?,
            low_c: of(15)?,
            rain_mm: of(27)?,
        });
    }
    Ok(cells)
}

fn rows(file: &Path) -> Result<Vec<StringRecord>, Box<dyn Error>> {
    let mut reader =
        csv::Reader::from_path(file).map_err(|error| format!("{}: {error}", file.display()))?;
    Ok(reader.records().collect::<Result<_, _>>()?)
}

fn spot(latitude: &str, longitude: &str) -> Result<Spot, Box<dyn Error>> {
    Ok(Spot {
        latitude_deg: latitude.parse()?,
        longitude_deg: longitude.parse()?,
    })
}

/// Twelve cells from that one on; none where they are empty.
fn months(row: &StringRecord, from: usize) -> Result<Option<[f64; 12]>, Box<dyn Error>> {
    if row[from].is_empty() {
        return Ok(None);
    }
    let mut months = [0.0; 12];
    for (at, month) in months.iter_mut().enumerate() {
        *month = row[from + at].parse()?;
    }
    Ok(Some(months))
}

/// Twice the logarithm of people to the base of two, rounded down.
fn size(people: f64) -> u8 {
    (0..=u8::MAX)
        .rev()
        .find(|size| people >= libm::exp2(0.5 * f64::from(*size)))
        .unwrap_or_default()
}

/// Names in capitals with capitals at the front of words alone.
fn titled(name: &str) -> String {
    if name.chars().any(char::is_lowercase) {
        return name.to_owned();
    }
    let mut before = ' ';
    name.chars()
        .map(|sign| {
            let small = before.is_alphabetic();
            before = sign;
            if small {
                sign.to_ascii_lowercase()
            } else {
                sign
            }
        })
        .collect()
}
