//! A file of weather, of months or of days.

use moulder::station::Climate;
use moulder::weather::read_csv;

use super::told::told;

pub(super) fn read(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
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

/// The climate as a file of months.
fn printed(climate: &Climate) -> String {
    let mut text = "month,high_c,low_c,rain_mm\n".to_owned();
    for month in 0..12 {
        let (high, low) = (climate.high_c[month], climate.low_c[month]);
        let rain = climate.rain_mm[month];
        text.push_str(&format!("{},{high},{low},{rain}\n", month + 1));
    }
    text
}
