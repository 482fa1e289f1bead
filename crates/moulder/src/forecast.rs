//! The forecast: a bed month by month.
//!
//! See the front page of the crate for how one is made.
//!
//! ```
//! use moulder::forecast::{days_to_month, month_day};
//!
//! let filled = jiff::civil::date(2026, 1, 31);
//! assert_eq!(month_day(filled, 1), jiff::civil::date(2026, 2, 28));
//! assert_eq!(days_to_month(filled, 12), 365.0);
//! ```

mod error;
mod open_ground;
mod row;

use jiff::civil::Date;
use jiff::{Span, ToSpan};
use moulder_core::weather::Weather;
use moulder_solve::schedule::Schedule;
use moulder_solve::snapshot::Snapshot;
use schemars::JsonSchema;
use serde::Serialize;

use crate::bands::MonthBands;
use crate::bed::{Bed, Layer, Units};
use crate::course::{self, Follower, Laid, Stand};
use crate::crop::Crop;
use crate::draw::Draw;
use crate::forecast_notice;
use crate::nitrogen::{self, NitrogenYear};
use crate::notice::{DefaultUsed, Notice};
use crate::sample::Sample;
use crate::sky::{DAYS_LIMIT, fed, lay_out, lay_out_drawn, watered};
use crate::watcher::{Go, Unwatched, Watcher};
pub use error::ForecastError;
use open_ground::OpenGround;
pub use row::{LayerRow, MonthRow, SinkSplit};
use row::{Start, row};

/// Longest forecast: a hundred years.
pub const MONTHS_LIMIT: u32 = 1200;

/// Version of the form in which a forecast is written as JSON.
pub const SCHEMA_VERSION: u32 = 1;

/// How often a draw that finds no room in a mound is tried with a twentieth less.
const LESS_LIMIT: u32 = 40;

/// Seed of the days on which the normals' rain falls.
const WEATHER_SEED: u64 = 1;

/// A bed month by month, with all it takes to make the same forecast again.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub struct Forecast {
    /// Version of the engine.
    pub engine: &'static str,
    /// Version of this form.
    pub schema: u32,
    /// Seed of the draws; none where there is only the middle line.
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
    /// Names of the layers, from the ground up; those laid on later come last.
    pub layers: Vec<String>,
    /// Whether there is any wood in the bed.
    pub has_wood: bool,
    /// The middle line: the best figure of everything, in normal years. Day zero first.
    pub months: Vec<MonthRow>,
    /// Where four in five draws lie, month by month; empty for the middle line alone.
    pub bands: Vec<MonthBands>,
    /// The depth below the rim whose chance the bands tell, where one was asked about; m.
    pub deeper_than_m: Option<f64>,
    /// What grows on it.
    pub crop: Crop,
    /// Nitrogen year by year, whole years only; none where nothing grows.
    pub nitrogen_years: Vec<NitrogenYear>,
    /// How reference evapotranspiration was worked out.
    pub evapotranspiration_by: &'static str,
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

/// Forecasts a bed for `months` months.
///
/// Fast path accuracy: within 1 mm of height and 0.1 % of carbon of the reference
/// path at every month (tested on the demo beds over ten years). The figures are a
/// middle line: [`forecast_with_bands`](crate::uncertain::forecast_with_bands) says how far
/// off they may be.
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
    let Told {
        months,
        layers,
        evapotranspiration_by,
        ..
    } = rows(bed, Draw::Middle, months, schedule, &[], watcher)?;
    let nitrogen_rows: Vec<_> = months.iter().map(|row| (row.month, row.nitrogen)).collect();
    let notices = forecast_notice::of(bed, &layers, &months);
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
        has_wood: bed.has_wood(),
        layers: layers.into_iter().map(|layer| layer.name).collect(),
        crop: bed.crop,
        nitrogen_years: nitrogen::years(bed, &nitrogen_rows),
        evapotranspiration_by,
        defaults: bed.defaults.clone(),
        notices: bed
            .notices
            .iter()
            .cloned()
            .chain(notices)
            .map(|notice| notice.unless_seen(&bed.seen))
            .collect(),
        months,
        bands: Vec::new(),
        deeper_than_m: None,
    })
}

/// What is told of a bed.
struct Told {
    months: Vec<MonthRow>,
    /// How it stood on the days on which it was looked at, in their order.
    looks: Vec<Look>,
    /// What it is made of in the end.
    layers: Vec<Layer>,
    /// By which method the air takes water.
    evapotranspiration_by: &'static str,
}

/// How a bed stands on a day on which a tape is held to it, before anything is laid on.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(
    clippy::struct_field_names,
    reason = "a name says its unit, and all are heights"
)]
pub(crate) struct Look {
    /// Height of the surface over the ground; m.
    pub(crate) height_m: f64,
    /// Fall of the surface since filling, without what was laid on; m.
    pub(crate) sunk_m: f64,
    /// What of that is wood rotting; m.
    pub(crate) wood_m: f64,
}

/// Months of a bed with a draw's numbers, and how it stood on other days.
fn rows(
    bed: &Bed,
    draw: Draw<'_>,
    months: u32,
    schedule: Schedule,
    looks: &[Date],
    watcher: &mut dyn Watcher,
) -> Result<Told, ForecastError> {
    if months > MONTHS_LIMIT {
        return Err(ForecastError::TooManyMonths { asked: months });
    }
    let weather = weather_of(bed, days_to_month(bed.filled, months), draw);
    let evapotranspiration_by = weather.eto_by().name();
    let mut rows = Rows {
        bed,
        ground: OpenGround::of(bed, draw),
        layers: bed.layers.clone(),
        start: None,
        before: None,
        months: Vec::new(),
        looks,
        looked: Vec::new(),
        asked: months,
        watcher,
    };
    course::run(bed, weather, draw, months, schedule, &mut rows)?;
    let Rows {
        layers,
        mut months,
        looked,
        start,
        ..
    } = rows;
    for row in &mut months {
        // What is laid on later is not there yet.
        row.layers.resize(layers.len(), LayerRow::default());
    }
    let start_m = start.map_or(0.0, |start| start.height_m);
    let looks = looked.into_iter().map(|(height_m, raised_m, wood_m)| Look {
        height_m: height_m - bed.trench_m,
        sunk_m: start_m + raised_m - height_m,
        wood_m,
    });
    Ok(Told {
        looks: looks.collect(),
        months,
        layers,
        evapotranspiration_by,
    })
}

/// Months of one possible truth about a bed: a sample of it, under its own years.
///
/// # Errors
///
/// Too many months, or a mound without room for its layers even with little of each.
pub fn months_of_sample(sample: &Sample, months: u32) -> Result<Vec<MonthRow>, ForecastError> {
    months_with_looks(sample, months, &[]).map(|(months, _)| months)
}

/// The same, with how it stood on those days, each once and in order of date.
///
/// # Errors
///
/// As [`months_of_sample`].
pub(crate) fn months_with_looks(
    sample: &Sample,
    months: u32,
    looks: &[Date],
) -> Result<(Vec<MonthRow>, Vec<Look>), ForecastError> {
    until_it_fits(sample, &|sample| {
        let draw = Draw::Of(sample);
        let (bed, schedule) = (sample.bed(), draw.schedule());
        rows(bed, draw, months, schedule, looks, &mut Unwatched)
            .map(|told| (told.months, told.looks))
    })
}

/// How the middle line stands on those days, each once and in order of date, within so many
/// months.
///
/// # Errors
///
/// As [`forecast`].
pub(crate) fn looks_on(bed: &Bed, months: u32, looks: &[Date]) -> Result<Vec<Look>, ForecastError> {
    let schedule = Schedule::default();
    rows(bed, Draw::Middle, months, schedule, looks, &mut Unwatched).map(|told| told.looks)
}

/// What comes of a sample, with ever less of everything as long as it finds no room.
///
/// # Errors
///
/// Those of the run, and that it finds no room even with little of each.
pub(crate) fn until_it_fits<T>(
    sample: &Sample,
    run: &dyn Fn(&Sample) -> Result<T, ForecastError>,
) -> Result<T, ForecastError> {
    let mut done = run(sample);
    let mut less = None;
    for _ in 0..LESS_LIMIT {
        if !matches!(done, Err(ForecastError::NoRoom(_))) {
            break;
        }
        let next = less.unwrap_or_else(|| sample.clone()).with_less();
        done = run(&next);
        less = Some(next);
    }
    done
}

/// The rows of a forecast as they come in.
struct Rows<'a> {
    bed: &'a Bed,
    ground: OpenGround,
    /// Those of the document, and what was laid on.
    layers: Vec<Layer>,
    start: Option<Start>,
    before: Option<Snapshot>,
    months: Vec<MonthRow>,
    /// Days on which to look at it, and what was seen: the height above the foot of the
    /// fill, what of it was laid on later, and what wood has lost; m.
    looks: &'a [Date],
    looked: Vec<(f64, f64, f64)>,
    asked: u32,
    watcher: &'a mut dyn Watcher,
}

impl Follower for Rows<'_> {
    fn looks(&self) -> &[Date] {
        self.looks
    }

    fn looked(&mut self, now: &Snapshot, raised_m: f64) {
        let wood_m = now.split.wood_rot_m[0];
        self.looked.push((now.height_m, raised_m, wood_m));
    }

    fn laid(&mut self, _on: Date, layer: &Layer, _laid: &Laid) {
        self.layers.push(layer.clone());
    }

    fn stands(&mut self, stand: Stand) -> Result<(), ForecastError> {
        // What is laid on later that day comes on top.
        let start = *self.start.get_or_insert_with(|| Start {
            height_m: stand.now.height_m - stand.raised_m,
            carbon_kg: stand.now.carbon_kg() - stand.brought.sum_kg(),
        });
        let before = self.before.as_ref().unwrap_or(&stand.now);
        let row = row(self.bed, &self.layers, start, before, &stand, &self.ground);
        self.months.push(row);
        let is_stopped = stand.month > 0 && self.watcher.done(stand.month, self.asked) == Go::Stop;
        self.before = Some(stand.now);
        if is_stopped {
            return Err(ForecastError::Stopped);
        }
        Ok(())
    }
}

/// The same day `month` months later, held to the month's end.
#[must_use]
pub fn month_day(filled: Date, month: u32) -> Date {
    let months: Span = i64::from(month).months();
    filled.saturating_add(months)
}

/// The first month that ends on that day or later.
///
/// # Errors
///
/// None of the months that a forecast covers does.
pub(crate) fn months_to(filled: Date, on: Date) -> Result<u32, ForecastError> {
    let month = (0..=MONTHS_LIMIT).find(|month| month_day(filled, *month) >= on);
    month.ok_or_else(|| ForecastError::ReadingAfterEnd {
        on,
        end: month_day(filled, MONTHS_LIMIT),
    })
}

/// Days from filling to the row of a month.
#[must_use]
pub fn days_to_month(filled: Date, month: u32) -> f64 {
    let days = filled
        .until(month_day(filled, month))
        .map_or(0, |span| span.get_days());
    f64::from(days)
}

/// The weather of a forecast of `days`: normals laid out on days, once, with what the
/// owner waters and covers.
#[must_use]
pub fn weather_for(bed: &Bed, days: f64) -> Weather {
    weather_of(bed, days, Draw::Middle)
}

/// The weather of a draw: normal years for the middle, years of its own for a sample.
pub(crate) fn weather_of(bed: &Bed, days: f64, draw: Draw<'_>) -> Weather {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most a hundred years of days"
    )]
    let count = (days.clamp(1.0, 40_000.0) as u32 + 1).min(DAYS_LIMIT);
    let open = match draw {
        Draw::Middle => lay_out(&bed.climate, bed.filled, count, WEATHER_SEED),
        Draw::Of(sample) => lay_out_drawn(&bed.climate, bed.filled, count, sample),
    };
    let area_m2 = bed.shape.area_m2();
    let under_cover = match &bed.watering {
        Some(watering) => watered(&open, bed.filled, watering, area_m2),
        None => open,
    };
    if bed.fed.is_empty() {
        return under_cover;
    }
    fed(&under_cover, bed.filled, &bed.fed, area_m2)
}

/// The layers in which roots live, among those there are: the highest that grows with what
/// was laid on it since, else the top one.
///
/// The first `filled` layers are those of the day of filling. What does not grow and was
/// laid over soil, as a mulch of chips, is passed over.
pub(crate) fn growing_layers(layers: &[Layer], filled: usize) -> Vec<usize> {
    let own = &layers[..filled.min(layers.len())];
    let top = own.len().saturating_sub(1);
    let last = own.iter().rposition(|layer| layer.grows).unwrap_or(top);
    let first = own[..last]
        .iter()
        .rposition(|layer| !layer.grows)
        .map_or(0, |below| below + 1);
    let later = (own.len()..layers.len()).filter(|index| layers[*index].grows);
    (first..=last).chain(later).collect()
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
