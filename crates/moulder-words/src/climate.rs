//! Where an estimated climate is from, and how far it may be off, in the owner's units.

use moulder::internals::numeric::student::TENTH_T;
use moulder::{Climate, Units};

/// Kilometres in a mile (exact: international mile of 5280 ft; memory: NIST Handbook 44,
/// appendix C).
pub const MILE_KM: f64 = 1.609_344;
/// Metres in a foot (exact).
pub const FOOT_M: f64 = 0.3048;

/// The credit that the data of places and climates ask for.
pub const CREDIT: &str = "Climate: WMO Climatological Standard Normals 1991-2020 (national \
    meteorological services; NOAA NCEI Accession 0253808, doi:10.25921/800j-vn07); MERRA-2 (NASA \
    GMAO, doi:10.5067/KVIMOMCUO83U); contains modified Copernicus Climate Change Service \
    information 1991-2020 (ERA5, Hersbach et al. 2023, CC BY 4.0), neither the European Commission \
    nor ECMWF is responsible for any use of it. Places: GeoNames (geonames.org), CC BY 4.0. \
    Changed by us.";

/// Where an estimated climate is from and how far it may be off; none for normals that were
/// measured or given.
///
/// ```
/// use moulder::{Library, Units};
/// use moulder_words::climate::estimate_in_words;
///
/// let measured = Library::built_in().climate("Cambridge UK")?.clone();
/// assert_eq!(estimate_in_words(&measured, Units::Metric), None);
/// # Ok::<(), moulder::Error>(())
/// ```
#[must_use]
pub fn estimate_in_words(climate: &Climate, units: Units) -> Option<String> {
    let estimate = climate.estimate.as_ref()?;
    let higher_m = estimate.station_height_m - estimate.height_m;
    let side = if higher_m < 0.0 { "lower" } else { "higher" };
    let higher = if higher_m.abs() < 10.0 {
        String::new()
    } else {
        format!(" and {} {side}", height(higher_m.abs(), units))
    };
    let station = if estimate.station.is_empty() {
        String::new()
    } else {
        format!(" {}", estimate.station)
    };
    let away = distance(estimate.station_km, units);
    let name = &climate.name;
    let from = if estimate.is_the_station {
        format!(
            "The temperatures of {name} are those of the station{station}, {away} away{higher}."
        )
    } else {
        format!(
            "The climate of {name}, {} above the sea, is estimated from a map and stations around \
             it, the nearest{} {away} away{higher}.",
            height(estimate.height_m, units),
            if station.is_empty() {
                String::new()
            } else {
                format!(",{station},")
            }
        )
    };
    Some(format!("{from} {}", sureness(climate, units)?))
}

/// How far an estimated climate may be off; none for others.
#[must_use]
pub fn sureness(climate: &Climate, units: Units) -> Option<String> {
    let estimate = climate.estimate.as_ref()?;
    let warmth_k = TENTH_T * estimate.warmth_k;
    let warmth = match units {
        Units::Us => format!("{:.1} degrees Fahrenheit", 1.8 * warmth_k),
        _ => format!("{warmth_k:.1} degrees Celsius"),
    };
    let rain = 100.0 * (libm::exp(TENTH_T * estimate.ln_rain) - 1.0);
    Some(format!(
        "In 8 in 10 such places the year is within {warmth} of it and its rain within {rain:.0} %; \
         a forecast reckons with that."
    ))
}

/// A distance on the map.
#[must_use]
pub fn distance(km: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{:.0} miles", km / MILE_KM),
        _ => format!("{km:.0} km"),
    }
}

/// A height above the sea.
#[must_use]
pub fn height(height_m: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{:.0} ft", height_m / FOOT_M),
        _ => format!("{height_m:.0} m"),
    }
}
