//! A weather file, by months or by days.

use moulder::internals::library::climates::Climate;
use moulder::internals::read::climate_csv::{read_csv, read_record};

use super::told::told;

pub(super) fn read(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    read_days(text);
    match read_csv(text, "here", 52.0) {
        Ok(climate) => {
            let twelve = 0..12;
            for month in twelve {
                let (high, low) = (climate.high_c[month], climate.low_c[month]);
                assert!(high.is_finite() && low.is_finite() && low <= high);
                let rain = climate.rain_mm[month];
                assert!(rain.is_finite() && rain >= 0.0);
            }
            let again = read_csv(&printed(&climate), "here", 52.0);
            assert_eq!(again.as_ref(), Ok(&climate));
        }
        Err(faults) => told(&faults, text),
    }
}

/// As days; one that is no record says why.
fn read_days(text: &str) {
    match read_record(text) {
        Ok(record) => {
            assert!(record.first() <= record.last());
            let day = record.on(record.last());
            let figures = [day.high_c, day.low_c, day.rain_mm];
            assert!(figures.iter().any(Option::is_some));
            assert!(figures.iter().flatten().all(|figure| figure.is_finite()));
        }
        Err(faults) => told(&faults, text),
    }
}

/// The climate as a file of months.
fn printed(climate: &Climate) -> String {
    let months = (0..12).map(|month| {
        let (high, low) = (climate.high_c[month], climate.low_c[month]);
        let rain = climate.rain_mm[month];
        format!("{},{high},{low},{rain}", month + 1)
    });
    let head = "month,high_c,low_c,rain_mm".to_owned();
    let lines: Vec<String> = core::iter::once(head).chain(months).collect();
    lines.join("\n") + "\n"
}
