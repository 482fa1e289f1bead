//! Stations near a place, and when the user's own normals are better.

use moulder_core::math::sphere::distance_km;

use crate::library::climates::{Station, Stations};

/// Beyond this distance a station does not represent a place; km. Common practice, no source.
pub const FAR_KM: f64 = 100.0;

/// Beyond this difference in elevation a station does not represent a place; m. Common practice,
/// no source: at a lapse rate of 0.65 K per 100 m (memory) more than one kelvin.
pub const FAR_UP_M: f64 = 200.0;

impl Stations {
    /// Every station with its great-circle distance in km, nearest first; ties keep the order of
    /// the list.
    ///
    /// Latitude and longitude are in degrees, south and west negative. The earth is taken as a
    /// sphere, which is right within half a percent. NaN coordinates give NaN distances.
    #[must_use]
    pub fn by_distance(&self, latitude_deg: f64, longitude_deg: f64) -> Vec<(f64, &Station)> {
        let here = (latitude_deg, longitude_deg);
        let mut found: Vec<(f64, &Station)> = self
            .iter()
            .map(|station| {
                let there = (station.climate.latitude_deg, station.longitude_deg);
                (distance_km(here, there), station)
            })
            .collect();
        found.sort_by(|one, other| one.0.total_cmp(&other.0));
        found
    }
}

/// Advice on a station at that distance in km.
///
/// `elevation_m` is the elevation of the user's place in m, if known. Beyond [`FAR_KM`] or
/// [`FAR_UP_M`] the advice is to use own normals. Both limits are common practice without a
/// source: hills, coasts and towns can make a nearer station wrong, and plains a farther one
/// right.
#[must_use]
pub fn in_words(km: f64, station: &Station, elevation_m: Option<f64>) -> String {
    let name = &station.climate.name;
    let up_m = elevation_m.map(|elevation_m| station.elevation_m - elevation_m);
    let height = match up_m {
        None => String::new(),
        Some(up_m) if up_m.abs() < 0.5 => " and as high as your place".to_owned(),
        Some(up_m) if up_m > 0.0 => format!(" and {up_m:.0} m higher than your place"),
        Some(up_m) => format!(" and {:.0} m lower than your place", -up_m),
    };
    // NaN is never near.
    let near = km <= FAR_KM && up_m.is_none_or(|up_m| up_m.abs() <= FAR_UP_M);
    let advice = match (near, up_m) {
        (true, Some(_)) => "It will do.",
        (true, None) => "It will do, unless your place is much higher or lower.",
        (false, _) => {
            "It cannot stand for your place: twelve months of your own numbers are better."
        }
    };
    format!("{name} is {km:.0} km away{height}. {advice}")
}

#[cfg(test)]
mod tests {
    use super::in_words;
    use crate::library::climates::Stations;

    #[test]
    fn stations_come_nearest_first() {
        let stations = Stations::built_in();
        let near = stations.by_distance(-42.0, 147.0);
        assert_eq!(near.len(), stations.iter().count());
        assert_eq!(near[0].1.climate.name, "Hobart AU");
        assert!(near.is_sorted_by(|one, other| one.0 <= other.0));
        assert!(stations.by_distance(f64::NAN, 0.0)[0].0.is_nan());
        assert!(Stations::new(Vec::new()).by_distance(0.0, 0.0).is_empty());
    }

    #[test]
    fn own_normals_are_advised_beyond_either_limit() {
        let stations = Stations::built_in();
        // It stands 26 m above the sea.
        let station = stations.find("Cambridge UK").unwrap();
        let own = "It cannot stand for your place: twelve months of your own numbers are better.";
        for (km, elevation_m, expected) in [
            (
                40.0,
                None,
                "Cambridge UK is 40 km away. It will do, unless your place is much higher or lower."
                    .to_owned(),
            ),
            (
                100.0,
                Some(226.0),
                "Cambridge UK is 100 km away and 200 m lower than your place. It will do.".to_owned(),
            ),
            (
                3.2,
                Some(26.0),
                "Cambridge UK is 3 km away and as high as your place. It will do.".to_owned(),
            ),
            (
                101.0,
                Some(0.0),
                format!("Cambridge UK is 101 km away and 26 m higher than your place. {own}"),
            ),
            (
                20.0,
                Some(240.0),
                format!("Cambridge UK is 20 km away and 214 m lower than your place. {own}"),
            ),
        ] {
            assert_eq!(in_words(km, station, elevation_m), expected);
        }
        assert!(in_words(f64::NAN, station, None).ends_with(own));
        assert!(in_words(1.0, station, Some(f64::NAN)).ends_with(own));
    }
}
