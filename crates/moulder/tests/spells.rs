//! Days of a month, and snow, against records.

use std::path::Path;

use jiff::civil::date;
use moulder::filled::WeatherRecord;
use moulder::internals::library::Library;
use moulder::internals::model::weather::{
    CLOUD, DAY_MEMORY, DAY_TO_DAY, MONTH_RANGE, RANGE_WITH_RAIN, WARMER_IN_RAIN, WET_MEMORY,
};
use moulder::internals::model::weather::{WeatherSource, under_snow};
use moulder_core::law::snow::snow_share;

/// Fresh snow at Ann Arbor by month from November to April, mean of 1991-2020; mm of depth. NOAA
/// Global Summary of the Month, USC00200230 (public domain), column SNOW.
const FRESH_SNOW_MM: [(usize, f64); 6] = [
    (10, 103.0),
    (11, 323.0),
    (0, 465.0),
    (1, 387.0),
    (2, 211.0),
    (3, 66.0),
];
/// Depth of fresh snow over its water: 8 when it falls wet, 10 on average (both common practice),
/// 13 a mean of the United States (Baxter, Graves & Moore 2005, from memory).
const DEPTH_OVER_WATER: [f64; 2] = [8.0, 13.0];

/// The snow of a winter, and how it spreads over its months.
#[test]
fn as_much_snow_falls_as_at_ann_arbor() {
    let library = Library::built_in();
    let climate = &library.find_station("Ann Arbor US").unwrap().climate;
    // Twenty normal winters.
    let weather = WeatherSource::of(climate).lay_out(date(2026, 7, 1), 20 * 365, 1);
    let mut snow_mm = [0.0; 12];
    let mut on = date(2026, 7, 1);
    for day in weather.days() {
        let month = usize::from(on.month().unsigned_abs()) - 1;
        snow_mm[month] += snow_share(day.mean_c) * day.rain_mm / 20.0;
        on = on.tomorrow().unwrap();
    }
    let measured_mm: f64 = FRESH_SNOW_MM.iter().map(|(_, mm)| mm).sum();
    let [most_mm, least_mm] = DEPTH_OVER_WATER.map(|ratio| measured_mm / ratio);
    let year_mm: f64 = snow_mm.iter().sum();
    assert!(
        (least_mm..most_mm).contains(&year_mm),
        "{year_mm}: {least_mm} to {most_mm}"
    );
    for (month, measured) in FRESH_SNOW_MM {
        let (ours, theirs) = (snow_mm[month] / year_mm, measured / measured_mm);
        assert!((ours - theirs).abs() < 0.06, "{month}: {ours} {theirs}");
    }
    // In frost next to nothing comes down; in the end all has.
    let below = under_snow(&weather);
    let (mut frost_mm, mut fell_mm, mut came_mm) = (0.0, 0.0, 0.0);
    for (open, below) in weather.days().iter().zip(below.days()) {
        if open.mean_c < -2.0 {
            frost_mm += open.rain_mm;
            came_mm += below.rain_mm;
        }
        fell_mm += open.rain_mm - below.rain_mm;
    }
    assert!(
        frost_mm > 500.0 && came_mm < 0.05 * frost_mm,
        "{came_mm} of {frost_mm}"
    );
    assert!(fell_mm.abs() < 1e-6, "{fell_mm}");
}

/// A day: mean temperature, half the daily range, rain.
type Day = [f64; 3];

/// What the days of a season have about their months.
#[derive(Default)]
struct Season {
    squares: f64,
    days: f64,
    products: f64,
    pairs: f64,
    before: f64,
    wet: f64,
    rain_mm: f64,
    rain_k: f64,
    dry_k: f64,
    wet_range: f64,
    dry_range: f64,
    after_wet: f64,
    wet_after_wet: f64,
    /// Of each month, by how much its daily range and its rain differ from the usual, as shares.
    months: Vec<[f64; 2]>,
}

impl Season {
    fn add(&mut self, days: &[Day], half_range_k: f64, rain_mm: f64) {
        let mean =
            |figure: usize| days.iter().map(|day| day[figure]).sum::<f64>() / as_float(days.len());
        self.months
            .push([mean(1) / half_range_k - 1.0, mean(2) / rain_mm - 1.0]);
        let mean_c = mean(0);
        for day in days {
            let warmer_k = day[0] - mean_c;
            self.squares += warmer_k * warmer_k;
            self.days += 1.0;
            self.rain_mm += day[2];
            self.rain_k += day[2] * warmer_k;
            if day[2] >= WET_MM {
                self.wet += 1.0;
                self.wet_range += day[1] / half_range_k;
            } else {
                self.dry_k += warmer_k;
                self.dry_range += day[1] / half_range_k;
            }
        }
        for pair in days.windows(2) {
            let warmer_k = pair[0][0] - mean_c;
            self.products += warmer_k * (pair[1][0] - mean_c);
            self.before += warmer_k * warmer_k;
            self.pairs += 1.0;
            if pair[0][2] >= WET_MM {
                self.after_wet += 1.0;
                self.wet_after_wet += f64::from(u8::from(pair[1][2] >= WET_MM));
            }
        }
    }

    fn deviation_k(&self) -> f64 {
        f64::sqrt(self.squares / self.days)
    }

    /// Standard deviation of the range of months, and its correlation with rain.
    fn range_of_months(&self) -> [f64; 2] {
        let product = |one: usize, other: usize| {
            let products = self.months.iter().map(|month| month[one] * month[other]);
            products.sum::<f64>() / as_float(self.months.len())
        };
        let deviation = f64::sqrt(product(0, 0));
        [
            deviation,
            product(0, 1) / deviation / f64::sqrt(product(1, 1)),
        ]
    }

    /// Share of wet days, and of those after a wet one.
    fn wet_shares(&self) -> [f64; 2] {
        [self.wet / self.days, self.wet_after_wet / self.after_wet]
    }

    /// How much wider the range of dry days is.
    fn cloud(&self) -> f64 {
        self.dry_range / (self.days - self.wet) - self.wet_range / self.wet
    }
}

/// A wet day has as much; mm.
const WET_MM: f64 = 1.0;

#[allow(clippy::cast_precision_loss, reason = "small counts")]
fn as_float(count: usize) -> f64 {
    count as f64
}

/// Eleven years of a daily record.
struct Years {
    /// The days of each month, with its place in the year.
    months: Vec<(usize, Vec<Day>)>,
    /// Half the daily range of each month of the year, and its rain a day.
    usual: [[f64; 12]; 2],
    /// Between the coldest and the warmest month; K.
    range_k: f64,
}

fn years_of(file: &Path) -> Years {
    let text = std::fs::read_to_string(file).expect("a file of the repository");
    let record = WeatherRecord::from_csv(&text).expect("a record");
    let day_of = |on| -> Option<Day> {
        let day = record.on(on);
        let (high_c, low_c) = (day.high_c?, day.low_c?);
        Some([
            f64::midpoint(high_c, low_c),
            0.5 * (high_c - low_c),
            day.rain_mm?,
        ])
    };
    let months: Vec<(usize, Vec<Day>)> = (2015..2026)
        .flat_map(|year| (0..12_i8).map(move |month| (year, month)))
        .map(|(year, month)| {
            let first = date(year, month + 1, 1);
            let days =
                (0..first.days_in_month()).filter_map(|day| day_of(date(year, month + 1, day + 1)));
            (usize::from(month.unsigned_abs()), days.collect())
        })
        .collect();
    let mean_of = |figure: usize| -> [f64; 12] {
        std::array::from_fn(|wanted| {
            let of = months.iter().filter(|(month, _)| *month == wanted);
            let days: Vec<f64> = of
                .flat_map(|(_, days)| days)
                .map(|day| day[figure])
                .collect();
            days.iter().sum::<f64>() / as_float(days.len())
        })
    };
    let means_c = mean_of(0);
    let warmest_c = means_c.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let coldest_c = means_c.iter().copied().fold(f64::INFINITY, f64::min);
    Years {
        usual: [mean_of(1), mean_of(2)],
        range_k: warmest_c - coldest_c,
        months,
    }
}

/// The figures of generated days are those of the eight daily records, season by season.
#[test]
fn days_follow_each_other_as_in_the_records() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/hindcast/days");
    let files = std::fs::read_dir(folder).unwrap();
    let mut files: Vec<_> = files.map(|file| file.unwrap().path()).collect();
    files.sort();
    assert_eq!(files.len(), 8);
    let within = |value: &moulder::Sourced, found: f64, what: &str| {
        // One station's season of eleven years may lie a little outside.
        let held = (value.spread.low - 0.03..=value.spread.high + 0.03).contains(&found);
        assert!(held, "{what}: {found}, {:?}", value.spread);
    };
    for file in files {
        let Years {
            months,
            usual: [half_range_k, rain_mm],
            range_k,
        } = years_of(&file);
        for season in 0..4 {
            let mut found = Season::default();
            // From December on.
            for (month, days) in &months {
                if (month + 1) % 12 / 3 == season {
                    found.add(days, half_range_k[*month], rain_mm[*month]);
                }
            }
            let what = format!("{}, season {season}", file.display());
            within(&DAY_TO_DAY, found.deviation_k() / range_k, &what);
            within(&DAY_MEMORY, found.products / found.before, &what);
            within(&CLOUD, found.cloud(), &what);
            let [deviation, with_rain] = found.range_of_months();
            within(&MONTH_RANGE, deviation, &what);
            within(&RANGE_WITH_RAIN, with_rain, &what);
            if season == 0 {
                let warmer_k =
                    found.rain_k / found.rain_mm - found.dry_k / (found.days - found.wet);
                within(&WARMER_IN_RAIN, warmer_k / found.deviation_k(), &what);
            }
            let [wet, after_wet] = found.wet_shares();
            assert!(
                (0.05..0.28).contains(&(after_wet - wet)),
                "{what}: {wet} {after_wet}"
            );
        }
    }
}

/// Generated wet days keep together as those of the records do: between the least and the most of
/// their seasons.
#[test]
fn wet_days_keep_together() {
    assert!(WET_MEMORY.best > 0.0);
    let library = Library::built_in();
    for (name, least, most) in [("Cambridge UK", 0.08, 0.28), ("Ann Arbor US", 0.08, 0.28)] {
        let climate = &library.find_station(name).unwrap().climate;
        let weather = WeatherSource::of(climate).lay_out(date(2026, 1, 1), 40 * 365, 3);
        let is_wet: Vec<bool> = weather.days().iter().map(|day| day.rain_mm > 0.0).collect();
        let share =
            |of: Vec<bool>| as_float(of.iter().filter(|wet| **wet).count()) / as_float(of.len());
        let after: Vec<bool> = is_wet
            .windows(2)
            .filter(|pair| pair[0])
            .map(|pair| pair[1])
            .collect();
        let more = share(after) - share(is_wet);
        assert!((least..most).contains(&more), "{name}: {more}");
    }
}
