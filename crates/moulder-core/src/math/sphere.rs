//! Distances on the earth, taken as a sphere.

/// Mean radius of the earth; km (IUGG, 6371.0088 km, memory).
pub const EARTH_RADIUS_KM: f64 = 6371.0088;

/// Great-circle distance of two places, given by latitude and longitude in degrees; km. Right
/// within half a percent. NaN coordinates give NaN.
///
/// ```
/// use moulder_core::math::sphere::distance_km;
///
/// let quarter_km = distance_km((0.0, 0.0), (0.0, 90.0));
/// assert!((quarter_km - 10_007.6).abs() < 0.1);
/// ```
#[must_use]
pub fn distance_km(one: (f64, f64), other: (f64, f64)) -> f64 {
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
    use super::{EARTH_RADIUS_KM, distance_km};

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
}
