//! The bed month by month, as a table.

use moulder::{Forecast, Month};
use moulder_words::figure::height::{figure, rough_figure, unit};
use moulder_words::forecast::{bands_of, spoken_date};
use moulder_words::parts::row_adding_up;
use moulder_words::range::from_to;

use crate::table::{Row, Table};

/// Months from one row to the next, where that is few enough rows.
const USUAL_STEP: u32 = 3;
/// Most rows that are still easy to read.
const ROWS: u32 = 16;
/// Years are whole.
const YEAR: u32 = 12;

/// The table: where the surface lies, and in full why.
pub(crate) fn table(forecast: &Forecast, is_full: bool) -> Table {
    let unit = unit(forecast.units);
    let has_bands = !forecast.intervals.is_empty();
    let has_rim = forecast.rim_m.is_some();
    let added = forecast.months.iter().any(|row| row.added_m > 0.0);
    let with_unit = |heading: &str| format!("{heading}, {unit}");
    let mut headings = vec!["Date".to_owned()];
    if has_rim {
        headings.push(with_unit("Below the rim"));
    }
    headings.push(with_unit("Height"));
    if has_bands {
        headings.push(with_unit("8 in 10 such"));
    }
    if added {
        headings.push(with_unit("Laid on"));
    }
    if is_full {
        let causes = [
            "Sunk",
            "Settled",
            "Sifted down",
            "Soft stuff rotted",
            "Wood rotted",
        ];
        headings.extend(causes.map(with_unit));
    }
    let mut caption = String::new();
    caption.push_str(match (has_bands, has_rim) {
        (true, true) => "The range is of the depth below the rim; a minus means above it.",
        (true, false) => "The range is of the height.",
        (false, true) => "Below the rim, a minus means above it.",
        (false, false) => "Without anything laid on.",
    });
    if is_full {
        caption.push_str(" The last four columns add up to what has sunk.");
    }
    let step = step(last_month(forecast));
    let shown = forecast
        .months
        .iter()
        .filter(|row| row.month % step == 0 || row.month == last_month(forecast));
    let rows = shown.map(|row| cells(row, forecast, (added, is_full)));
    Table {
        id: "months".to_owned(),
        class: "months",
        caption,
        headings,
        rows: rows.collect(),
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

fn cells(row: &Month, forecast: &Forecast, (added, is_full): (bool, bool)) -> Row {
    let units = forecast.units;
    let row = &row_adding_up(row, units);
    let below = row.below_rim_m.map(|below_m| figure(below_m, units));
    let mut cells: Vec<String> = below.into_iter().collect();
    cells.push(figure(row.height_m, units));
    if !forecast.intervals.is_empty() {
        cells.push(range(forecast, row));
    }
    if added {
        cells.push(figure(row.added_m, units));
    }
    if is_full {
        let split = &row.parts;
        let causes = [
            row.settlement_m,
            split.mechanical_m,
            split.fines_migration_m,
            split.nonwoody_decay_m,
            split.wood_decay_m,
        ];
        cells.extend(causes.map(|fall_m| figure(fall_m, units)));
    }
    Row {
        head: spoken_date(row.date),
        cells,
    }
}

/// The ends of its interval, below the rim or over the ground.
fn range(forecast: &Forecast, row: &Month) -> String {
    bands_of(forecast, row).map_or_else(String::new, |bands| {
        let ends_m = bands.below_rim_m.unwrap_or(bands.height_m).ends();
        let [low, high] = ends_m.map(|end_m| rough_figure(end_m, forecast.units));
        from_to(&low, &high)
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
