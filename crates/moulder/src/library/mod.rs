//! Materials, climates, crops and gases.

pub mod calibration;
pub(crate) mod check;
pub mod climates;
pub mod crop;
pub(crate) mod family;
pub(crate) mod figure;
pub(crate) mod file;
pub mod gas;
pub mod material;
pub mod materials;
pub mod nearby;
pub(crate) mod places;
pub mod sources;
pub mod weather_record;

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

use crate::fault::error::Error;
use crate::fault::library_fault::{LibraryFault, LibraryFaults};
use crate::fault::{FaultCode, Place};
use crate::library::weather_record::WeatherRecord;
use calibration::Calibration;
use climates::{Climate, Station, Stations};
use material::Material;
use materials::Catalogue;

/// The materials and climates that a bed may name.
///
/// Cheap to clone. The built-in library is read once and then shared.
///
/// ```
/// use moulder::Library;
///
/// let library = Library::built_in();
/// let birch = library.material("birch log")?;
/// assert!(birch.organic_density.best > 300.0);
/// let mistyped = library.material("brich log").unwrap_err();
/// assert_eq!(mistyped.code().as_str(), "unknown-material");
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Library {
    materials: Arc<Catalogue>,
    stations: Arc<Stations>,
    /// Weather that was measured, by the name of its file.
    weather: BTreeMap<String, Arc<WeatherRecord>>,
}

static BUILT_IN: LazyLock<Library> = LazyLock::new(|| Library::calibrated(Calibration::kept()));

impl Library {
    /// The materials and climates that ship with the crate.
    #[must_use]
    pub fn built_in() -> Self {
        BUILT_IN.clone()
    }

    /// The same materials under another calibration than the one that ships.
    #[must_use]
    pub fn calibrated(calibration: &Calibration) -> Self {
        let priors = Catalogue::built_in();
        let materials = priors.iter().cloned();
        let materials = materials.map(|material| calibration.apply(material));
        Self {
            materials: Arc::new(Catalogue::new(materials.collect())),
            stations: Arc::new(Stations::built_in()),
            weather: BTreeMap::new(),
        }
    }

    /// A library of these materials and stations.
    #[cfg(test)]
    pub(crate) fn new(materials: Catalogue, stations: Stations) -> Self {
        Self {
            materials: Arc::new(materials),
            stations: Arc::new(stations),
            weather: BTreeMap::new(),
        }
    }

    /// The material of that name or synonym, ignoring case.
    ///
    /// # Errors
    ///
    /// `unknown-material`, with the most similar names.
    pub fn material(&self, name: &str) -> Result<&Material, Error> {
        self.find_material(name)
            .ok_or_else(|| unknown(FaultCode::UnknownMaterial, name, &self.materials_like(name)))
    }

    /// The built-in climate of that name, ignoring case.
    ///
    /// # Errors
    ///
    /// `unknown-climate`, with the most similar names.
    pub fn climate(&self, name: &str) -> Result<&Climate, Error> {
        self.find_station(name)
            .map(|station| &station.climate)
            .ok_or_else(|| unknown(FaultCode::UnknownClimate, name, &self.stations_like(name)))
    }

    /// This library with another material, which replaces one of the same name.
    ///
    /// # Errors
    ///
    /// [`Error::Library`]: every fault of the material, such as a value without a source or
    /// outside its own spread or the plausible range.
    ///
    /// ```
    /// use moulder::Library;
    ///
    /// let library = Library::built_in();
    /// let mut willow = library.material("birch log")?.derived("my willow log", "from the brook");
    /// willow.organic_density = willow.organic_density.measured(380.0, 340.0..=420.0, "weighed, 2026");
    /// let library = library.with(willow)?;
    /// assert_eq!(library.material("my willow log")?.organic_density.best, 380.0);
    /// # Ok::<(), moulder::Error>(())
    /// ```
    pub fn with(&self, material: Material) -> Result<Self, Error> {
        let over = Catalogue::new(vec![material]);
        let faults: Vec<LibraryFault> = over
            .faults_by_material()
            .map(|(material, message)| LibraryFault {
                code: FaultCode::OutOfRange,
                place: Place::Pointer {
                    pointer: String::new(),
                },
                material,
                said: message,
            })
            .collect();
        match LibraryFaults::of(faults.into_iter()) {
            Some(faults) => Err(faults.into()),
            None => Ok(self.overlaid(over)),
        }
    }

    /// This library with the materials of a TOML file of the same format as the built-in files,
    /// which replace those of the same names.
    ///
    /// # Errors
    ///
    /// [`Error::Library`]: every fault of the file, each with its line.
    pub fn with_toml(&self, text: &str) -> Result<Self, Error> {
        Ok(self.overlaid(Catalogue::from_toml(text)?))
    }

    /// This library with other materials, which replace those of the same names.
    pub(crate) fn overlaid(&self, over: Catalogue) -> Self {
        Self {
            materials: Arc::new(self.materials.as_ref().clone().overlaid(over)),
            ..self.clone()
        }
    }

    /// This library with weather that was measured, under the name by which a bed document calls
    /// its file; it replaces other weather of that name.
    ///
    /// ```
    /// # #[cfg(feature = "weather-csv")] {
    /// use moulder::{Bed, Library, filled::WeatherRecord};
    ///
    /// let days = "date,high_c,low_c,rain_mm\n2026-03-14,11.2,3.0,0.4\n";
    /// let record = WeatherRecord::from_csv(days)?;
    /// let library = Library::built_in().with_weather("shed.csv", record);
    /// let bed = Bed::from_toml(
    ///     r#"
    ///     format = 1
    ///     filled = 2026-03-14
    ///     climate = "Cambridge UK"
    ///     bed = { shape = "round", across = "1.2 m", rim = "40 cm" }
    ///     layer = [{ put = [{ material = "loamy topsoil", amount = "38 cm" }] }]
    ///     weather = { file = "shed.csv" }
    ///     "#,
    ///     &library,
    /// )?;
    /// assert_eq!(bed.weather_record().map(WeatherRecord::last), Some(bed.filled()));
    /// # }
    /// # Ok::<(), moulder::Error>(())
    /// ```
    #[must_use]
    pub fn with_weather(&self, file: &str, record: WeatherRecord) -> Self {
        let mut with = self.clone();
        with.weather.insert(file.to_owned(), Arc::new(record));
        with
    }

    /// The weather of that name, if it was given.
    pub(crate) fn weather_record(&self, file: &str) -> Option<&Arc<WeatherRecord>> {
        self.weather.get(file)
    }

    /// The materials, in the order in which they are listed.
    pub fn materials(&self) -> impl Iterator<Item = &Material> {
        self.materials.iter()
    }

    /// The built-in climates with their sources, in the order of their file.
    pub fn stations(&self) -> impl Iterator<Item = &Station> {
        self.stations.iter()
    }

    /// Every station with its great-circle distance in km, nearest first. Latitude and longitude
    /// are in degrees, south and west negative.
    ///
    /// ```
    /// use moulder::Library;
    ///
    /// let library = Library::built_in();
    /// let (km, station) = library.by_distance(52.63, 1.30)[0];
    /// assert_eq!(station.climate.name, "Lowestoft UK");
    /// assert!((30.0..40.0).contains(&km));
    /// ```
    #[must_use]
    pub fn by_distance(&self, latitude_deg: f64, longitude_deg: f64) -> Vec<(f64, &Station)> {
        self.stations.by_distance(latitude_deg, longitude_deg)
    }

    /// The material of that name or synonym, if there is one.
    #[must_use]
    pub fn find_material(&self, name: &str) -> Option<&Material> {
        self.materials.find(name)
    }

    /// Up to three names of materials most similar to `name`, best first.
    #[must_use]
    pub fn materials_like(&self, name: &str) -> Vec<&str> {
        self.materials.suggestions(name)
    }

    /// The station of that name, if there is one.
    #[must_use]
    pub fn find_station(&self, name: &str) -> Option<&Station> {
        self.stations.find(name)
    }

    /// Up to three names of stations most similar to `name`, best first.
    #[must_use]
    pub fn stations_like(&self, name: &str) -> Vec<&str> {
        self.stations.suggestions(name)
    }
}

impl Default for Library {
    /// The built-in one.
    fn default() -> Self {
        Self::built_in()
    }
}

/// The fault of a name that is not in the library.
fn unknown(code: FaultCode, name: &str, like: &[&str]) -> Error {
    let fault = crate::fault::Fault {
        code,
        place: Place::Pointer {
            pointer: String::new(),
        },
        path: String::new(),
        found: name.to_owned(),
        expected: "a name of the library".to_owned(),
        help: like.iter().map(|name| (*name).to_owned()).collect(),
    };
    crate::fault::Faults::one(fault).into()
}
