//! Towns of the world, and monthly climate normals (1991-2020) of any place on land, estimated
//! from a grid and the stations nearby, each with how far it may be off.
//!
//! ```
//! # #[cfg(feature = "full")] {
//! use moulder_places::{Places, Spot};
//!
//! let places = Places::full();
//! let lyon = places.named("lyon, france")[0];
//! let climate = places.climate(lyon.spot, Some(lyon.height_m))?;
//! assert!(climate.high_c[6] > 25.0 && climate.low_c[0] < 5.0);
//! # }
//! # Ok::<(), moulder_places::NoClimate>(())
//! ```
//!
//! Two packed sets come with it, each under a feature of its own: `full` and `light`. Both are
//! made by the example `pack_climates` of the repository; `docs/model.md` says of what, how a
//! climate is estimated and how far that was off where stations were withheld.
//!
//! It reads no file, clock or network, and gives the same bits on every machine.

mod climate;
mod country;
mod grid;
mod name;
mod pack;
mod station;
mod tables;
mod town;

pub use climate::{
    HALF_RANGE_BY_DISTANCE, HALF_RANGE_LEAST, LAPSE, NoClimate, Normals, RAIN_BY_DISTANCE,
    RAIN_LEAST, Uncertainty, WARMTH_BY_DISTANCE, WARMTH_LEAST,
};
pub use country::{Region, country};
pub use grid::Cell;
pub use pack::Unreadable;
pub use station::Station;
pub use tables::Tables;
pub use town::Town;

use grid::Grid;

/// A place on the map; degrees, south and west negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Latitude; degrees from -90 to 90.
    pub latitude_deg: f64,
    /// Longitude; degrees from -180 to 180.
    pub longitude_deg: f64,
}

impl Spot {
    /// Great-circle distance; km.
    #[must_use]
    pub fn km_to(self, other: Self) -> f64 {
        moulder_core::math::sphere::distance_km(
            (self.latitude_deg, self.longitude_deg),
            (other.latitude_deg, other.longitude_deg),
        )
    }
}

/// A set of towns, stations and a grid of normals.
#[derive(Debug, Clone, PartialEq)]
pub struct Places {
    grid: Grid,
    stations: Vec<Station>,
    regions: Vec<Region>,
    towns: Vec<Town>,
    /// Folded names of towns, in order, each with its town.
    names: Vec<(String, usize)>,
}

#[cfg(feature = "full")]
static FULL: std::sync::LazyLock<Places> =
    std::sync::LazyLock::new(|| shipped(include_bytes!("../data/full.bin")));
#[cfg(feature = "light")]
static LIGHT: std::sync::LazyLock<Places> =
    std::sync::LazyLock::new(|| shipped(include_bytes!("../data/light.bin")));

/// A set that is part of the program.
#[cfg(any(feature = "full", feature = "light"))]
fn shipped(bytes: &[u8]) -> Places {
    Places::unpack(bytes).expect("the set is part of the program and read by a test")
}

impl Places {
    /// The full set.
    ///
    /// # Panics
    ///
    /// Never: it is part of the program, and a test reads it whole.
    #[cfg(feature = "full")]
    #[must_use]
    pub fn full() -> &'static Self {
        &FULL
    }

    /// The light set.
    ///
    /// # Panics
    ///
    /// Never: it is part of the program, and a test reads it whole.
    #[cfg(feature = "light")]
    #[must_use]
    pub fn light() -> &'static Self {
        &LIGHT
    }

    /// The better of the sets that are built in; none without either feature.
    #[must_use]
    pub fn built_in() -> Option<&'static Self> {
        #[cfg(feature = "full")]
        return Some(Self::full());
        #[cfg(all(feature = "light", not(feature = "full")))]
        return Some(Self::light());
        #[cfg(not(any(feature = "full", feature = "light")))]
        None
    }

    /// The stations, in the order of the set.
    #[must_use]
    pub fn stations(&self) -> &[Station] {
        &self.stations
    }

    /// The towns, in the order of the set.
    #[must_use]
    pub fn towns(&self) -> &[Town] {
        &self.towns
    }
}
