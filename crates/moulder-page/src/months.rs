//! The bed month by month, as a table.

use moulder::{Forecast, Month};
use moulder_words::figure::height::{figure, rough_figure, spelt};
use moulder_words::forecast::{bands_of, spoken_date};
use moulder_words::parts::row_adding_up;

use crate::table::{Row, Table};

/// Months from one row to the next, where that is few enough rows.
const USUAL_STEP: u32 = 3;
/// Most rows that are still easy to read.
const ROWS: u32 = 16;
/// Years are whole.
const YEAR: u32 = 12;

/// The table.
pub(crate) fn table(forecast: &Forecast) -> Table {
    let has_bands = !forecast.intervals.is_empty();
    let has_rim = forecast.rim_m.is_some();
    let added = forecast.months.iter().any(|row| row.added_m > 0.0);
    let mut headings = vec!["Date", "Month", "Height", "Sunk"];
    if added {
        headings.push("Laid on");
    }
    if has_rim {
        headings.push("Below the rim");
    }
    if has_bands {
        headings.extend(["from", "to"]);
    }
    headings.extend(["Settled", "Sifted down", "Soft stuff rotted", "Wood rotted"]);
    let mut caption = format!("Heights in {}.", spelt(forecast.units));
    caption.push_str(match (has_bands, has_rim) {
        (true, true) => {
            " 8 in 10 such beds lie as far below the rim as the columns from and to \
             say; a minus means above the rim."
        }
        (true, false) => " 8 in 10 such mounds stand as high as the columns from and to say.",
        (false, true) => " Below the rim, a minus means above it.",
        (false, false) => "",
    });
    caption.push_str(" The last four columns add up to what has sunk.");
    let step = step(last_month(forecast));
    let shown = forecast
        .months
        .iter()
        .filter(|row| row.month % step == 0 || row.month == last_month(forecast));
    Table {
        id: "months".to_owned(),
        class: "months",
        caption,
        headings: headings.into_iter().map(str::to_owned).collect(),
        rows: shown.map(|row| cells(row, forecast, added)).collect(),
    }
}

fn last_month(forecast: &Forecast) -> u32 {
    forecast.months.last().map_or(0, |row| row.month)
}

/// Months from one row to the next: three, or whole years where there would be too many.
pub(crate) fn step(last: u32) -> u32 {
    if last < USUAL_STEP * 2 {
        1
    } else if last <= USUAL_STEP * ROWS {
        USUAL_STEP
    } else {
        last.div_ceil(YEAR * ROWS) * YEAR
    }
}

fn cells(row: &Month, forecast: &Forecast, added: bool) -> Row {
    let units = forecast.units;
    let row = &row_adding_up(row, units);
    let mut cells = vec![
        row.month.to_string(),
        figure(row.height_m, units),
        figure(row.settlement_m, units),
    ];
    if added {
        cells.push(figure(row.added_m, units));
    }
    if forecast.rim_m.is_some() {
        let below = row.below_rim_m.map(|below_m| figure(below_m, units));
        cells.push(below.unwrap_or_default());
    }
    if !forecast.intervals.is_empty() {
        cells.extend(ends(forecast, row));
    }
    let split = &row.parts;
    let causes = [
        split.mechanical_m,
        split.fines_migration_m,
        split.nonwoody_decay_m,
        split.wood_decay_m,
    ];
    cells.extend(causes.map(|fall_m| figure(fall_m, units)));
    Row {
        head: spoken_date(row.date),
        cells,
    }
}

/// The ends of its interval, below the rim or over the ground.
fn ends(forecast: &Forecast, row: &Month) -> [String; 2] {
    bands_of(forecast, row).map_or_else(Default::default, |bands| {
        let ends_m = bands.below_rim_m.unwrap_or(bands.height_m).ends();
        ends_m.map(|end_m| rough_figure(end_m, forecast.units))
    })
}

#[cfg(test)]
mod tests {
    use super::step;

    #[test]
    fn a_reader_is_spared_most_rows() {
        let rows = |last: u32| last.div_ceil(step(last)) + 1;
        assert_eq!((step(1), step(5), step(6), step(24)), (1, 1, 3, 3));
        for last in 1..=1200 {
            assert!(rows(last) <= 18, "{last}");
        }
    }
}
