//! The shipped stations, worked out again from their records.

use moulder::station::{Station, Stations};

const CAMBRIDGE: &str = include_str!("data/climate/cambridge_uk.csv");
const LEBANON: &str = include_str!("data/climate/lebanon_nh_us.csv");
const HOBART: &str = include_str!("data/climate/hobart_au.csv");

/// Half of the last digit that the station file shows, and room for binary fractions.
const ROUNDING: f64 = 0.05 + 1e-9;

/// Rows of figures by column; a missing figure is `None`.
struct Record {
    columns: Vec<String>,
    rows: Vec<Vec<Option<f64>>>,
}

impl Record {
    fn read(text: &str) -> Self {
        let mut lines = text.lines().filter(|line| !line.starts_with('#'));
        let cells = |line: &str| -> Vec<String> { line.split(',').map(str::to_owned).collect() };
        let columns = cells(lines.next().expect("a heading"));
        let rows = lines
            .map(|line| {
                let row: Vec<_> = cells(line).iter().map(|cell| figure(cell)).collect();
                assert_eq!(row.len(), columns.len(), "{line}");
                row
            })
            .collect();
        Self { columns, rows }
    }

    fn column(&self, name: &str) -> usize {
        self.columns
            .iter()
            .position(|column| column == name)
            .expect("the column")
    }

    /// Mean of a column by month over some years, and how many figures the
    /// poorest month had.
    fn normals(&self, column: &str, years: std::ops::RangeInclusive<f64>) -> ([f64; 12], usize) {
        let (column, year) = (self.column(column), self.column("year"));
        let month = self.column("month");
        let mut means = [0.0; 12];
        let mut fewest = usize::MAX;
        for (number, mean) in (1_u8..).zip(&mut means) {
            let figures: Vec<f64> = self
                .rows
                .iter()
                .filter(|row| row[month] == Some(f64::from(number)))
                .filter(|row| row[year].is_some_and(|year| years.contains(&year)))
                .filter_map(|row| row[column])
                .collect();
            *mean = mean_of(&figures);
            fewest = fewest.min(figures.len());
        }
        (means, fewest)
    }

    /// A column of twelve months, each turned into another unit.
    fn months(&self, column: &str, turned: impl Fn(f64) -> f64) -> [f64; 12] {
        let column = self.column(column);
        assert_eq!(self.rows.len(), 12);
        std::array::from_fn(|month| turned(self.rows[month][column].expect("a figure")))
    }
}

/// A printed figure; the mark of an estimate is dropped, `---` and nothing are missing.
fn figure(cell: &str) -> Option<f64> {
    match cell.trim_end_matches(['*', '#']) {
        "" | "---" => None,
        printed => Some(printed.parse().expect("a figure")),
    }
}

fn mean_of(figures: &[f64]) -> f64 {
    let count = u16::try_from(figures.len()).expect("few figures");
    figures.iter().sum::<f64>() / f64::from(count)
}

fn station(name: &str) -> Station {
    Stations::built_in().find(name).expect("shipped").clone()
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
fn cambridge_is_the_mean_of_thirty_years() {
    let (climate, record) = (station("Cambridge UK").climate, Record::read(CAMBRIDGE));
    for (column, shipped) in [
        ("high_c", &climate.high_c),
        ("low_c", &climate.low_c),
        ("rain_mm", &climate.rain_mm),
    ] {
        let (rebuilt, fewest) = record.normals(column, 1991.0..=2020.0);
        assert_eq!(fewest, 30, "{column}");
        same(column, shipped, &rebuilt, ROUNDING);
    }
}

/// The Met Office's own normals for 1971-2000, read in a copy of its table:
/// the same sums over the same record must give them.
#[test]
fn the_sums_give_the_met_office_normals_of_an_older_period() {
    let record = Record::read(CAMBRIDGE);
    let high = [
        7.0, 7.4, 10.2, 12.6, 16.5, 19.4, 22.2, 22.3, 18.9, 14.6, 9.9, 7.8,
    ];
    let low = [
        1.3, 1.1, 2.9, 4.0, 6.7, 9.8, 12.0, 11.9, 10.1, 7.1, 3.7, 2.3,
    ];
    let rain = [
        45.0, 32.7, 41.5, 43.1, 44.5, 53.8, 38.2, 48.8, 51.0, 53.8, 51.1, 50.0,
    ];
    // Theirs are rounded from figures we do not have: two highs differ in the last digit.
    let within = 0.1;
    for (column, published) in [("high_c", &high), ("low_c", &low), ("rain_mm", &rain)] {
        let (rebuilt, _) = record.normals(column, 1971.0..=2000.0);
        same(column, published, &rebuilt, within);
    }
    let (rain, _) = record.normals("rain_mm", 1971.0..=2000.0);
    assert!((rain.iter().sum::<f64>() - 553.5).abs() < 0.5);
}

#[test]
fn lebanon_is_the_published_normals_in_other_units() {
    let (climate, record) = (station("Lebanon NH US").climate, Record::read(LEBANON));
    let celsius = |fahrenheit: f64| (fahrenheit - 32.0) / 1.8;
    let high = record.months("high_f", celsius);
    let low = record.months("low_f", celsius);
    let rain = record.months("rain_in", |inches| inches * 25.4);
    same("high", &climate.high_c, &high, ROUNDING);
    same("low", &climate.low_c, &low, ROUNDING);
    same("rain", &climate.rain_mm, &rain, ROUNDING);
    // NCEI prints the mean of high and low as well.
    let printed = record.months("mean_f", celsius);
    let middle = std::array::from_fn(|month| f64::midpoint(high[month], low[month]));
    same("mean", &printed, &middle, 0.1);
}

#[test]
fn hobart_is_the_mean_of_nearly_nine_years() {
    let (climate, record) = (station("Hobart AU").climate, Record::read(HOBART));
    for (column, shipped) in [
        ("high_c", &climate.high_c),
        ("low_c", &climate.low_c),
        ("rain_mm", &climate.rain_mm),
    ] {
        let (rebuilt, fewest) = record.normals(column, 2008.0..=2017.0);
        assert!(fewest >= 8, "{column}: {fewest}");
        same(column, shipped, &rebuilt, ROUNDING);
    }
}

/// Normals 1991-2020 of the Bureau for Hobart, from memory: highs 17.7, lows 9.0
/// degC, 565 mm. Nine other years may differ by half a degree and a tenth.
#[test]
fn hobart_is_near_the_figures_the_bureau_gives() {
    let climate = station("Hobart AU").climate;
    assert!((mean_of(&climate.high_c) - 17.7).abs() < 0.5);
    assert!((mean_of(&climate.low_c) - 9.0).abs() < 0.5);
    assert!((climate.rain_mm.iter().sum::<f64>() - 565.0).abs() < 56.0);
}

#[test]
fn every_station_is_whole() {
    let stations = Stations::built_in();
    assert_eq!(stations.iter().count(), 3);
    for station in stations.iter() {
        let climate = &station.climate;
        let name = &climate.name;
        for month in 0..12 {
            assert!(climate.low_c[month] < climate.high_c[month], "{name}");
            assert!(climate.rain_mm[month] > 0.0, "{name}");
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
