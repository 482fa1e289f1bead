//! Tape measure readings, beside the forecast of those days.

use moulder::Bed;
use moulder::Forecast;
use moulder::months::Day;
use moulder_chart::internals::plot::reading::Reading;
use moulder_words::figure::height::{rough_figure, unit};
use moulder_words::forecast::spoken_date;

use crate::name::in_a_line;
use crate::table::{Row, Table};

/// The readings of a bed beside its forecast; none where there are none.
pub(crate) fn table(bed: &Bed, forecast: &Forecast, days: &[Day]) -> Option<Table> {
    if bed.readings().is_empty() {
        return None;
    }
    let units = forecast.units;
    let has_bands = !forecast.intervals.is_empty();
    let mut headings = vec![
        "Date".to_owned(),
        format!("Read, {}", unit(units)),
        format!("Give or take, {}", unit(units)),
        format!("Forecast, {}", unit(units)),
    ];
    if has_bands {
        headings.extend(["from", "to"].map(|end| format!("{end}, {}", unit(units))));
    }
    headings.push("Note".to_owned());
    let told = |height_m: f64| {
        let from_m = forecast.rim_m.map_or(height_m, |rim_m| rim_m - height_m);
        rough_figure(from_m, units)
    };
    let readings = bed.readings().iter().zip(Reading::all_of(bed));
    let rows = readings.map(|(read, reading)| {
        let day = days.iter().find(|day| day.on == read.on);
        let expected_m = day.and_then(|day| day.height_m(forecast));
        let said = expected_m.map_or_else(|| "beyond its months".to_owned(), told);
        let mut cells = vec![
            told(read.height_m),
            rough_figure(reading.plus_minus_m, units),
            said,
        ];
        if has_bands {
            let band = day.and_then(|day| day.interval_m(forecast));
            let ends = band.map_or_else(Default::default, |band| match forecast.rim_m {
                Some(_) => [told(band.upper), told(band.lower)],
                None => [told(band.lower), told(band.upper)],
            });
            cells.extend(ends);
        }
        cells.push(read.note.as_deref().map(in_a_line).unwrap_or_default());
        Row {
            head: spoken_date(read.on),
            cells,
        }
    });
    let what = match forecast.rim_m {
        Some(_) => "Depths below the rim",
        None => "Heights above the ground",
    };
    let range = if has_bands {
        " From and to: where the forecast has 8 in 10 such beds."
    } else {
        ""
    };
    Some(Table {
        id: "tape-table".to_owned(),
        class: "tape",
        caption: format!("{what}, in {}.{range}", unit(units)),
        headings,
        rows: rows.collect(),
    })
}
