//! The forecast: a bed month by month.

use jiff::civil::Date;
use jiff::{Span, ToSpan};
use moulder_solve::march::March;
use moulder_solve::schedule::Schedule;
use moulder_solve::snapshot::Snapshot;
use schemars::JsonSchema;
use serde::Serialize;

use crate::bed::{Bed, Units};
use crate::compile::{NoRoom, compile};
use crate::draw::Draw;
use crate::notice::{DefaultUsed, Notice, Severity};
use crate::tape::reading;
use crate::watcher::{Go, Watcher};

/// Longest forecast: a hundred years.
pub const MONTHS_LIMIT: u32 = 1200;

/// Version of the form in which a forecast is written as JSON.
pub const SCHEMA_VERSION: u32 = 1;

/// A bed month by month, with all it takes to make the same forecast again.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct Forecast {
    /// Version of the engine.
    pub engine: &'static str,
    /// Version of this form.
    pub schema: u32,
    /// Seed of the draws; none while there is only the middle one.
    pub seed: Option<u64>,
    /// How many draws the bands rest on; 0 for the middle line alone.
    pub draws: u32,
    /// Why the forecast ends where it ends.
    pub ended: Ended,
    /// What the owner calls the bed.
    pub name: String,
    /// Day zero, year-month-day.
    pub filled: String,
    /// The climate it stands in.
    pub climate: String,
    /// The units the owner thinks in; figures here are SI whatever they are.
    pub units: Units,
    /// Height of the rim above the ground; m.
    pub rim_m: Option<f64>,
    /// Names of the layers, from the ground up.
    pub layers: Vec<String>,
    /// Whether there is any wood in the bed.
    pub has_wood: bool,
    /// Rows, day zero first.
    pub months: Vec<MonthRow>,
    /// What was assumed where the document is silent.
    pub defaults: Vec<DefaultUsed>,
    /// What a reader should know.
    pub notices: Vec<Notice>,
}

/// Why a forecast ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Ended {
    /// It covers the months asked for.
    MonthsDone,
}

/// One bed on one day.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct MonthRow {
    /// Months since filling.
    pub month: u32,
    /// The day, year-month-day: the day of filling that many months on, held to the
    /// month's end.
    pub date: String,
    /// Height of the surface over the ground beside the bed; m.
    pub height_m: f64,
    /// How far the surface lies below the rim, negative above it; m.
    pub below_rim_m: Option<f64>,
    /// Fall of the surface since filling; m.
    pub sunk_m: f64,
    /// What the fall is made of; adds up to it.
    pub split: SinkSplit,
    /// Carbon left in the bed; kg.
    pub carbon_kg: f64,
    /// Share of the carbon of day zero that is left.
    pub carbon_left: f64,
    /// Carbon given off as carbon dioxide since filling; kg.
    pub carbon_released_kg: f64,
    /// Mass of the fill, water included; kg.
    pub wet_kg: f64,
    /// Layers from the ground up.
    pub layers: Vec<LayerRow>,
}

/// The fall of the surface by cause; m. See [`moulder_solve::split`] for the rule.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct SinkSplit {
    /// Own weight, first wetting, creep, and a bag's bulging.
    pub settling_m: f64,
    /// Soil and compost trickling into gaps below.
    pub sifting_m: f64,
    /// Leaves, grass, card, turf and compost rotting.
    pub soft_rot_m: f64,
    /// Logs and prunings rotting.
    pub wood_rot_m: f64,
}

impl SinkSplit {
    /// The whole fall; m.
    #[must_use]
    pub fn sum_m(&self) -> f64 {
        self.settling_m + self.sifting_m + self.soft_rot_m + self.wood_rot_m
    }
}

/// One layer on one day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct LayerRow {
    /// Thickness; m.
    pub thickness_m: f64,
    /// Carbon in it; kg.
    pub carbon_kg: f64,
    /// Mass, water included; kg.
    pub wet_kg: f64,
}

/// Why there is no forecast.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum ForecastError {
    /// More months were asked for than a forecast covers.
    TooManyMonths {
        /// How many were asked for.
        asked: u32,
    },
    /// A mound whose sides meet before a layer is in.
    NoRoom(NoRoom),
    /// The watcher stopped it.
    Stopped,
}

impl core::fmt::Display for ForecastError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::TooManyMonths { asked } => write!(
                f,
                "a forecast covers at most {MONTHS_LIMIT} months, and {asked} were asked for"
            ),
            Self::NoRoom(no_room) => write!(f, "{no_room}; use less, or a wider foot"),
            Self::Stopped => f.write_str("the forecast was stopped before it was done"),
        }
    }
}

impl core::error::Error for ForecastError {}

impl From<NoRoom> for ForecastError {
    fn from(no_room: NoRoom) -> Self {
        Self::NoRoom(no_room)
    }
}

/// Forecasts a bed for `months` months.
///
/// Fast path accuracy: within 1 mm of height and 0.1 % of carbon of the reference
/// path at every month (tested on the demo beds over ten years). The figures are a
/// middle line: there is no band yet.
///
/// # Errors
///
/// Too many months, a mound without room for its layers, or a watcher that stops it.
///
/// # Examples
///
/// See the front page of the crate.
pub fn forecast(
    bed: &Bed,
    months: u32,
    watcher: &mut dyn Watcher,
) -> Result<Forecast, ForecastError> {
    forecast_with(bed, months, Schedule::default(), watcher)
}

/// [`forecast`] with steps of one's own: for tests of accuracy.
///
/// # Errors
///
/// As [`forecast`].
pub fn forecast_with(
    bed: &Bed,
    months: u32,
    schedule: Schedule,
    watcher: &mut dyn Watcher,
) -> Result<Forecast, ForecastError> {
    if months > MONTHS_LIMIT {
        return Err(ForecastError::TooManyMonths { asked: months });
    }
    let compiled = compile(bed, Draw::Middle)?;
    let mut march = March::start(&compiled.stack, compiled.state, schedule);
    let start = march.snapshot(0);
    let mut rows = vec![row(bed, 0, &start, &start)];
    for month in 1..=months {
        march.advance_to(days_to_month(bed.filled, month));
        rows.push(row(bed, month, &start, &march.snapshot(0)));
        if watcher.done(month, months) == Go::Stop {
            return Err(ForecastError::Stopped);
        }
    }
    Ok(Forecast {
        engine: env!("CARGO_PKG_VERSION"),
        schema: SCHEMA_VERSION,
        seed: None,
        draws: 0,
        ended: Ended::MonthsDone,
        name: bed.name.clone(),
        filled: bed.filled.to_string(),
        climate: bed.climate.name.clone(),
        units: bed.units,
        rim_m: bed.rim_m,
        layers: bed.layers.iter().map(|layer| layer.name.clone()).collect(),
        has_wood: bed.has_wood(),
        defaults: bed.defaults.clone(),
        notices: bed
            .notices
            .iter()
            .cloned()
            .chain(thin_soil(bed, &rows))
            .chain(steep_heap(bed, &rows))
            .collect(),
        months: rows,
    })
}

/// Growing soil thinner than this starves and dries; m (gardeners ask for six inches
/// over wood at the least; a third of that is little: common practice, no source).
const THIN_SOIL_M: f64 = 0.05;
/// Growing soil that has lost more than this share of its thickness is worth a word.
const LOST_SHARE: f64 = 0.5;

/// A warning for a growing layer that runs thin, most often because its soil trickles
/// into the gaps below.
fn thin_soil(bed: &Bed, rows: &[MonthRow]) -> Option<Notice> {
    let index = bed.layers.iter().rposition(|layer| layer.grows)?;
    let thickness_m = |row: &MonthRow| row.layers.get(index).map(|layer| layer.thickness_m);
    let start_m = thickness_m(rows.first()?)?;
    let least_m = if start_m < THIN_SOIL_M {
        (1.0 - LOST_SHARE) * start_m
    } else {
        THIN_SOIL_M.max((1.0 - LOST_SHARE) * start_m)
    };
    let thin = rows
        .iter()
        .find(|row| thickness_m(row).is_some_and(|m| m < least_m))?;
    let (then_m, end_m) = (thickness_m(thin)?, thickness_m(rows.last()?)?);
    Some(Notice {
        code: "growing-soil-runs-thin",
        severity: Severity::Warning,
        layer: Some(index),
        values: vec![
            ("month", thin.month.to_string()),
            ("thickness", reading(then_m, bed.units)),
            ("at-first", reading(start_m, bed.units)),
            ("at-last", reading(end_m, bed.units)),
        ],
    })
}

/// Steepest slope that loose soil and green waste keep; rise per run (soil rests at
/// 30-45 degrees, general literature; the middle of that).
const REST_SLOPE: f64 = 0.75;

/// A warning for a heap over the rim that is steeper than loose stuff lies.
fn steep_heap(bed: &Bed, rows: &[MonthRow]) -> Option<Notice> {
    let heaped_m = -rows.first()?.below_rim_m?;
    let (width_m, length_m) = bed.shape.section_m(0.0);
    let most_m = 0.5 * width_m.min(length_m) * REST_SLOPE;
    (heaped_m > most_m).then(|| Notice {
        code: "heap-will-not-stay",
        severity: Severity::Warning,
        layer: None,
        values: vec![
            ("heaped", reading(heaped_m, bed.units)),
            ("most", reading(most_m, bed.units)),
        ],
    })
}

/// The same day `month` months later, held to the month's end.
#[must_use]
pub fn month_day(filled: Date, month: u32) -> Date {
    let months: Span = i64::from(month).months();
    filled.saturating_add(months)
}

/// Days from filling to the row of a month.
#[must_use]
pub fn days_to_month(filled: Date, month: u32) -> f64 {
    let days = filled
        .until(month_day(filled, month))
        .map_or(0, |span| span.get_days());
    f64::from(days)
}

fn row(bed: &Bed, month: u32, start: &Snapshot, now: &Snapshot) -> MonthRow {
    let height_m = now.height_m - bed.trench_m;
    let split = &now.split;
    MonthRow {
        month,
        date: month_day(bed.filled, month).to_string(),
        height_m,
        below_rim_m: bed.rim_m.map(|rim_m| rim_m - height_m),
        sunk_m: start.height_m - now.height_m,
        split: SinkSplit {
            settling_m: split.settling_m[0],
            sifting_m: split.sifting_m[0],
            soft_rot_m: split.soft_rot_m[0],
            wood_rot_m: split.wood_rot_m[0],
        },
        carbon_kg: now.carbon_kg(),
        carbon_left: now.carbon_kg() / start.carbon_kg().max(f64::MIN_POSITIVE),
        carbon_released_kg: now.released_kg,
        wet_kg: now.wet_kg(),
        layers: now
            .layers
            .iter()
            .map(|layer| LayerRow {
                thickness_m: layer.thickness_m,
                carbon_kg: layer.carbon_kg,
                wet_kg: layer.wet_kg,
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::{days_to_month, month_day};
    use jiff::civil::date;

    #[test]
    fn months_are_held_to_their_end() {
        let filled = date(2026, 1, 31);
        assert_eq!(month_day(filled, 1), date(2026, 2, 28));
        assert_eq!(month_day(filled, 2), date(2026, 3, 31));
        assert!((days_to_month(filled, 12) - 365.0).abs() < 1e-12);
        assert!((days_to_month(filled, 1200) - 36524.0).abs() < 1e-12);
    }
}
