//! The climate of a place, estimated from the grid and the stations nearby.
//!
//! Temperatures: the grid's at sea level, less [`LAPSE`] by height, plus what the
//! [`STATIONS_FOR_WARMTH`] nearest stations differ by from the same, as a weighted line by
//! height. Rain: the grid's, times the weighted geometric mean of what the
//! [`STATIONS_FOR_RAIN`] nearest differ by. Within [`SAME_KM`] and [`SAME_M`] of a station, its
//! own figures.
//!
//! How far it is off: the standard deviation of the same differences among the stations used,
//! with what is left where they agree and what the distance to the nearest one adds. On stations
//! withheld from grid and estimate, errors over these scales are Student's t with four degrees
//! of freedom; `docs/model.md` has the figures, the example `places` makes them again.

use moulder_core::math::elementary::{exp, ln};
use moulder_core::value::{Spread, Status, Value};

use crate::grid::AtSeaLevel;
use crate::town::nearest;
use crate::{Places, Spot, Station, Town};

/// Cooling with height.
pub static LAPSE: Value = Value::new(
    0.0065,
    Spread::new(0.0045, 0.0075),
    "K/m",
    "the lapse of the standard atmosphere (ISO 2533), from memory; the grid is reduced by it. Its error is in the differences of the stations",
    Status::Memory,
);

/// Error of a year's mean temperature where stations agree, one standard scale.
pub static WARMTH_LEAST: Value = Value::new(
    0.29,
    Spread::new(0.26, 0.32),
    "K",
    "our own closure, measured on 5465 stations (rain: 5993), a tenth at a time withheld",
    Status::Judgement,
);
/// What a kilometre to the nearest station adds to it, in squares.
pub static WARMTH_BY_DISTANCE: Value = Value::new(
    0.0019,
    Spread::new(0.0015, 0.0023),
    "K/km",
    "our own closure, measured on 5465 stations (rain: 5993), a tenth at a time withheld",
    Status::Judgement,
);
/// Error of half a year's mean daily range where stations agree, one standard scale.
pub static HALF_RANGE_LEAST: Value = Value::new(
    0.29,
    Spread::new(0.26, 0.32),
    "K",
    "our own closure, measured on 5465 stations (rain: 5993), a tenth at a time withheld",
    Status::Judgement,
);
/// What a kilometre to the nearest station adds to it, in squares.
pub static HALF_RANGE_BY_DISTANCE: Value = Value::new(
    0.0012,
    Spread::new(0.0009, 0.0015),
    "K/km",
    "our own closure, measured on 5465 stations (rain: 5993), a tenth at a time withheld",
    Status::Judgement,
);
/// Error of the logarithm of a year's rain where stations agree, one standard scale.
pub static RAIN_LEAST: Value = Value::new(
    0.065,
    Spread::new(0.055, 0.075),
    "1",
    "our own closure, measured on 5465 stations (rain: 5993), a tenth at a time withheld",
    Status::Judgement,
);
/// What a kilometre to the nearest station adds to it, in squares.
pub static RAIN_BY_DISTANCE: Value = Value::new(
    0.000_53,
    Spread::new(0.0004, 0.0007),
    "1/km",
    "our own closure, measured on 5465 stations (rain: 5993), a tenth at a time withheld",
    Status::Judgement,
);

// Chosen on withheld stations among a few of their kind; the errors hardly depend on them.
/// Stations that correct temperatures.
const STATIONS_FOR_WARMTH: usize = 12;
/// Stations that correct rain.
const STATIONS_FOR_RAIN: usize = 6;
/// A metre of height counts as so many km of distance, for temperatures and for rain.
const KM_PER_M: [f64; 2] = [0.3, 0.2];
/// Weights fall by the square of the distance beyond this; km.
const NEAR_KM: f64 = 15.0;
/// Ridge on the slope by height, as a share of the squares of the heights.
const RIDGE: f64 = 0.3;
/// Added to a month's rain before its logarithm; mm.
const DRY_MM: f64 = 2.0;
/// The same of a year, for how far stations agree; mm.
const DRY_YEAR_MM: f64 = 20.0;
/// Within this distance and height a station stands for a place; km and m. Judgement.
const SAME_KM: f64 = 5.0;
/// See [`SAME_KM`].
const SAME_M: f64 = 50.0;
/// A height that is not given is that of a town or station this near; km. Judgement.
const HEIGHT_KM: f64 = 10.0;
/// How far that may be off; m. Judgement.
const HEIGHT_NEAR_OFF_M: f64 = 30.0;
/// How far the mean height of the cells may be off; m, and as a share of the range of the cells.
/// Judgement.
const HEIGHT_OFF_M: f64 = 100.0;
/// See [`HEIGHT_OFF_M`].
const HEIGHT_OFF_SHARE: f64 = 0.25;
/// Heights of towns and stations this near tell which heights there are; km. Judgement.
const AROUND_KM: f64 = 60.0;
/// Cells this low on average may be sea, unless a town or station is near; m and km. Judgement.
const SEA_M: f64 = 10.0;
/// See [`SEA_M`].
const SHORE_KM: f64 = 40.0;
/// Where the warmest month stays below this on average, ice lies all year; degC. Judgement.
const ICE_C: f64 = 0.0;

/// Twelve monthly normals of a place, January first, with how far they may be off.
#[derive(Debug, Clone, PartialEq)]
pub struct Normals {
    /// Means of the daily highs; degC.
    pub high_c: [f64; 12],
    /// Means of the daily lows; degC.
    pub low_c: [f64; 12],
    /// Rain; mm.
    pub rain_mm: [f64; 12],
    /// How far all months together may be off.
    pub spread: Uncertainty,
    /// The height that they are for; m.
    pub height_m: f64,
    /// Least and largest height of towns, stations and cells around; m.
    pub heights_around_m: (f64, f64),
    /// The nearest station with temperatures: its distance in km, and its number in the set. None
    /// where the set has none.
    pub nearest: Option<(f64, usize)>,
    /// Whether temperatures are the station's own.
    pub is_the_station: bool,
}

/// Scales of errors of Student's t with four degrees of freedom, each shared by all months.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertainty {
    /// Of the temperature; K.
    pub warmth_k: f64,
    /// Of half the daily range; K.
    pub half_range_k: f64,
    /// Of the logarithm of rain.
    pub ln_rain: f64,
}

/// Why a place has no climate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NoClimate {
    /// Off the map: no degrees of latitude and longitude, or beyond the grid.
    #[error("there are no normals so far north or south")]
    OffTheMap,
    /// Open water, or the ice of Greenland, of which the grid knows no height.
    #[error("that is at sea or on ice, far from any land that is known")]
    AtSea,
    /// Ice all year.
    #[error("ice lies there all year")]
    OnIce,
}

/// A station near a place, with what it differs by from the grid at its own height.
struct Neighbour {
    weight: f64,
    /// How much higher it stands; m.
    higher_m: f64,
    /// By month: of the mean temperature and half the daily range in K, or of the logarithm of
    /// rain alone.
    differences: [[f64; 12]; 2],
    /// The same of the year.
    year: [f64; 2],
}

/// Whether a station at that distance measures the place itself.
fn is_there(km: f64, station: &Station, height_m: f64) -> bool {
    km <= SAME_KM && (station.height_m - height_m).abs() <= SAME_M
}

/// Independent errors together.
fn scale(parts: [f64; 4]) -> f64 {
    libm::sqrt(parts.iter().map(|part| part * part).sum())
}

impl Places {
    /// The climate of a place; without a height, that of a town or station nearby, or the mean of
    /// the land around.
    ///
    /// # Errors
    ///
    /// Off the map, at sea, or on ice.
    pub fn climate(&self, spot: Spot, height_m: Option<f64>) -> Result<Normals, NoClimate> {
        let (latitude, longitude) = (spot.latitude_deg, spot.longitude_deg);
        if !((-90.0..=90.0).contains(&latitude) && (-180.0..=180.0).contains(&longitude)) {
            return Err(NoClimate::OffTheMap);
        }
        let at = self.grid.at(spot).ok_or(if MAPPED.contains(&latitude) {
            NoClimate::AtSea
        } else {
            NoClimate::OffTheMap
        })?;
        let stations: Vec<(f64, usize)> = (0..self.stations.len())
            .map(|number| (spot.km_to(self.stations[number].spot), number))
            .collect();
        let known = self.heights(spot, &stations);
        let nearest_known = known.iter().min_by(|one, other| one.0.total_cmp(&other.0));
        if at.heights_m.1 <= SEA_M && nearest_known.is_none_or(|(km, _)| *km > SHORE_KM) {
            return Err(NoClimate::AtSea);
        }
        let heights = known.iter().map(|(_, height_m)| *height_m);
        let heights_around_m = heights.fold(at.heights_m, |(low, high), height_m| {
            (low.min(height_m), high.max(height_m))
        });
        let (height, off_m) = match (height_m, nearest_known) {
            (Some(height_m), _) => (height_m, 0.0),
            (None, Some((km, height_m))) if *km <= HEIGHT_KM => (*height_m, HEIGHT_NEAR_OFF_M),
            _ => {
                let range_m = heights_around_m.1 - heights_around_m.0;
                (at.height_m, HEIGHT_OFF_M + HEIGHT_OFF_SHARE * range_m)
            }
        };
        let (middle, half) = (
            |month: usize| 0.5 * (at.high_c[month] + at.low_c[month]) - LAPSE.best * height,
            |month: usize| 0.5 * (at.high_c[month] - at.low_c[month]),
        );

        let measures = |number: usize| self.stations[number].high_and_low_c.is_some();
        let warm: Vec<(f64, usize)> = stations
            .iter()
            .copied()
            .filter(|(_, number)| measures(*number))
            .collect();
        let nearest_warm = warm.iter().min_by(|one, other| one.0.total_cmp(&other.0));
        let neighbours = self.neighbours(&warm, height, true);
        let (middles, middle_off) = line(&neighbours, 0);
        let (halves, half_off) = line(&neighbours, 1);
        let mut high_c = core::array::from_fn(|month| {
            middle(month) + middles[month] + (half(month) + halves[month]).max(0.0)
        });
        let mut low_c = core::array::from_fn(|month| {
            middle(month) + middles[month] - (half(month) + halves[month]).max(0.0)
        });
        let own = nearest_warm
            .filter(|(km, number)| is_there(*km, &self.stations[*number], height))
            .and_then(|(_, number)| self.stations[*number].high_and_low_c);
        if let Some(own) = own {
            (high_c, low_c) = own;
        }

        let (rain_mm, ln_rain) = self.rain(&at, &stations, height);

        let warmest_c = (0..12)
            .map(|month| 0.5 * (high_c[month] + low_c[month]))
            .fold(f64::NEG_INFINITY, f64::max);
        if warmest_c < ICE_C {
            return Err(NoClimate::OnIce);
        }
        let warm_km = nearest_warm.map_or(FARTHEST_KM, |(km, _)| *km);
        Ok(Normals {
            high_c,
            low_c,
            rain_mm,
            spread: Uncertainty {
                warmth_k: scale([
                    WARMTH_LEAST.best,
                    if own.is_some() { 0.0 } else { middle_off },
                    WARMTH_BY_DISTANCE.best * warm_km,
                    LAPSE.best * off_m,
                ]),
                half_range_k: scale([
                    HALF_RANGE_LEAST.best,
                    if own.is_some() { 0.0 } else { half_off },
                    HALF_RANGE_BY_DISTANCE.best * warm_km,
                    0.0,
                ]),
                ln_rain,
            },
            height_m: height,
            heights_around_m,
            nearest: nearest_warm.copied(),
            is_the_station: own.is_some(),
        })
    }

    /// Rain by month, and one standard scale of the error of its log.
    fn rain(&self, at: &AtSeaLevel, stations: &[(f64, usize)], height_m: f64) -> ([f64; 12], f64) {
        let wet: Vec<(f64, usize)> = stations
            .iter()
            .copied()
            .filter(|(_, number)| self.stations[*number].rain_mm.is_some())
            .collect();
        let nearest = wet.iter().min_by(|one, other| one.0.total_cmp(&other.0));
        let neighbours = self.neighbours(&wet, height_m, false);
        let (ratios, off) = mean(&neighbours);
        let own = nearest
            .filter(|(km, number)| is_there(*km, &self.stations[*number], height_m))
            .and_then(|(_, number)| self.stations[*number].rain_mm);
        let estimated = || {
            core::array::from_fn(|month| {
                ((at.rain_mm[month] + DRY_MM) * exp(ratios[month]) - DRY_MM).max(0.0)
            })
        };
        let km = nearest.map_or(FARTHEST_KM, |(km, _)| *km);
        let ln_rain = scale([
            RAIN_LEAST.best,
            if own.is_some() { 0.0 } else { off },
            RAIN_BY_DISTANCE.best * km,
            0.0,
        ]);
        (own.unwrap_or_else(estimated), ln_rain)
    }

    /// Distances and heights of the towns and stations around; km and m.
    fn heights(&self, spot: Spot, stations: &[(f64, usize)]) -> Vec<(f64, f64)> {
        let stations = stations
            .iter()
            .map(|(km, number)| (*km, self.stations[*number].height_m));
        // A degree of latitude is more than 110 km.
        let is_near =
            |town: &&Town| (town.spot.latitude_deg - spot.latitude_deg).abs() <= AROUND_KM / 110.0;
        let towns = self.towns.iter().filter(is_near);
        let towns = towns.map(|town| (spot.km_to(town.spot), town.height_m));
        towns
            .chain(stations)
            .filter(|(km, _)| *km <= AROUND_KM)
            .collect()
    }

    /// The stations that correct a place at that height, with their weights.
    fn neighbours(&self, stations: &[(f64, usize)], height_m: f64, warmth: bool) -> Vec<Neighbour> {
        let (km_per_m, count) = if warmth {
            (KM_PER_M[0], STATIONS_FOR_WARMTH)
        } else {
            (KM_PER_M[1], STATIONS_FOR_RAIN)
        };
        let distances = stations.iter().map(|(km, number)| {
            let up_km = km_per_m * (self.stations[*number].height_m - height_m);
            (libm::sqrt(km * km + up_km * up_km), *number)
        });
        // Those off the grid have nothing to differ from: some more, and then as many as count.
        let found = nearest(distances.collect(), 2 * count);
        let found = found.into_iter().filter_map(|(km, number)| {
            let station = &self.stations[number];
            let at = self.grid.at(station.spot)?;
            let differences = if warmth {
                let (high_c, low_c) = station.high_and_low_c?;
                let lower_k = LAPSE.best * station.height_m;
                [
                    core::array::from_fn(|month| {
                        0.5 * (high_c[month] + low_c[month])
                            - (0.5 * (at.high_c[month] + at.low_c[month]) - lower_k)
                    }),
                    core::array::from_fn(|month| {
                        0.5 * (high_c[month] - low_c[month] - (at.high_c[month] - at.low_c[month]))
                    }),
                ]
            } else {
                let rain_mm = station.rain_mm?;
                let ratio =
                    |month: usize| ln((rain_mm[month] + DRY_MM) / (at.rain_mm[month] + DRY_MM));
                [core::array::from_fn(ratio), [0.0; 12]]
            };
            let year = if warmth {
                differences.map(|months| months.iter().sum::<f64>() / 12.0)
            } else {
                let of = |rain_mm: &[f64; 12]| rain_mm.iter().sum::<f64>() + DRY_YEAR_MM;
                [ln(of(&station.rain_mm?) / of(&at.rain_mm)), 0.0]
            };
            Some(Neighbour {
                weight: 1.0 / (km * km + NEAR_KM * NEAR_KM),
                higher_m: station.height_m - height_m,
                differences,
                year,
            })
        });
        found.take(count).collect()
    }
}

/// Latitudes that the grid covers; degrees.
const MAPPED: core::ops::RangeInclusive<f64> = -57.0..=84.0;
/// Taken as the distance to the nearest station where a set has none; km.
const FARTHEST_KM: f64 = 2000.0;
/// Scale of heights in the line; m.
const LINE_M: f64 = 300.0;

/// Weighted line by height through the differences of that part, at the height of the place; and
/// the weighted standard deviation of the year's differences from it.
fn line(neighbours: &[Neighbour], part: usize) -> ([f64; 12], f64) {
    let weights: f64 = neighbours.iter().map(|one| one.weight).sum();
    if weights <= 0.0 {
        return ([0.0; 12], 0.0);
    }
    let sum = |of: &dyn Fn(&Neighbour) -> f64| -> f64 {
        neighbours
            .iter()
            .map(|one| one.weight * of(one))
            .sum::<f64>()
            / weights
    };
    let up = |one: &Neighbour| one.higher_m / LINE_M;
    let mean_up = sum(&up);
    let square_up = (1.0 + RIDGE) * sum(&|one| up(one) * up(one));
    let determinant = square_up - mean_up * mean_up;
    let fitted = |figure: &dyn Fn(&Neighbour) -> f64| -> (f64, f64) {
        let mean = sum(figure);
        let slope = if determinant > 1e-9 {
            (sum(&|one| up(one) * figure(one)) - mean_up * mean) / determinant
        } else {
            0.0
        };
        (mean - slope * mean_up, slope)
    };
    let months = core::array::from_fn(|month| fitted(&|one| one.differences[part][month]).0);
    let (year, slope) = fitted(&|one| one.year[part]);
    let square = sum(&|one| {
        let off = one.year[part] - year - slope * up(one);
        off * off
    });
    (months, libm::sqrt(square))
}

/// Weighted mean of the differences, and the weighted standard deviation of the year's.
fn mean(neighbours: &[Neighbour]) -> ([f64; 12], f64) {
    let weights: f64 = neighbours.iter().map(|one| one.weight).sum();
    if weights <= 0.0 {
        return ([0.0; 12], 0.0);
    }
    let sum = |of: &dyn Fn(&Neighbour) -> f64| -> f64 {
        neighbours
            .iter()
            .map(|one| one.weight * of(one))
            .sum::<f64>()
            / weights
    };
    let months = core::array::from_fn(|month| sum(&|one| one.differences[0][month]));
    let year = sum(&|one| one.year[0]);
    let square = sum(&|one| (one.year[0] - year) * (one.year[0] - year));
    (months, libm::sqrt(square))
}
