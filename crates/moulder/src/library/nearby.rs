//! Stations near a place, and when the user's own normals are better.

use crate::library::climates::{Station, Stations};

/// Mean radius of the earth; km (IUGG, 6371.0088 km, memory).
const EARTH_RADIUS_KM: f64 = 6371.0088;

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

/// Great-circle distance of two places, given by latitude and longitude in degrees; km.
fn distance_km(one: (f64, f64), other: (f64, f64)) -> f64 {
    let half_sine = |from_deg: f64, to_deg: f64| {
        let sine = libm::sin((to_deg - from_deg).to_radians() / 2.0);
        sine * sine
    };
    let cosines = libm::cos(one.0.to_radians()) * libm::cos(other.0.to_radians());
    let haversine = half_sine(one.0, other.0) + cosines * half_sine(one.1, other.1);
    2.0 * EARTH_RADIUS_KM * libm::asin(libm::sqrt(haversine.clamp(0.0, 1.0)))
}

#[cfg(test)]
mod tests {
    use super::{EARTH_RADIUS_KM, distance_km, in_words};
    use crate::library::climates::Stations;

    #[test]
    fn distances_are_those_of_a_sphere() {
        let quarter = EARTH_RADIUS_KM * core::f64::consts::FRAC_PI_2;
        for (one, other, expected) in [
            ((0.0, 0.0), (0.0, 90.0), quarter),
            ((90.0, 12.0), (0.0, -77.0), quarter),
            ((50.0, 30.0), (-50.0, -150.0), 2.0 * quarter),
            ((12.0, 34.0), (12.0, 34.0), 0.0),
            // Over the date line, one degree of the equator.
            ((0.0, 179.5), (0.0, -179.5), quarter / 90.0),
        ] {
            let found = distance_km(one, other);
            assert!(
                (found - expected).abs() < 1e-6,
                "{one:?} {other:?}: {found}"
            );
            assert_eq!(found.to_bits(), distance_km(other, one).to_bits());
        }
    }

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
