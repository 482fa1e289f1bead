//! The stations that ship with the library.

use moulder::internals::library::Library;
use moulder::internals::library::climates::Climate;

use crate::check::{Check, point};
use crate::records::{
    CAMBRIDGE, CAMBRIDGE_1971_2000, PUBLISHED, REFERENCE, REFERENCE_OFF_C, REFERENCE_OFF_RAIN,
    Record, YEARLY, mean_of, thirty_years,
};
use crate::source::{Source, memory, own, read};
use crate::subject::Subject;

/// The records and figures are those of `crates/moulder/tests/stations.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Climate",
        sources: vec![
            rebuilt(),
            thirty_years_of_the_services(),
            older_period(),
            normals(),
            reference(),
            hobart(),
        ],
    }
}

/// Largest monthly deviation of some normals from others; NaN without data.
fn furthest(pairs: &[(&[f64; 12], [f64; 12])]) -> f64 {
    (pairs.iter())
        .flat_map(|(one, other)| one.iter().zip(other))
        .map(|(one, other)| (one - other).abs())
        .reduce(f64::max)
        .unwrap_or(f64::NAN)
}

/// Deviation of a station's shipped normals from others: high, low and rain.
fn off(name: &str, others: impl Fn(&Climate) -> [[f64; 12]; 3]) -> f64 {
    Library::built_in()
        .find_station(name)
        .map_or(f64::NAN, |station| {
            let climate = &station.climate;
            let [high_c, low_c, rain_mm] = others(climate);
            furthest(&[
                (&climate.high_c, high_c),
                (&climate.low_c, low_c),
                (&climate.rain_mm, rain_mm),
            ])
        })
}

fn rebuilt() -> Source {
    let by_years = YEARLY
        .iter()
        .filter(|record| thirty_years(record.0).is_none());
    let by_years = by_years.map(|(name, text, years, _)| {
        let record = Record::read(text);
        let got = off(name, |_| {
            ["high_c", "low_c", "rain_mm"].map(|column| record.normals(column, years.clone()).0)
        });
        point(format!("{name}, furthest off"), "0.0", got)
    });
    let checks: Vec<Check> = by_years.collect();
    read(
        "Open records of the services (LICENSE-DATA): normals worked out again, the month and \
         figure that is furthest from the shipped one; degC or mm",
        checks,
    )
}

fn thirty_years_of_the_services() -> Source {
    let library = Library::built_in();
    let stations = library.stations().map(|station| &station.climate.name);
    let checks = stations.filter_map(|name| {
        let normals = thirty_years(name)?;
        Some(point(
            format!("{name}, furthest off"),
            "0.0",
            off(name, |_| normals),
        ))
    });
    read(
        "WMO Climatological Standard Normals 1991-2020 (NOAA NCEI Accession 0253808): shipped where \
         a shorter record contradicts them",
        checks.collect(),
    )
}

fn older_period() -> Source {
    let record = Record::read(CAMBRIDGE);
    let checks = CAMBRIDGE_1971_2000.iter().map(|(column, published)| {
        let (rebuilt, _) = record.normals(column, 1971.0..=2000.0);
        point(
            format!("{column}, furthest off"),
            "0.0",
            furthest(&[(published, rebuilt)]),
        )
        .wider(0.1, "theirs are rounded from figures we do not have")
    });
    read(
        "Met Office, normals of Cambridge 1971-2000, in a copy of its table",
        checks.collect(),
    )
}

fn normals() -> Source {
    let checks = PUBLISHED.iter().map(|(name, text)| {
        let record = Record::read(text);
        let celsius = |fahrenheit: f64| (fahrenheit - 32.0) / 1.8;
        let got = off(name, |_| {
            [
                record.months("high_f", celsius),
                record.months("low_f", celsius),
                record.months("rain_in", |inches| inches * 25.4),
            ]
        });
        point(format!("{name}, furthest off"), "0.0", got)
    });
    read(
        "NCEI, normals in degF and inches, shipped in other units",
        checks.collect(),
    )
}

/// Annual mean temperature and rain.
fn year(name: &str) -> (f64, f64) {
    let library = Library::built_in();
    library
        .find_station(name)
        .map_or((f64::NAN, f64::NAN), |station| {
            let climate = &station.climate;
            let mean_c = f64::midpoint(mean_of(&climate.high_c), mean_of(&climate.low_c));
            (mean_c, climate.rain_mm.iter().sum())
        })
}

fn reference() -> Source {
    const BECAUSE: &str = "missing months counted otherwise, normals of 1981-2010; rain 0.5 %";
    let mut checks = Vec::new();
    // Where a short record gave way, the reference is of that record.
    let shipped = REFERENCE.iter().filter(|row| thirty_years(row.0).is_none());
    for (name, mean_c, rain_mm) in shipped {
        let (our_mean_c, our_rain_mm) = year(name);
        if let Some(mean_c) = mean_c {
            checks.push(
                point(
                    format!("{name}: mean, degC"),
                    mean_c.to_string(),
                    our_mean_c,
                )
                .wider(REFERENCE_OFF_C, BECAUSE),
            );
        }
        checks.push(
            point(
                format!("{name}: rain, mm"),
                rain_mm.to_string(),
                our_rain_mm,
            )
            .wider((10.0 * REFERENCE_OFF_RAIN * rain_mm).ceil() / 10.0, BECAUSE),
        );
    }
    own(
        "Worked out apart from us when the records were gathered (Ringway's rain from memory)",
        checks,
    )
}

fn hobart() -> Source {
    let library = Library::built_in();
    let [high_c, low_c] = library
        .find_station("Hobart AU")
        .map_or([f64::NAN; 2], |station| {
            [&station.climate.high_c, &station.climate.low_c].map(|months| mean_of(months))
        });
    memory(
        "Bureau of Meteorology, Hobart 1991-2020",
        vec![
            point("mean high, degC", "17.7", high_c).wider(0.15, "recalled; WMO has 0.1 more"),
            point("mean low, degC", "9.0", low_c),
            point("rain, mm", "565", year("Hobart AU").1).wider(2.0, "sums of rounded months"),
        ],
    )
}
