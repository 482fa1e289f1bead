//! The forecast: a bed month by month.

pub mod calendar;
pub(crate) mod caution;
pub mod danger;
pub mod day;
pub mod intervals;
pub(crate) mod mean;
pub mod nitrogen;
pub(crate) mod notice;
pub mod on_day;
pub(crate) mod open_ground;
pub mod options;
pub mod progress;
pub(crate) mod roots;
pub(crate) mod row;
pub(crate) mod run;
pub(crate) mod trajectory;

use jiff::civil::Date;
use std::borrow::Cow;

use crate::fault::error::Error;
use moulder_solve::schedule::StepSchedule;
use serde::{Deserialize, Serialize};

use crate::bed::Bed;
use crate::fault::notice::{DefaultUsed, Notice};
use crate::library::crop::Crop;
use crate::library::weather_record::WeatherRecord;
use crate::model::figures::Figures;
use crate::quantity::units::Units;
pub use calendar::{days_to_month, month_day};
pub use intervals::MonthIntervals;
use nitrogen::NitrogenYear;
use progress::Progress;
pub use row::{LayerMonth, Month, SettlementParts};
use run::{SimulatedMonths, rows};

/// Version of the engine, part of every answer.
pub(crate) const ENGINE: Cow<'static, str> = Cow::Borrowed(env!("CARGO_PKG_VERSION"));

/// Version of the JSON form of a forecast.
pub const SCHEMA_VERSION: u32 = 2;

/// A bed month by month, with all that is needed to repeat the forecast.
///
/// ```
/// let forecast = moulder::Bed::example().forecast().months(3).ensemble_size(20).run()?;
/// assert_eq!(forecast.months.len(), 4); // day zero first
/// assert_eq!(forecast.intervals.len(), 4);
/// # Ok::<(), moulder::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Forecast {
    /// Version of the engine.
    pub engine: Cow<'static, str>,
    /// Version of the JSON form.
    pub schema: u32,
    /// Seed of the realisations; none for the nominal run alone.
    pub seed: Option<u64>,
    /// Number of realisations behind the intervals; 0 for the nominal run alone.
    pub ensemble_size: u32,
    /// Standard deviation of the model discrepancy behind the intervals, as a share of the
    /// rate of settlement; none for the nominal run alone.
    pub discrepancy_sd: Option<f64>,
    /// The readings that the forecast goes on from; none where it is of the bed as filled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub given: Option<GivenReadings>,
    /// Why the forecast ends where it ends.
    pub ended: Ended,
    /// Name of the bed.
    pub name: String,
    /// Day of filling.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub filled: Date,
    /// Name of the climate.
    pub climate: String,
    /// Display units of the bed; figures here are SI whatever they are.
    pub units: Units,
    /// Height of the rim above the ground; m.
    pub rim_m: Option<f64>,
    /// Names of the layers, from the ground up; later additions come last.
    pub layers: Vec<String>,
    /// Whether there is any wood in the bed.
    pub has_wood: bool,
    /// Means over the realisations; for the nominal run alone the best values of all parameters,
    /// in normal years. Day zero first.
    pub months: Vec<Month>,
    /// 80 % intervals, month by month; empty for the nominal run alone.
    pub intervals: Vec<MonthIntervals>,
    /// Depth below the rim whose chance the intervals give, where one was asked about; m.
    pub deeper_than_m: Option<f64>,
    /// The crop.
    pub crop: Crop,
    /// Nitrogen by whole year; empty without a crop.
    pub nitrogen_years: Vec<NitrogenYear>,
    /// Method of reference evapotranspiration.
    pub evapotranspiration_by: Cow<'static, str>,
    /// The last day of measured weather, where any was given since the filling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub weather_until: Option<Date>,
    /// Defaults used where the document gives nothing.
    pub defaults: Vec<DefaultUsed>,
    /// Notices.
    pub notices: Vec<Notice>,
}

/// The readings that a forecast goes on from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct GivenReadings {
    /// Number of readings.
    pub count: u32,
    /// The day of the last.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub last_on: Date,
    /// Height above the ground then, as read; m.
    pub last_height_m: f64,
    /// Share of beds like it that would be read so far off, all readings together.
    pub as_unlikely: f64,
    /// Whether that share is below one in a hundred.
    pub is_surprising: bool,
    /// The readings at fault, where they are a surprise.
    pub doubted: Vec<Doubted>,
    /// Exponent of the tempered likelihood; 1 when not tempered.
    pub tempering_exponent: f64,
}

/// A reading that is a surprise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Doubted {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub on: Date,
    /// What was read, if it was written in the wrong unit and would agree in the other: the figure,
    /// and whether the other unit is the inch or else the centimetre.
    pub would_fit: Option<(f64, bool)>,
}

impl Doubted {
    /// That of a day.
    #[must_use]
    pub const fn new(on: Date, would_fit: Option<(f64, bool)>) -> Self {
        Self { on, would_fit }
    }
}

/// Why a forecast ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Ended {
    /// It covers the months asked for.
    MonthsDone,
}

/// The nominal run of a bed over `months` months.
///
/// Accuracy: within 1 mm of height and 0.1 % of carbon of the reference path at every month
/// (tested on the demo beds over ten years). For uncertainty see
/// [`forecast_with_intervals`](crate::uncertainty::ensemble_forecast::forecast_with_intervals).
///
/// # Errors
///
/// Too many months, a mound without room for its layers, or [`Error::Stopped`].
///
/// # Examples
pub fn forecast(bed: &Bed, months: u32, progress: &Progress<'_>) -> Result<Forecast, Error> {
    forecast_with(bed, months, StepSchedule::default(), progress)
}

/// [`forecast`] with a time step schedule of the caller's: for tests of accuracy.
///
/// # Errors
///
/// As [`forecast`].
pub fn forecast_with(
    bed: &Bed,
    months: u32,
    schedule: StepSchedule,
    progress: &Progress<'_>,
) -> Result<Forecast, Error> {
    let run = rows(bed, Figures::nominal(), months, schedule, &[], progress)?;
    Ok(forecast_of_rows(bed, run))
}

/// The nominal run in the drawn years of a seed, where no weather was measured, instead of normal
/// ones.
///
/// # Errors
///
/// As [`forecast`].
pub fn forecast_in_drawn_years(
    bed: &Bed,
    months: u32,
    seed: u64,
    progress: &Progress<'_>,
) -> Result<Forecast, Error> {
    let (figures, schedule) = (Figures::in_drawn_years(seed), StepSchedule::default());
    let run = rows(bed, &figures, months, schedule, &[], progress)?;
    Ok(forecast_of_rows(bed, run))
}

/// The forecast that those rows are, with its notices.
pub(crate) fn forecast_of_rows(bed: &Bed, run: SimulatedMonths) -> Forecast {
    let SimulatedMonths {
        months,
        layers,
        evapotranspiration_by,
        ..
    } = run;
    let nitrogen_rows: Vec<_> = months.iter().map(|row| (row.month, row.nitrogen)).collect();
    let notices = notice::notices(bed, &layers, &months);
    Forecast {
        engine: ENGINE,
        schema: SCHEMA_VERSION,
        seed: None,
        ensemble_size: 0,
        discrepancy_sd: None,
        given: None,
        ended: Ended::MonthsDone,
        name: bed.name.clone(),
        filled: bed.filled,
        climate: bed.climate.name.clone(),
        units: bed.units,
        rim_m: bed.rim_m,
        has_wood: bed.has_wood(),
        layers: layers.into_iter().map(|layer| layer.name).collect(),
        crop: bed.crop,
        nitrogen_years: nitrogen::years(bed, &nitrogen_rows),
        evapotranspiration_by: Cow::Borrowed(evapotranspiration_by),
        weather_until: bed
            .weather_record()
            .map(WeatherRecord::last)
            .filter(|last| *last >= bed.filled),
        defaults: bed.defaults.clone(),
        notices: bed
            .notices
            .iter()
            .cloned()
            .chain(notices)
            .map(|notice| notice.unless_seen(&bed.seen))
            .collect(),
        months,
        intervals: Vec::new(),
        deeper_than_m: None,
    }
}
