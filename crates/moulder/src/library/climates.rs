//! A climate: twelve months of normals, of a station or of the user's own.
//!
//! ```
//! use moulder::internals::library::climates::Stations;
//!
//! let stations = Stations::built_in();
//! let cambridge = stations.find("Cambridge UK").ok_or("no such station")?;
//! assert!(cambridge.climate.high_c[6] > cambridge.climate.high_c[0]);
//! assert_eq!(stations.suggestions("Cambrige UK")[0], "Cambridge UK");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use crate::text::suggestion::nearest_entries;
use serde::{Deserialize, Serialize};

/// The stations that ship with the library.
const BUILT_IN: &str = include_str!("../../data/stations.toml");

/// The file of stations.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Register {
    station: Vec<Station>,
}

/// Twelve months of normals, January first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Climate {
    /// Name of the place.
    pub name: String,
    /// Latitude, degrees, south negative.
    pub latitude_deg: f64,
    /// Mean daily high of each month; degC.
    pub high_c: [f64; 12],
    /// Mean daily low of each month; degC.
    pub low_c: [f64; 12],
    /// Rain of each month; mm.
    pub rain_mm: [f64; 12],
}

/// A climate that ships with the library, with where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Station {
    /// The normals.
    pub climate: Climate,
    /// Longitude, degrees, west negative.
    pub longitude_deg: f64,
    /// Height above sea level; m.
    pub elevation_m: f64,
    /// In a few words ("temperate maritime, dry").
    pub about: String,
    /// Years that went into the normals.
    pub years: String,
    /// Who measured, and where the records were read.
    pub source: String,
    /// The licence, and the credit line it asks for.
    pub licence: String,
}

/// The stations that a bed file may name.
#[derive(Debug, Clone, PartialEq)]
pub struct Stations {
    stations: Vec<Station>,
}

impl Stations {
    /// A list of the given stations.
    #[must_use]
    pub fn new(stations: Vec<Station>) -> Self {
        Self { stations }
    }

    /// The stations that ship with the library, in the order of their file.
    ///
    /// # Panics
    /// Never in a released library: the file is part of the program, and a test
    /// reads it whole.
    #[must_use]
    pub fn built_in() -> Self {
        let register: Register = toml::from_str(BUILT_IN)
            .expect("the file of stations is part of the program and read by a test");
        Self::new(register.station)
    }

    /// Up to three names of stations most like `name`, best first.
    #[must_use]
    pub fn suggestions(&self, name: &str) -> Vec<&str> {
        nearest_entries(
            name,
            self.stations
                .iter()
                .map(|station| (station.climate.name.as_str(), [].as_slice())),
        )
    }

    /// The stations in the order of the file.
    pub fn iter(&self) -> impl Iterator<Item = &Station> {
        self.stations.iter()
    }

    /// The station of that name, whatever the case.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<&Station> {
        let wanted = name.trim().to_lowercase();
        self.stations
            .iter()
            .find(|station| station.climate.name.to_lowercase() == wanted)
    }
}

#[cfg(test)]
mod tests {
    use super::Stations;

    #[test]
    fn a_slip_or_half_a_name_is_answered_with_the_station() {
        let stations = Stations::built_in();
        assert_eq!(stations.suggestions("Cambrige UK")[0], "Cambridge UK");
        assert_eq!(stations.suggestions("hobart")[0], "Hobart AU");
        assert!(stations.suggestions("Reykjavik").is_empty());
    }

    #[test]
    fn a_station_is_found_whatever_the_case() {
        let stations = Stations::built_in();
        let found = stations.find(" lebanon nh us ").map(|s| s.elevation_m);
        assert_eq!(found, Some(182.3));
    }
}
