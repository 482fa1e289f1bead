//! What to buy.

use moulder::TopUps;
use moulder::purchases::{TopUp, TopUpInterval};
use moulder_words::figure::amount::{volume_figure, volume_unit, weight_figure, weight_unit};
use moulder_words::figure::height::{rough_figure, unit};
use moulder_words::forecast::spoken_date;
use moulder_words::range::{date_or_months, from_to, wholes};
use moulder_words::topup::{plural, policy_in_words, refill_in_words, sum_in_words};
use moulder_words::topup_range::{draws_in_words, sum_in_ranges};

use crate::name::in_a_line;
use crate::table::{Row, Table};

/// A top-up in a smaller share of the realisations gets no row.
const RARE: f64 = 0.05;

/// The sentence about a nominal run without an interval.
const NO_BAND: &str = "No range: take these figures as the middle of a wide one, and order \
                       again by the tape.";

/// The shopping list.
pub(crate) struct Shopping {
    /// The sum.
    pub(crate) sum: String,
    /// When it is topped up, and with what.
    pub(crate) policy: String,
    /// How many beds like it there are, where there are more than one.
    pub(crate) beds: Option<u32>,
    /// Each top-up; none where none is due.
    pub(crate) list: Option<Table>,
    /// From when a refill is worth considering, and the uncertainty of all that.
    pub(crate) after: Vec<String>,
}

impl Shopping {
    /// That of those top-ups.
    pub(crate) fn of(topups: &TopUps) -> Self {
        let rows: Vec<Row> = match &topups.intervals {
            Some(bands) => {
                let lines = bands.top_ups.iter();
                let likely = lines.filter(|line| line.chance >= RARE);
                likely.map(|line| ensemble_forecast(line, topups)).collect()
            }
            None => topups
                .top_ups
                .iter()
                .map(|line| nominal(line, topups))
                .collect(),
        };
        let sum = sum_in_ranges(topups, false).unwrap_or_else(|| sum_in_words(topups, false));
        let sure = draws_in_words(topups).unwrap_or_else(|| NO_BAND.to_owned());
        Self {
            sum: in_a_line(&sum),
            policy: in_a_line(&policy_in_words(topups)),
            beds: (topups.beds > 1).then_some(topups.beds),
            list: (!rows.is_empty()).then(|| table(topups, rows)),
            after: refill_in_words(topups).into_iter().chain([sure]).collect(),
        }
    }
}

fn table(topups: &TopUps, rows: Vec<Row>) -> Table {
    let units = topups.units;
    let mark = if topups.has_rim {
        "rim"
    } else {
        "first height"
    };
    let mut headings = vec![
        "When".to_owned(),
        format!("Below the {mark}, {}", unit(units)),
        format!("Lay on, {}", volume_unit(units)),
        format!("Weight, {}", weight_unit(units)),
        in_a_line(&format!("Buy, {}", plural(&topups.package.name, 2))),
    ];
    if topups.intervals.is_some() {
        headings.push("How likely".to_owned());
    }
    Table {
        id: "shopping".to_owned(),
        class: "shopping",
        caption: in_a_line(&format!(
            "Top-ups with {}{}",
            topups.material,
            if topups.intervals.is_some() {
                "; in brackets where 8 in 10 such beds lie"
            } else {
                ""
            }
        )),
        headings,
        rows,
    }
}

/// A top-up of the nominal run.
fn nominal(topup: &TopUp, topups: &TopUps) -> Row {
    let units = topups.units;
    Row {
        head: spoken_date(topup.date),
        cells: vec![
            rough_figure(topup.below_before_m, units),
            volume_figure(topup.laid_m3, units),
            weight_figure(topup.laid_kg, units),
            topup.bought.to_string(),
        ],
    }
}

/// A top-up with its intervals.
fn ensemble_forecast(line: &TopUpInterval, topups: &TopUps) -> Row {
    let units = topups.units;
    let order = topups.order(line);
    let ranged = |told: f64, band: &moulder::Interval, shown: &dyn Fn(f64) -> String| {
        let range = from_to(&shown(band.lower), &shown(band.upper));
        format!("{} ({range})", shown(told))
    };
    let when = if line.date.lower == line.date.upper {
        spoken_date(line.date.lower)
    } else {
        date_or_months(&line.date)
    };
    Row {
        head: when,
        cells: vec![
            ranged(line.below_before_m.mean, &line.below_before_m, &|m| {
                rough_figure(m, units)
            }),
            ranged(
                order.map_or(line.laid_m3.mean, |order| order.laid_m3),
                &line.laid_m3,
                &|m3| volume_figure(m3, units),
            ),
            ranged(
                order.map_or(line.laid_kg.mean, |order| order.laid_kg),
                &line.laid_kg,
                &|kg| weight_figure(kg, units),
            ),
            order.map_or_else(
                || wholes(&line.bought),
                |order| format!("{} ({})", order.bought, wholes(&line.bought)),
            ),
            format!("{:.0} in 10", (line.chance * 10.0).round()),
        ],
    }
}
