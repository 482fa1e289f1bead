//! Unreadable weather files, with the message for each.

/// One test per file: the messages are the snapshot.
macro_rules! told {
    ($($test:ident: $file:literal,)+) => {$(
        #[test]
        fn $test() {
            let text = include_str!(concat!("data/bad-weather/", $file, ".csv"));
            let faults = moulder::internals::read::climate_csv::read_csv(text, "Quarry Rise", 51.5).unwrap_err();
            insta::assert_snapshot!($file, faults);
        }
    )+};
}

told! {
    bad_days: "bad-days",
    days_missing: "days-missing",
    decimal_commas: "decimal-commas",
    misspelt_columns: "misspelt-columns",
    months_missing: "months-missing",
    no_heading: "no-heading",
    quoted_commas: "quoted-commas",
    semicolons: "semicolons",
    short_series: "short-series",
    wrong_figures: "wrong-figures",
}

/// Days that were measured leave less to chance, and are the same in every realisation; a record
/// that ends before the filling changes nothing.
#[test]
fn measured_days_narrow_the_water() {
    use moulder::Bed;
    use moulder::filled::WeatherRecord;

    let filled = Bed::example().filled();
    let text = "date,high_c,low_c,rain_mm\n";
    let mut on = filled.saturating_sub(jiff::ToSpan::days(40));
    let mut rows = Vec::new();
    for number in 0..250 {
        let rain_mm = if number % 5 == 0 { 8 } else { 0 };
        rows.push(format!(
            "{on},{},{},{rain_mm}\n",
            15 + number % 7,
            5 + number % 3
        ));
        on = on.tomorrow().unwrap();
    }
    let old: String = rows[..39].concat();
    let record = |rows: &str| WeatherRecord::from_csv(&format!("{text}{rows}")).unwrap();
    let with = Bed::example().with_weather(record(&rows.concat())).unwrap();
    let before = Bed::example().with_weather(record(&old)).unwrap();
    let run = |bed: &Bed| bed.forecast().months(6).ensemble_size(16).run().unwrap();
    let (known, drawn) = (run(&with), run(&Bed::example()));
    let width_l = |forecast: &moulder::Forecast| {
        let water_l = forecast.intervals[6].water_l;
        water_l.upper - water_l.lower
    };
    assert!(
        width_l(&known) < 0.9 * width_l(&drawn),
        "{} {}",
        width_l(&known),
        width_l(&drawn)
    );
    assert_eq!(
        known.weather_until,
        Some(filled.saturating_add(jiff::ToSpan::days(209)))
    );
    assert_eq!(drawn.weather_until, None);
    assert_eq!(run(&before).months, drawn.months);
}
