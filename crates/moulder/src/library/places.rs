//! The climate of any place: by the name of a town, or by degrees.
//!
//! Without the features `places` and `places-light` there are the stations of the list alone.

use serde::Serialize;

use crate::fault::error::Error;
use crate::fault::{Fault, FaultCode, Faults, Place};
use crate::library::Library;
use crate::library::climates::Climate;

/// Names of candidates that are listed.
#[cfg(any(feature = "places", feature = "places-light"))]
const LISTED: usize = 6;

/// Why there is no climate.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(
    not(any(feature = "places", feature = "places-light")),
    allow(dead_code, reason = "made where places are built in")
)]
pub(crate) enum NoClimate {
    /// Several towns have the name: how many, and the largest as they would be written.
    Several(usize, Vec<String>),
    /// No place has the name; the nearest names.
    Unknown(Vec<String>),
    /// There is none at that spot, and why.
    Nowhere(String),
}

impl NoClimate {
    /// As a fault: its code, what is expected, and what would do.
    pub(crate) fn told(self) -> (FaultCode, String, Vec<String>) {
        match self {
            Self::Several(count, help) => {
                (FaultCode::AmbiguousPlace, format!("{count} towns"), help)
            }
            Self::Unknown(help) => (
                FaultCode::UnknownClimate,
                "a place on the list, or a town".to_owned(),
                help,
            ),
            Self::Nowhere(why) => (FaultCode::NoClimateThere, why, Vec::new()),
        }
    }

    fn error(self, found: String) -> Error {
        let (code, expected, help) = self.told();
        let place = Place::Pointer {
            pointer: String::new(),
        };
        let path = String::new();
        Faults::one(Fault {
            code,
            place,
            path,
            found,
            expected,
            help,
        })
        .into()
    }
}

/// A climate at some spot, with what is known of heights there.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(
    not(any(feature = "places", feature = "places-light")),
    allow(dead_code, reason = "made where places are built in")
)]
pub(crate) struct AtSpot {
    pub(crate) climate: Climate,
    /// Least and largest height of towns, stations and land around; m.
    pub(crate) heights_around_m: (f64, f64),
}

/// A town on the map.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Town {
    /// Its name with its country, and with its region where the country has several of its name.
    pub label: String,
    /// Degrees north; south is negative.
    pub latitude_deg: f64,
    /// Degrees east; west is negative.
    pub longitude_deg: f64,
    /// Height above the sea; m.
    pub height_m: f64,
    /// Whether no other town has that label; if not, degrees tell which is meant.
    pub is_only: bool,
}

/// A spot in words: "45.76 N, 4.84 E".
pub(crate) fn in_degrees(latitude_deg: f64, longitude_deg: f64) -> String {
    let side = |degrees: f64, sides: [&str; 2]| {
        let side = sides[usize::from(degrees < 0.0)];
        format!("{:.2} {side}", degrees.abs())
    };
    let (latitude, longitude) = (
        side(latitude_deg, ["N", "S"]),
        side(longitude_deg, ["E", "W"]),
    );
    format!("{latitude}, {longitude}")
}

impl Library {
    /// The climate of a station on the list, or of a town by its name, with its country or region
    /// before or after it where it is not the only one; whatever the case and the accents.
    ///
    /// # Errors
    ///
    /// `unknown-climate` with the most similar names, or `ambiguous-place` with what to write for
    /// each of several towns.
    ///
    /// ```
    /// # #[cfg(feature = "places")] {
    /// use moulder::Library;
    ///
    /// let library = Library::built_in();
    /// let lyon = library.place("lyon, france")?;
    /// assert_eq!(lyon.name, "Lyon, France");
    /// assert!(lyon.estimate.is_some_and(|estimate| estimate.warmth_k < 1.0));
    /// assert_eq!(library.place("Boston").unwrap_err().code().as_str(), "ambiguous-place");
    /// # }
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn place(&self, name: &str) -> Result<Climate, Error> {
        self.sought(name)
            .map_err(|none| none.error(name.to_owned()))
    }

    /// The climate estimated at a spot: degrees north and east, and height above the sea in m
    /// where it is known.
    ///
    /// # Errors
    ///
    /// `no-climate-there` at sea, on ice, off the map, and without places built in.
    pub fn spot(&self, at: [f64; 2], height_m: Option<f64>) -> Result<Climate, Error> {
        let name = in_degrees(at[0], at[1]);
        let found = self.at_spot(at, height_m, &name);
        found
            .map(|found| found.climate)
            .map_err(|none| none.error(name))
    }

    /// Towns whose name begins with what was typed, whatever the case and the accents: so many at
    /// most, the largest first. None without places built in.
    ///
    /// ```
    /// # #[cfg(feature = "places")] {
    /// let towns = moulder::Library::built_in().towns("lyo", 3);
    /// assert_eq!(towns[0].label, "Lyon, France");
    /// # }
    /// ```
    #[must_use]
    pub fn towns(&self, begins: &str, most: usize) -> Vec<Town> {
        self.towns_beginning(begins, most)
    }

    /// As [`Self::place`].
    pub(crate) fn sought(&self, name: &str) -> Result<Climate, NoClimate> {
        if let Some(station) = self.find_station(name) {
            return Ok(station.climate.clone());
        }
        self.town(name)
    }

    #[cfg(not(any(feature = "places", feature = "places-light")))]
    fn town(&self, name: &str) -> Result<Climate, NoClimate> {
        let similar = self.stations_like(name).into_iter();
        Err(NoClimate::Unknown(similar.map(str::to_owned).collect()))
    }

    #[cfg(not(any(feature = "places", feature = "places-light")))]
    #[allow(clippy::unused_self, reason = "as with places")]
    fn towns_beginning(&self, _begins: &str, _most: usize) -> Vec<Town> {
        Vec::new()
    }

    /// As [`Self::spot`].
    #[cfg(not(any(feature = "places", feature = "places-light")))]
    #[allow(clippy::unused_self, reason = "as with places")]
    pub(crate) fn at_spot(
        &self,
        _at: [f64; 2],
        _height_m: Option<f64>,
        _name: &str,
    ) -> Result<AtSpot, NoClimate> {
        let why = "this program was built without the climates of the world";
        Err(NoClimate::Nowhere(why.to_owned()))
    }
}

#[cfg(any(feature = "places", feature = "places-light"))]
mod built_in {
    use moulder_places::{Normals, Places, Spot, Town};

    use super::{AtSpot, LISTED, NoClimate, in_degrees};
    use crate::library::Library;
    use crate::library::climates::{Climate, Estimate};
    use crate::text::suggestion::suggestions;

    /// Largest difference in length of a name that is compared with a mistyped one; characters.
    const LENGTHS: usize = 2;
    /// The same without the accents that may be missing; bytes.
    const BYTES: usize = 6;

    fn climate(places: &Places, name: String, spot: Spot, found: &Normals) -> Climate {
        let station = found
            .nearest
            .map(|(km, number)| (km, &places.stations()[number]));
        Climate {
            name,
            latitude_deg: spot.latitude_deg,
            high_c: found.high_c,
            low_c: found.low_c,
            rain_mm: found.rain_mm,
            estimate: Some(Estimate {
                longitude_deg: spot.longitude_deg,
                height_m: found.height_m,
                station: station.map_or_else(String::new, |(_, station)| station.name.clone()),
                station_km: station.map_or(f64::INFINITY, |(km, _)| km),
                station_height_m: station.map_or(found.height_m, |(_, station)| station.height_m),
                is_the_station: found.is_the_station,
                warmth_k: found.spread.warmth_k,
                half_range_k: found.spread.half_range_k,
                ln_rain: found.spread.ln_rain,
            }),
        }
    }

    /// What to write for a town: its label, or its degrees where another has the same.
    fn written(places: &Places, town: &Town) -> String {
        let label = places.label(town);
        if places.named(&label).len() == 1 {
            return label;
        }
        let spot = town.spot;
        format!("{{ at = [{}, {}] }}", spot.latitude_deg, spot.longitude_deg)
    }

    impl Library {
        pub(super) fn town(&self, name: &str) -> Result<Climate, NoClimate> {
            let Some(places) = Places::built_in() else {
                return Err(NoClimate::Unknown(Vec::new()));
            };
            match places.named(name).as_slice() {
                [] => Err(NoClimate::Unknown(self.names_like(places, name))),
                [town] => {
                    let found = places.climate(town.spot, Some(town.height_m));
                    let found = found.map_err(|none| NoClimate::Nowhere(none.to_string()))?;
                    Ok(climate(places, places.label(town), town.spot, &found))
                }
                several => {
                    let listed = several.iter().take(LISTED);
                    let help = listed.map(|town| written(places, town)).collect();
                    Err(NoClimate::Several(several.len(), help))
                }
            }
        }

        #[allow(clippy::unused_self, reason = "places are built in")]
        pub(super) fn towns_beginning(&self, begins: &str, most: usize) -> Vec<super::Town> {
            let Some(places) = Places::built_in() else {
                return Vec::new();
            };
            let towns = places.beginning_with(begins, most).into_iter();
            let told = towns.map(|town| {
                let label = places.label(town);
                super::Town {
                    is_only: places.named(&label).len() == 1,
                    label,
                    latitude_deg: town.spot.latitude_deg,
                    longitude_deg: town.spot.longitude_deg,
                    height_m: town.height_m,
                }
            });
            told.collect()
        }

        /// Names of stations and towns most similar to a mistyped one.
        fn names_like(&self, places: &Places, name: &str) -> Vec<String> {
            // Of a name and its country, the name alone.
            let wanted = name.split(',').next().unwrap_or_default().trim();
            let first = wanted.chars().next().map(|sign| sign.to_ascii_lowercase());
            let mut towns: Vec<&Town> = places
                .towns()
                .iter()
                .filter(|town| {
                    town.name.len().abs_diff(wanted.len()) <= BYTES
                        && town.name.chars().count().abs_diff(wanted.chars().count()) <= LENGTHS
                        && town
                            .name
                            .chars()
                            .next()
                            .map(|sign| sign.to_ascii_lowercase())
                            == first
                })
                .collect();
            towns.sort_by_key(|town| core::cmp::Reverse(town.size));
            let stations = self.stations.suggestions(name);
            let similar = suggestions(wanted, towns.iter().map(|town| town.name.as_str()));
            let mut help: Vec<String> = stations.into_iter().map(str::to_owned).collect();
            for similar in similar {
                // The largest of its name.
                let town = towns.iter().find(|town| town.name == similar);
                if let Some(town) = town {
                    let label = written(places, town);
                    if !help.contains(&label) {
                        help.push(label);
                    }
                }
            }
            help.truncate(3);
            help
        }

        /// As [`Self::spot`].
        #[allow(clippy::unused_self, reason = "places are built in")]
        pub(crate) fn at_spot(
            &self,
            at: [f64; 2],
            height_m: Option<f64>,
            name: &str,
        ) -> Result<AtSpot, NoClimate> {
            let Some(places) = Places::built_in() else {
                return Err(NoClimate::Nowhere(in_degrees(at[0], at[1])));
            };
            let [latitude_deg, longitude_deg] = at;
            let spot = Spot {
                latitude_deg,
                longitude_deg,
            };
            let found = places.climate(spot, height_m);
            let found = found.map_err(|none| NoClimate::Nowhere(none.to_string()))?;
            let heights_around_m = found.heights_around_m;
            Ok(AtSpot {
                climate: climate(places, name.to_owned(), spot, &found),
                heights_around_m,
            })
        }
    }
}
