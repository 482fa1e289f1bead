//! Climates: twelve monthly normals, of a station or of the user's own.

use crate::text::suggestion::suggested_entries;
use serde::{Deserialize, Serialize};

/// The built-in stations.
const BUILT_IN: &str = include_str!("../../data/stations.toml");

/// The file of stations.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Register {
    station: Vec<Station>,
}

/// Monthly normals, January first.
///
/// ```
/// use moulder::Library;
///
/// let library = Library::built_in();
/// let cambridge = library.climate("Cambridge UK")?;
/// assert!(cambridge.high_c[6] > cambridge.high_c[0]);
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(
    rename_all(serialize = "snake_case", deserialize = "kebab-case"),
    deny_unknown_fields
)]
pub struct Climate {
    /// Name of the place.
    pub name: String,
    /// Latitude; degrees, south negative.
    pub latitude_deg: f64,
    /// Mean daily maximum temperature of each month; degC.
    pub high_c: [f64; 12],
    /// Mean daily minimum temperature of each month; degC.
    pub low_c: [f64; 12],
    /// Precipitation of each month; mm.
    pub rain_mm: [f64; 12],
    /// What it was estimated from; none for normals of a station on the list or of the owner's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub estimate: Option<Estimate>,
}

/// How the climate of a place was estimated, and how far it may be off: scales of errors of
/// Student's t with four degrees of freedom, each shared by all months.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(
    rename_all(serialize = "snake_case", deserialize = "kebab-case"),
    deny_unknown_fields
)]
pub struct Estimate {
    /// Longitude; degrees, west negative.
    pub longitude_deg: f64,
    /// Height above the sea that it holds for; m.
    pub height_m: f64,
    /// Name of the nearest station; empty where the set has none.
    pub station: String,
    /// Distance to it; km.
    pub station_km: f64,
    /// Height of it; m.
    pub station_height_m: f64,
    /// Whether temperatures are those of that station.
    pub is_the_station: bool,
    /// Scale of the error of the temperature; K.
    pub warmth_k: f64,
    /// Scale of the error of half the daily range; K.
    pub half_range_k: f64,
    /// Scale of the error of the logarithm of rain.
    pub ln_rain: f64,
}

/// A built-in climate with its source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(
    rename_all(serialize = "snake_case", deserialize = "kebab-case"),
    deny_unknown_fields
)]
pub struct Station {
    /// The normals.
    pub climate: Climate,
    /// Longitude; degrees, west negative.
    pub longitude_deg: f64,
    /// Elevation above sea level; m.
    pub elevation_m: f64,
    /// A short description ("temperate maritime, dry").
    pub about: String,
    /// Years of record of the normals.
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

    /// The built-in stations, in the order of their file.
    ///
    /// # Panics
    ///
    /// Never: the file is part of the program, and a test reads it whole.
    #[must_use]
    pub fn built_in() -> Self {
        let register: Register = toml::from_str(BUILT_IN)
            .expect("the file of stations is part of the program and read by a test");
        Self::new(register.station)
    }

    /// Up to three names of stations most similar to `name`, best first.
    #[must_use]
    pub fn suggestions(&self, name: &str) -> Vec<&str> {
        const NO_SYNONYMS: &[&str] = &[];
        suggested_entries(
            name,
            self.stations
                .iter()
                .map(|station| (station.climate.name.as_str(), NO_SYNONYMS)),
        )
    }

    /// The stations in the order of the file.
    pub fn iter(&self) -> impl Iterator<Item = &Station> {
        self.stations.iter()
    }

    /// The station of that name, ignoring case and commas.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<&Station> {
        let wanted = name.to_lowercase().replace(',', " ");
        let mut stations = self.stations.iter();
        stations.find(|station| {
            let known = station.climate.name.to_lowercase();
            known.split_whitespace().eq(wanted.split_whitespace())
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Stations;

    #[test]
    fn a_misspelt_or_partial_name_suggests_the_station() {
        let stations = Stations::built_in();
        assert_eq!(stations.suggestions("Cambrige UK")[0], "Cambridge UK");
        assert_eq!(stations.suggestions("hobart")[0], "Hobart AU");
        assert!(stations.suggestions("Reykjavik").is_empty());
    }

    #[test]
    fn stations_are_found_ignoring_case() {
        let stations = Stations::built_in();
        let found = stations.find(" lebanon nh us ").map(|s| s.elevation_m);
        assert_eq!(found, Some(182.3));
        assert_eq!(
            stations.find("Lebanon, NH, US").map(|s| s.elevation_m),
            found
        );
        assert!(stations.find("Lebanon").is_none() && stations.find("").is_none());
    }
}
