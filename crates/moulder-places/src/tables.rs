//! What a set is packed from, and the way there and back.

use crate::climate::LAPSE;
use crate::grid::{Cell, Grid, whole};
use crate::pack::{Reader, Unreadable, Writer, body};
use crate::{Places, Region, Spot, Station, Town, name};

/// What a set is packed from.
#[derive(Debug, Clone, PartialEq)]
pub struct Tables {
    /// Width of a cell; whole degrees, a divisor of 180.
    pub step_deg: u8,
    /// Cells of the grid.
    pub cells: Vec<Cell>,
    /// Stations.
    pub stations: Vec<Station>,
    /// Regions of the towns.
    pub regions: Vec<Region>,
    /// Towns, each with the number of its region.
    pub towns: Vec<Town>,
}

// Steps of the packed figures, in their units.
/// Temperatures of the grid: 0.25 K.
const GRID_PER_K: f64 = 4.0;
/// Square root of a month's rain of the grid: 0.1.
const GRID_PER_ROOT_MM: f64 = 10.0;
/// Temperatures of stations, as published: 0.1 K.
const STATION_PER_K: f64 = 10.0;
/// Square root of a month's rain of a station: 0.05, half a millimetre of 25 mm.
const STATION_PER_ROOT_MM: f64 = 20.0;
/// Coordinates: 0.01 degrees, a kilometre.
const PER_DEGREE: f64 = 100.0;
/// Height of cells: 10 m.
const CELL_HEIGHT_M: f64 = 10.0;
/// Height of towns: 5 m.
const TOWN_HEIGHT_M: f64 = 5.0;

fn rounded(value: f64) -> i16 {
    whole(libm::round(value))
}

fn squared(root: f64) -> f64 {
    root * root
}

impl Tables {
    /// The packed set: sorted, so that neighbours are alike, and rounded. Stations are packed as
    /// what they differ by from the packed grid.
    #[must_use]
    pub fn packed(mut self) -> Vec<u8> {
        let step_deg = f64::from(self.step_deg);
        self.cells
            .sort_by_key(|cell| Grid::place(step_deg, cell.spot));
        self.stations.sort_by_key(|station| {
            let (row, _) = Grid::place(1.0, station.spot);
            (
                row,
                rounded(station.spot.longitude_deg * PER_DEGREE),
                station.name.clone(),
            )
        });
        let key = |town: &Town| {
            (
                town.region,
                town.name.clone(),
                rounded(town.spot.latitude_deg),
            )
        };
        self.towns.sort_by_key(key);
        let mut writer = Writer::default();
        writer.column([i16::from(self.step_deg)]);
        self.write_cells(&mut writer);
        // As it will be read.
        let cells: Vec<Cell> = self
            .cells
            .iter()
            .map(|cell| cell.rounded(step_deg))
            .collect();
        self.write_stations(&mut writer, &Grid::new(step_deg, &cells));
        self.write_towns(&mut writer);
        writer.packed()
    }

    fn write_cells(&self, writer: &mut Writer) {
        let step_deg = f64::from(self.step_deg);
        let places = || {
            self.cells
                .iter()
                .map(|cell| Grid::place(step_deg, cell.spot))
        };
        writer.column(places().map(|(row, _)| row));
        writer.column(places().map(|(_, column)| column));
        let cells = || self.cells.iter();
        writer.column(cells().map(|cell| rounded(cell.height_m / CELL_HEIGHT_M)));
        for part in 0..3 {
            let parts: Vec<[i16; 12]> = cells().map(|cell| cell.parts()[part]).collect();
            months(writer, &parts);
        }
    }

    fn write_stations(&self, writer: &mut Writer, grid: &Grid) {
        let stations = || self.stations.iter();
        spots(writer, stations().map(|station| station.spot));
        writer.column(stations().map(|station| rounded(station.height_m)));
        writer.column(stations().map(|station| {
            i16::from(station.high_and_low_c.is_some()) + 2 * i16::from(station.rain_mm.is_some())
        }));
        let over = |station: &Station| {
            let spot = rounded_spot(station.spot);
            Expected::at(grid, spot, libm::round(station.height_m))
        };
        for part in 0..2 {
            let differences = stations().filter_map(|station| {
                let (high_c, low_c) = station.high_and_low_c?;
                let expected = over(station).temperatures[part];
                let published = [high_c, low_c][part].map(|c| rounded(c * STATION_PER_K));
                Some(less(published, expected))
            });
            let differences: Vec<[i16; 12]> = differences.collect();
            months(writer, &differences);
        }
        let differences = stations().filter_map(|station| {
            let published = station
                .rain_mm?
                .map(|mm| rounded(libm::sqrt(mm) * STATION_PER_ROOT_MM));
            Some(less(published, over(station).rain))
        });
        let differences: Vec<[i16; 12]> = differences.collect();
        months(writer, &differences);
        writer.texts(stations().map(|station| station.name.as_str()));
    }

    fn write_towns(&self, writer: &mut Writer) {
        let regions = || self.regions.iter();
        writer.texts(regions().map(|region| region.country.as_str()));
        writer.texts(regions().map(|region| region.name.as_str()));
        writer.texts(regions().map(|region| region.short.as_str()));
        let towns = || self.towns.iter();
        writer.column(towns().map(|town| i16::try_from(town.region).unwrap_or(i16::MAX)));
        spots(writer, towns().map(|town| town.spot));
        writer.column(towns().map(|town| rounded(town.height_m / TOWN_HEIGHT_M)));
        writer.column(towns().map(|town| i16::from(town.size)));
        writer.texts(towns().map(|town| town.name.as_str()));
    }
}

impl Cell {
    /// Half the sum of high and low, rounded down, their difference, and the root of the rain:
    /// in steps.
    fn parts(&self) -> [[i16; 12]; 3] {
        let high = self.high_c.map(|c| rounded(c * GRID_PER_K));
        let low = self.low_c.map(|c| rounded(c * GRID_PER_K));
        [
            core::array::from_fn(|month| (high[month] + low[month]) >> 1),
            core::array::from_fn(|month| high[month] - low[month]),
            self.rain_mm
                .map(|mm| rounded(libm::sqrt(mm) * GRID_PER_ROOT_MM)),
        ]
    }

    fn from_parts(spot: Spot, height: i16, [middle, range, root]: [[i16; 12]; 3]) -> Self {
        // What rounding down took is the last bit of the difference.
        let high: [i16; 12] = core::array::from_fn(|month| {
            middle[month]
                .wrapping_add(range[month] >> 1)
                .wrapping_add(range[month] & 1)
        });
        let low: [i16; 12] = core::array::from_fn(|month| high[month].wrapping_sub(range[month]));
        Self {
            spot,
            height_m: f64::from(height) * CELL_HEIGHT_M,
            high_c: high.map(|steps| f64::from(steps) / GRID_PER_K),
            low_c: low.map(|steps| f64::from(steps) / GRID_PER_K),
            rain_mm: root.map(|steps| squared(f64::from(steps) / GRID_PER_ROOT_MM)),
        }
    }

    fn rounded(&self, step_deg: f64) -> Self {
        let (row, column) = Grid::place(step_deg, self.spot);
        let spot = Grid::centre(step_deg, row, column);
        Self::from_parts(spot, rounded(self.height_m / CELL_HEIGHT_M), self.parts())
    }
}

/// What the grid makes of a station, in its steps.
struct Expected {
    temperatures: [[i16; 12]; 2],
    rain: [i16; 12],
}

impl Expected {
    fn at(grid: &Grid, spot: Spot, height_m: f64) -> Self {
        grid.at(spot).map_or(
            Self {
                temperatures: [[0; 12]; 2],
                rain: [0; 12],
            },
            |found| {
                let lower_k = LAPSE.best * height_m;
                let steps = |c: f64| rounded((c - lower_k) * STATION_PER_K);
                Self {
                    temperatures: [found.high_c.map(steps), found.low_c.map(steps)],
                    rain: found
                        .rain_mm
                        .map(|mm| rounded(libm::sqrt(mm) * STATION_PER_ROOT_MM)),
                }
            },
        )
    }
}

fn less(months: [i16; 12], expected: [i16; 12]) -> [i16; 12] {
    core::array::from_fn(|month| months[month].wrapping_sub(expected[month]))
}

fn more(months: [i16; 12], expected: [i16; 12]) -> [i16; 12] {
    core::array::from_fn(|month| months[month].wrapping_add(expected[month]))
}

/// Twelve columns: January, and what each month differs by from the one before.
fn months(writer: &mut Writer, rows: &[[i16; 12]]) {
    for month in 0..12 {
        writer.column(rows.iter().map(|row| match month {
            0 => row[0],
            _ => row[month].wrapping_sub(row[month - 1]),
        }));
    }
}

fn read_months(reader: &mut Reader<'_>, count: usize) -> Result<Vec<[i16; 12]>, Unreadable> {
    let mut rows = vec![[0_i16; 12]; count];
    for month in 0..12 {
        let column = reader.column_of(count)?;
        for (row, value) in rows.iter_mut().zip(column) {
            let before = if month == 0 { 0 } else { row[month - 1] };
            row[month] = before.wrapping_add(value);
        }
    }
    Ok(rows)
}

fn spots(writer: &mut Writer, spots: impl Iterator<Item = Spot> + Clone) {
    writer.column(
        spots
            .clone()
            .map(|spot| rounded(spot.latitude_deg * PER_DEGREE)),
    );
    writer.column(spots.map(|spot| rounded(spot.longitude_deg * PER_DEGREE)));
}

fn read_spots(reader: &mut Reader<'_>) -> Result<Vec<Spot>, Unreadable> {
    let latitudes = reader.column()?;
    let longitudes = reader.column_of(latitudes.len())?;
    let both = latitudes.into_iter().zip(longitudes);
    Ok(both
        .map(|(latitude, longitude)| Spot {
            latitude_deg: f64::from(latitude) / PER_DEGREE,
            longitude_deg: f64::from(longitude) / PER_DEGREE,
        })
        .collect())
}

fn rounded_spot(spot: Spot) -> Spot {
    let rounded = |degrees: f64| f64::from(rounded(degrees * PER_DEGREE)) / PER_DEGREE;
    Spot {
        latitude_deg: rounded(spot.latitude_deg),
        longitude_deg: rounded(spot.longitude_deg),
    }
}

impl Places {
    /// Reads a packed set.
    ///
    /// # Errors
    ///
    /// Bytes that are no set, of another form, or damaged.
    pub fn unpack(bytes: &[u8]) -> Result<Self, Unreadable> {
        let body = body(bytes)?;
        let mut reader = Reader::new(&body);
        let step = reader.column_of(1)?[0];
        if step < 1 || 180 % step != 0 {
            return Err(Unreadable::Damaged);
        }
        let step_deg = f64::from(step);
        let grid = Grid::new(step_deg, &read_cells(&mut reader, step_deg)?);
        let stations = read_stations(&mut reader, &grid)?;
        let (regions, towns) = read_towns(&mut reader)?;
        if !reader.is_done() {
            return Err(Unreadable::Damaged);
        }
        let names = name::index(&towns, &regions);
        Ok(Self {
            grid,
            stations,
            regions,
            towns,
            names,
        })
    }
}

fn read_cells(reader: &mut Reader<'_>, step_deg: f64) -> Result<Vec<Cell>, Unreadable> {
    let rows = reader.column()?;
    let count = rows.len();
    let columns = reader.column_of(count)?;
    let heights = reader.column_of(count)?;
    let parts = [
        read_months(reader, count)?,
        read_months(reader, count)?,
        read_months(reader, count)?,
    ];
    let places = rows.into_iter().zip(columns).zip(heights).enumerate();
    Ok(places
        .map(|(at, ((row, column), height))| {
            let spot = Grid::centre(step_deg, row, column);
            Cell::from_parts(spot, height, [parts[0][at], parts[1][at], parts[2][at]])
        })
        .collect())
}

fn read_stations(reader: &mut Reader<'_>, grid: &Grid) -> Result<Vec<Station>, Unreadable> {
    let spots = read_spots(reader)?;
    let heights = reader.column_of(spots.len())?;
    let measured = reader.column_of(spots.len())?;
    let count = |bit: i16| measured.iter().filter(|bits| **bits & bit != 0).count();
    let (warm, wet) = (count(1), count(2));
    let mut highs = read_months(reader, warm)?.into_iter();
    let mut lows = read_months(reader, warm)?.into_iter();
    let mut rains = read_months(reader, wet)?.into_iter();
    let names = reader.texts()?;
    if names.len() != spots.len() {
        return Err(Unreadable::Damaged);
    }
    let rows = spots.into_iter().zip(heights).zip(measured).zip(names);
    Ok(rows
        .map(|(((spot, height), measured), name)| {
            let height_m = f64::from(height);
            let expected = Expected::at(grid, spot, height_m);
            let celsius = |steps: [i16; 12], part: usize| {
                more(steps, expected.temperatures[part])
                    .map(|steps| f64::from(steps) / STATION_PER_K)
            };
            let both = (measured & 1 != 0).then(|| highs.next().zip(lows.next()));
            let rain = (measured & 2 != 0).then(|| rains.next()).flatten();
            Station {
                name,
                spot,
                height_m,
                high_and_low_c: both
                    .flatten()
                    .map(|(high, low)| (celsius(high, 0), celsius(low, 1))),
                rain_mm: rain.map(|steps| {
                    more(steps, expected.rain)
                        .map(|steps| squared(f64::from(steps) / STATION_PER_ROOT_MM))
                }),
            }
        })
        .collect())
}

fn read_towns(reader: &mut Reader<'_>) -> Result<(Vec<Region>, Vec<Town>), Unreadable> {
    let countries = reader.texts()?;
    let (names, shorts) = (reader.texts()?, reader.texts()?);
    if names.len() != countries.len() || shorts.len() != countries.len() {
        return Err(Unreadable::Damaged);
    }
    let regions = countries.into_iter().zip(names).zip(shorts);
    let regions: Vec<Region> = regions
        .map(|((country, name), short)| Region {
            country,
            name,
            short,
        })
        .collect();
    let of = reader.column()?;
    let spots = read_spots(reader)?;
    let heights = reader.column_of(of.len())?;
    let sizes = reader.column_of(of.len())?;
    let names = reader.texts()?;
    if spots.len() != of.len() || names.len() != of.len() {
        return Err(Unreadable::Damaged);
    }
    let rows = of.into_iter().zip(spots).zip(heights).zip(sizes).zip(names);
    let towns = rows.map(|((((region, spot), height), size), name)| {
        let region = usize::try_from(region).ok();
        Ok(Town {
            name,
            region: region
                .filter(|region| *region < regions.len())
                .ok_or(Unreadable::Damaged)?,
            spot,
            height_m: f64::from(height) * TOWN_HEIGHT_M,
            size: u8::try_from(size).map_err(|_| Unreadable::Damaged)?,
        })
    });
    let towns = towns.collect::<Result<Vec<Town>, Unreadable>>()?;
    Ok((regions, towns))
}
