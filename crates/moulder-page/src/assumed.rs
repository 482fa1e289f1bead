//! Defaults, taken where the bed file gives nothing.

use moulder::Bed;
use moulder::Forecast;
use moulder::filled::DefaultUsed;
use moulder_words::default_value::{field, in_order, no_width, widths_left_out};
use moulder_words::figure::height::{figure, unit};

use crate::name::in_a_line;
use crate::table::{Row, Table};

/// Every default, from the ground up; with widths by a month, the widest first; with its source or
/// without. None without defaults.
pub(crate) fn table(
    bed: &Bed,
    forecast: &Forecast,
    (month, has_sources): (Option<u32>, bool),
    id: &str,
) -> Option<Table> {
    if forecast.defaults.is_empty() {
        return None;
    }
    let units = forecast.units;
    let of = |assumed: &DefaultUsed| assumed.width_it_adds_m;
    // The month of the widths, where there are any.
    let month = month.filter(|_| forecast.defaults.iter().any(|one| of(one).is_some()));
    let all = in_order(bed, &forecast.defaults, month.is_some());
    let rows = all.into_iter().map(|(place, assumed)| {
        let mut cells = vec![in_a_line(&field(&assumed.path)), in_a_line(&assumed.value)];
        if month.is_some() {
            let none = || no_width(assumed).to_owned();
            cells.push(of(assumed).map_or_else(none, |width_m| figure(width_m, units)));
        }
        if has_sources {
            cells.push(in_a_line(&assumed.source));
        }
        Row {
            head: in_a_line(&place),
            cells,
        }
    });
    let mut headings = ["Where", "What", "Taken as"].map(str::to_owned).to_vec();
    let mut caption =
        "Write a line of your own into the bed file to replace any of these.".to_owned();
    if let Some(month) = month {
        headings.push(format!("Moves the sink by, {}", unit(units)));
        let said = format!(
            " What moves the surface most comes first: by so much the sink after {month} months \
             differs between the low and the high end of what is believed of it, all else at \
             its middle. A hyphen: a word, a choice or a size of which no range is believed."
        );
        caption.push_str(&said);
        if let Some(said) = widths_left_out(bed, &forecast.defaults) {
            caption.push(' ');
            caption.push_str(&said);
        }
    }
    if has_sources {
        headings.push("Source".to_owned());
    }
    Some(Table {
        id: id.to_owned(),
        class: "assumed",
        caption,
        headings,
        rows: rows.collect(),
    })
}
