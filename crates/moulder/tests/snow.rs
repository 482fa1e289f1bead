//! Snow against records.

mod records;

use std::path::Path;

use jiff::civil::date;
use moulder::filled::WeatherRecord;
use moulder::internals::library::Library;
use moulder::internals::model::weather::{WeatherSource, under_snow};
use moulder_core::law::snow::{DAY_TO_DAY, Days, WARMER_IN_RAIN};

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
/// Depth of fresh snow over its water: 10 is common practice, 13 a mean of the United States
/// (Baxter, Graves & Moore 2005, from memory).
const DEPTH_OVER_WATER: [f64; 2] = [10.0, 13.0];

/// The snow of a winter, and how it spreads over its months.
#[test]
fn as_much_snow_falls_as_at_ann_arbor() {
    let library = Library::built_in();
    let climate = &library.find_station("Ann Arbor US").unwrap().climate;
    let weather = WeatherSource::of(climate).lay_out(date(2026, 7, 1), 365, 1);
    let deviation_k = DAY_TO_DAY.best * 26.6;
    let mut snow_mm = [0.0; 12];
    let mut on = date(2026, 7, 1);
    for day in weather.days() {
        let month = usize::from(on.month().unsigned_abs()) - 1;
        snow_mm[month] += Days::about(day.mean_c, deviation_k).snow_share() * day.rain_mm;
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
    // Most of January's lies until it thaws; by May all has come down.
    let below = under_snow(&weather, |_| deviation_k);
    let sum = |from: usize, to: usize| -> [f64; 2] {
        [&weather, &below]
            .map(|weather| weather.days()[from..to].iter().map(|day| day.rain_mm).sum())
    };
    let [fell_mm, came_mm] = sum(184, 215);
    assert!(
        (0.4..0.95).contains(&(came_mm / fell_mm)),
        "{came_mm} of {fell_mm}"
    );
    let [fell_mm, came_mm] = sum(0, 320);
    assert!(
        (came_mm / fell_mm - 1.0).abs() < 1e-3,
        "{came_mm} of {fell_mm}"
    );
}

/// The two figures of generated winters are those of the eight daily records.
#[test]
fn days_of_winter_spread_as_in_the_records() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/hindcast/days");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap().path())
        .collect();
    files.sort();
    assert_eq!(files.len(), 8);
    for file in files {
        let record = WeatherRecord::from_csv(&std::fs::read_to_string(&file).unwrap()).unwrap();
        let day_of = |on| -> Option<(f64, f64)> {
            let day = record.on(on);
            Some((f64::midpoint(day.high_c?, day.low_c?), day.rain_mm?))
        };
        let months = (2015..2026).flat_map(|year| (1..=12_i8).map(move |month| (year, month)));
        let months: Vec<(i8, f64, Vec<(f64, f64)>)> = months
            .map(|(year, month)| {
                let first = date(year, month, 1);
                let days: Vec<_> = (0..first.days_in_month())
                    .filter_map(|day| day_of(date(year, month, day + 1)))
                    .collect();
                let warmth: Vec<f64> = days.iter().map(|day| day.0).collect();
                (month, records::mean_of(&warmth), days)
            })
            .collect();
        let mean_of = |wanted: i8| {
            let of = months.iter().filter(|month| month.0 == wanted);
            records::mean_of(&of.map(|month| month.1).collect::<Vec<_>>())
        };
        let means_c = (1..=12).map(mean_of);
        let (least, most) = means_c.fold((f64::INFINITY, f64::NEG_INFINITY), |ends, mean_c| {
            (ends.0.min(mean_c), ends.1.max(mean_c))
        });
        let winter = months.iter().filter(|month| [12, 1, 2].contains(&month.0));
        let (mut squares, mut count, mut warmer, mut rain) = (0.0, 0.0, 0.0, 0.0);
        for (_, mean_c, days) in winter {
            for (day_c, rain_mm) in days {
                squares += (day_c - mean_c) * (day_c - mean_c);
                count += 1.0;
                warmer += (day_c - mean_c) * rain_mm;
                rain += rain_mm;
            }
        }
        let deviation_k = f64::sqrt(squares / count);
        let (spread, ratio) = (deviation_k / (most - least), warmer / rain / deviation_k);
        let within = |value: &moulder::Sourced, found: f64| {
            (value.spread.low..=value.spread.high).contains(&found)
        };
        assert!(within(&DAY_TO_DAY, spread), "{}: {spread}", file.display());
        assert!(
            within(&WARMER_IN_RAIN, ratio),
            "{}: {ratio}",
            file.display()
        );
    }
}
