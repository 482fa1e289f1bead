//! Weather records and published figures of them, for the tests and for `examples/validation`.

use std::ops::RangeInclusive;

/// A record by years and months: station, averaged years, and number of figures of its poorest
/// month.
pub(crate) type Yearly = (&'static str, &'static str, RangeInclusive<f64>, usize);

macro_rules! record {
    ($file:literal) => {
        include_str!(concat!("../data/climate/", $file, ".csv"))
    };
}

pub(crate) const CAMBRIDGE: &str = record!("cambridge_uk");

pub(crate) const YEARLY: &[Yearly] = &[
    ("Cambridge UK", CAMBRIDGE, 1991.0..=2020.0, 30),
    ("Aberporth UK", record!("aberporth_uk"), 1991.0..=2020.0, 30),
    ("Lowestoft UK", record!("lowestoft_uk"), 1991.0..=2020.0, 27),
    ("Nairn UK", record!("nairn_uk"), 1991.0..=2020.0, 27),
    ("Ringway UK", record!("ringway_uk"), 1971.0..=2000.0, 30),
    ("Ann Arbor US", record!("ann_arbor_us"), 1991.0..=2020.0, 29),
    (
        "Los Angeles US",
        record!("los_angeles_us"),
        1991.0..=2020.0,
        30,
    ),
    ("Wichita US", record!("wichita_us"), 1981.0..=2011.0, 30),
    ("Adelaide AU", record!("adelaide_au"), 2007.0..=2017.0, 8),
    (
        "Alice Springs AU",
        record!("alice_springs_au"),
        2007.0..=2017.0,
        8,
    ),
    ("Brisbane AU", record!("brisbane_au"), 2007.0..=2017.0, 8),
    ("Canberra AU", record!("canberra_au"), 2007.0..=2017.0, 9),
    ("Darwin AU", record!("darwin_au"), 2007.0..=2017.0, 8),
    ("Hobart AU", record!("hobart_au"), 2007.0..=2017.0, 8),
    ("Mildura AU", record!("mildura_au"), 2007.0..=2017.0, 7),
    ("Perth AU", record!("perth_au"), 2007.0..=2017.0, 8),
    ("Sydney AU", record!("sydney_au"), 2007.0..=2017.0, 8),
];

/// Records that are normals already, in degF and inches.
pub(crate) const PUBLISHED: &[(&str, &str)] = &[
    ("Lebanon NH US", record!("lebanon_nh_us")),
    ("Richmond VA US", record!("richmond_va_us")),
];

/// Normals of 1991-2020 of the stations whose own record is short and contradicts them: these
/// are shipped, and the record gives the spread of years alone.
const THIRTY_YEARS: &str = record!("normals_1991_2020");

/// High, low and rain by month of a station whose short record gave way to normals.
pub(crate) fn thirty_years(name: &str) -> Option<[[f64; 12]; 3]> {
    let mut figures = [[f64::NAN; 12]; 3];
    let mut found = false;
    for line in THIRTY_YEARS.lines() {
        let cells: Vec<&str> = line.split(',').collect();
        if cells[0] != name {
            continue;
        }
        let month: usize = cells[2].parse().expect("a month");
        for (figures, cell) in figures.iter_mut().zip(&cells[3..]) {
            figures[month - 1] = cell.parse().expect("a figure");
        }
        found = true;
    }
    found.then_some(figures)
}

/// Annual mean in degC and rain in mm, computed independently of us when the records were
/// gathered; Lebanon's from the normals of 1981-2010. Ringway has none there: its rain is the
/// Met Office's for 1971-2000, from memory.
pub(crate) const REFERENCE: &[(&str, Option<f64>, f64)] = &[
    ("Cambridge UK", Some(10.73), 563.0),
    ("Aberporth UK", Some(10.19), 930.8),
    ("Lowestoft UK", Some(10.74), 627.7),
    ("Nairn UK", Some(8.86), 665.2),
    ("Ringway UK", None, 806.6),
    ("Ann Arbor US", Some(9.99), 971.9),
    ("Lebanon NH US", Some(7.78), 966.0),
    ("Los Angeles US", Some(19.08), 362.3),
    ("Richmond VA US", Some(14.90), 1107.5),
    ("Seattle US", Some(12.31), 1106.4),
    ("Wichita US", Some(13.89), 820.0),
    ("Adelaide AU", Some(17.90), 573.1),
    ("Alice Springs AU", Some(21.24), 323.4),
    ("Brisbane AU", Some(21.54), 1159.5),
    ("Canberra AU", Some(13.88), 635.7),
    ("Darwin AU", Some(27.90), 1907.0),
    ("Hobart AU", Some(13.55), 586.5),
    ("Mildura AU", Some(17.86), 347.3),
    ("Perth AU", Some(19.11), 686.5),
    ("Sydney AU", Some(19.01), 1203.2),
];

/// Allowed deviation of a year from its reference, where missing months were counted otherwise;
/// degC.
pub(crate) const REFERENCE_OFF_C: f64 = 0.05;

/// The same of rain, as a fraction.
pub(crate) const REFERENCE_OFF_RAIN: f64 = 0.005;

/// Rows of figures by column; a missing figure is `None`.
pub(crate) struct Record {
    columns: Vec<String>,
    pub(crate) rows: Vec<Vec<Option<f64>>>,
}

impl Record {
    pub(crate) fn read(text: &str) -> Self {
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

    pub(crate) fn column(&self, name: &str) -> usize {
        self.columns
            .iter()
            .position(|column| column == name)
            .expect("the column")
    }

    /// Mean of a column by month over some years, and the number of figures of the poorest
    /// month.
    pub(crate) fn normals(&self, column: &str, years: RangeInclusive<f64>) -> ([f64; 12], usize) {
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

    /// A column of twelve months, each converted to another unit.
    pub(crate) fn months(&self, column: &str, turned: impl Fn(f64) -> f64) -> [f64; 12] {
        let column = self.column(column);
        assert_eq!(self.rows.len(), 12);
        std::array::from_fn(|month| turned(self.rows[month][column].expect("a figure")))
    }
}

/// A printed figure; the mark of an estimate is dropped, `---` and an empty field are missing.
fn figure(cell: &str) -> Option<f64> {
    match cell.trim_end_matches(['*', '#']) {
        "" | "---" => None,
        printed => Some(printed.parse().expect("a figure")),
    }
}

pub(crate) fn mean_of(figures: &[f64]) -> f64 {
    let count = u16::try_from(figures.len()).expect("few figures");
    figures.iter().sum::<f64>() / f64::from(count)
}

/// The Met Office's own normals of Cambridge for 1971-2000, read in a copy of its table; degC
/// and mm.
pub(crate) const CAMBRIDGE_1971_2000: &[(&str, [f64; 12])] = &[
    (
        "high_c",
        [
            7.0, 7.4, 10.2, 12.6, 16.5, 19.4, 22.2, 22.3, 18.9, 14.6, 9.9, 7.8,
        ],
    ),
    (
        "low_c",
        [
            1.3, 1.1, 2.9, 4.0, 6.7, 9.8, 12.0, 11.9, 10.1, 7.1, 3.7, 2.3,
        ],
    ),
    (
        "rain_mm",
        [
            45.0, 32.7, 41.5, 43.1, 44.5, 53.8, 38.2, 48.8, 51.0, 53.8, 51.1, 50.0,
        ],
    ),
];
