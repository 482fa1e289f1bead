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
