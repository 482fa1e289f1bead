//! The shipped stations, recomputed from their records.

mod records;

use moulder::internals::library::Library;
use moulder::internals::library::climates::{Climate, Station};
use moulder_core::law::season::Season;
use records::{
    CAMBRIDGE, CAMBRIDGE_1971_2000, PUBLISHED, REFERENCE, REFERENCE_OFF_C, REFERENCE_OFF_RAIN,
    Record, YEARLY, mean_of, thirty_years,
};

/// The only daily record of a station.
const SEATTLE: &str = include_str!("data/climate/seattle_us.csv");

/// Half of the last digit in the station file, plus a margin for rounding.
const ROUNDING: f64 = 0.05 + 1e-9;

/// The columns of a record, with the normals computed from each.
fn columns(climate: &Climate) -> [(&'static str, &[f64; 12]); 3] {
    [
        ("high_c", &climate.high_c),
        ("low_c", &climate.low_c),
        ("rain_mm", &climate.rain_mm),
    ]
}

/// Mean temperature of each month; degC.
fn middles(climate: &Climate) -> [f64; 12] {
    std::array::from_fn(|month| f64::midpoint(climate.high_c[month], climate.low_c[month]))
}

fn station(name: &str) -> Station {
    Library::built_in()
        .find_station(name)
        .expect("shipped")
        .clone()
}

#[track_caller]
fn same(what: &str, shipped: &[f64; 12], rebuilt: &[f64; 12], within: f64) {
    for (month, (shipped, rebuilt)) in (1..).zip(shipped.iter().zip(rebuilt)) {
        assert!(
            (shipped - rebuilt).abs() <= within,
            "{what}, month {month}: shipped {shipped}, from the record {rebuilt}"
        );
    }
}

#[test]
fn records_by_years_give_what_is_shipped() {
    for (name, text, years, poorest) in YEARLY {
        if thirty_years(name).is_some() {
            continue;
        }
        let (climate, record) = (station(name).climate, Record::read(text));
        let mut fewest = usize::MAX;
        for (column, shipped) in columns(&climate) {
            let (rebuilt, figures) = record.normals(column, years.clone());
            fewest = fewest.min(figures);
            same(&format!("{name}, {column}"), shipped, &rebuilt, ROUNDING);
        }
        assert_eq!(fewest, *poorest, "{name}");
    }
}

/// Normals that a short record gives.
fn of_record(name: &str) -> [[f64; 12]; 3] {
    if name == "Seattle US" {
        // Read as a user's own days would be.
        let read = moulder::internals::read::climate_csv::read_csv;
        let climate = read(SEATTLE, name, 47.45).expect("a record of the repository");
        return [climate.high_c, climate.low_c, climate.rain_mm];
    }
    let (_, text, years, _) = YEARLY
        .iter()
        .find(|record| record.0 == name)
        .expect("a record of years");
    let record = Record::read(text);
    ["high_c", "low_c", "rain_mm"].map(|column| record.normals(column, years.clone()).0)
}

/// Thirty years are shipped where a record of a few years says otherwise by 3 % of the rain.
#[test]
fn short_records_give_way_to_thirty_years() {
    let mut gave_way = 0;
    for station in Library::built_in().stations() {
        let climate = &station.climate;
        let Some(normals) = thirty_years(&climate.name) else {
            continue;
        };
        gave_way += 1;
        for ((column, shipped), published) in columns(climate).into_iter().zip(&normals) {
            same(column, shipped, published, 1e-9);
        }
        let rain_mm = |months: &[f64; 12]| months.iter().sum::<f64>();
        let off = rain_mm(&of_record(&climate.name)[2]) / rain_mm(&normals[2]) - 1.0;
        assert!(off.abs() > 0.03, "{}: {off}", climate.name);
    }
    assert_eq!(gave_way, 7);
}

/// The Met Office's own normals for 1971-2000, read in a copy of its table: the same sums over
/// the same record must give them.
#[test]
fn the_sums_give_the_met_office_normals_of_an_older_period() {
    let record = Record::read(CAMBRIDGE);
    // Theirs are rounded from figures we do not have: two highs differ in the last digit.
    let within = 0.1;
    for (column, published) in CAMBRIDGE_1971_2000 {
        let (rebuilt, _) = record.normals(column, 1971.0..=2000.0);
        same(column, published, &rebuilt, within);
    }
    let (rain, _) = record.normals("rain_mm", 1971.0..=2000.0);
    assert!((rain.iter().sum::<f64>() - 553.5).abs() < 0.5);
}

#[test]
fn published_normals_are_shipped_in_other_units() {
    let celsius = |fahrenheit: f64| (fahrenheit - 32.0) / 1.8;
    for (name, text) in PUBLISHED {
        let (climate, record) = (station(name).climate, Record::read(text));
        let high = record.months("high_f", celsius);
        let low = record.months("low_f", celsius);
        let rain = record.months("rain_in", |inches| inches * 25.4);
        same(name, &climate.high_c, &high, ROUNDING);
        same(name, &climate.low_c, &low, ROUNDING);
        same(name, &climate.rain_mm, &rain, ROUNDING);
        // NCEI prints the mean of high and low as well.
        let printed = record.months("mean_f", celsius);
        let middle = std::array::from_fn(|month| f64::midpoint(high[month], low[month]));
        same(name, &printed, &middle, 0.1);
    }
}

#[test]
fn years_are_as_warm_and_wet_as_worked_out_elsewhere() {
    for (name, mean_c, rain_mm) in REFERENCE {
        // The reference is of the record, whatever is shipped.
        let mut climate = station(name).climate;
        if thirty_years(name).is_some() {
            [climate.high_c, climate.low_c, climate.rain_mm] = of_record(name);
        }
        let mean = mean_of(&middles(&climate));
        if let Some(mean_c) = mean_c {
            assert!(
                (mean - mean_c).abs() <= REFERENCE_OFF_C,
                "{name}: {mean} degC"
            );
        }
        let rain: f64 = climate.rain_mm.iter().sum();
        assert!(
            (rain / rain_mm - 1.0).abs() <= REFERENCE_OFF_RAIN,
            "{name}: {rain} mm"
        );
    }
}

/// Largest deviation of the annual course through some normals from them, at mid-month.
fn furthest_off(normals: impl Fn(&Climate) -> [f64; 12]) -> (f64, String) {
    let mut furthest = (0.0, String::new());
    for station in Library::built_in().stations() {
        let normals = normals(&station.climate);
        let season = Season::from_months(&normals);
        for (month, normal) in (0_u32..).zip(normals) {
            let day = (f64::from(month) + 0.5) * moulder_core::DAYS_PER_YEAR / 12.0;
            let off = (season.at(day) - normal).abs();
            if off > furthest.0 {
                furthest = (
                    off,
                    format!("{}, month {}", station.climate.name, month + 1),
                );
            }
        }
    }
    furthest
}

/// The bounds that the documentation of [`Season`] states.
#[test]
fn two_harmonics_follow_every_station() {
    for (bound_c, furthest) in [
        (0.7, furthest_off(middles)),
        (0.9, furthest_off(|climate| climate.high_c)),
        (1.1, furthest_off(|climate| climate.low_c)),
    ] {
        assert!(furthest.0 <= bound_c, "{furthest:?}");
        // A bound far above the deviation would test nothing.
        assert!(furthest.0 > 0.75 * bound_c, "{furthest:?}");
    }
}

/// Normals 1991-2020 of the Bureau for Hobart, from memory: highs 17.7, lows 9.0 degC, 565 mm.
#[test]
fn hobart_is_near_the_figures_the_bureau_gives() {
    let climate = station("Hobart AU").climate;
    assert!((mean_of(&climate.high_c) - 17.7).abs() < 0.15);
    assert!((mean_of(&climate.low_c) - 9.0).abs() < 0.1);
    assert!((climate.rain_mm.iter().sum::<f64>() - 565.0).abs() < 5.0);
}

#[test]
fn every_station_is_whole() {
    let library = Library::built_in();
    // All of them are rebuilt and compared above.
    let mut shipped: Vec<&str> = library
        .stations()
        .map(|s| s.climate.name.as_str())
        .collect();
    let mut rebuilt: Vec<&str> = YEARLY.iter().map(|record| record.0).collect();
    rebuilt.extend(PUBLISHED.iter().map(|record| record.0));
    rebuilt.push("Seattle US");
    let mut compared: Vec<&str> = REFERENCE.iter().map(|reference| reference.0).collect();
    for names in [&mut shipped, &mut rebuilt, &mut compared] {
        names.sort_unstable();
    }
    assert_eq!(shipped, rebuilt);
    assert_eq!(shipped, compared);
    for station in library.stations() {
        let climate = &station.climate;
        let name = &climate.name;
        for month in 0..12 {
            assert!(climate.low_c[month] < climate.high_c[month], "{name}");
            // A tropical dry season has months without any.
            assert!(climate.rain_mm[month] >= 0.0, "{name}");
        }
        let january_warmer = climate.high_c[0] > climate.high_c[6];
        assert_eq!(january_warmer, climate.latitude_deg < 0.0, "{name}");
        assert!((-180.0..=180.0).contains(&station.longitude_deg), "{name}");
        assert!((0.0..=3000.0).contains(&station.elevation_m), "{name}");
        for words in [
            &station.about,
            &station.years,
            &station.source,
            &station.licence,
        ] {
            assert!(!words.trim().is_empty(), "{name}");
        }
    }
}

#[test]
fn missing_months_are_left_out_and_estimates_kept() {
    let record = Record::read(
        "# note\nyear,month,high_c\n2001,1,4.0*\n2002,1,---\n2003,1,\n2004,1,6.0\n2005,1,90.0\n",
    );
    let column = record.column("high_c");
    assert_eq!(record.rows.len(), 5);
    assert_eq!(record.rows[1][column], None);
    let (normals, _) = record.normals("high_c", 2001.0..=2004.0);
    assert!((normals[0] - 5.0).abs() < 1e-12, "{}", normals[0]);
}
