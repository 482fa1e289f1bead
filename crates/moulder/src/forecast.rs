//! The forecast: a bed month by month.

use jiff::civil::Date;
use jiff::{Span, ToSpan};
use moulder_core::ground::{DIFFUSIVITY, yearly_damping_m};
use moulder_core::season::Season;
use moulder_core::settlement::GRAVITY_KPA_M2_PER_KG;
use moulder_core::weather::Weather;
use moulder_solve::diary::{LayerDiary, SOWING_C};
use moulder_solve::schedule::Schedule;
use moulder_solve::snapshot::Snapshot;
use schemars::JsonSchema;
use serde::Serialize;

use crate::bands::MonthBands;
use crate::bed::{Bed, Layer, Units};
use crate::compile::NoRoom;
use crate::course::{self, Follower, Laid, Stand};
use crate::crop::Crop;
use crate::draw::Draw;
use crate::forecast_notice;
use crate::nitrogen::{self, NitrogenRow, NitrogenYear};
use crate::notice::{DefaultUsed, Notice};
use crate::sample::{SAMPLES_LIMIT, Sample};
use crate::sky::{DAYS_LIMIT, fed, lay_out, lay_out_drawn, watered};
use crate::watcher::{Go, Unwatched, Watcher};

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
    /// Fall of the surface since filling, without what was laid on; m.
    pub sunk_m: f64,
    /// By how much what was laid on has raised the surface since filling; m.
    pub added_m: f64,
    /// What the fall is made of; adds up to it.
    pub split: SinkSplit,
    /// Carbon left in the bed; kg.
    pub carbon_kg: f64,
    /// Share of the carbon put in so far that is left.
    pub carbon_left: f64,
    /// Carbon given off as carbon dioxide since filling; kg.
    pub carbon_released_kg: f64,
    /// Mass of the fill, water included; kg.
    pub wet_kg: f64,
    /// What the fill weighs on the ground below it; kN/m2.
    pub load_kpa: f64,
    /// Water in the fill; litres.
    pub water_l: f64,
    /// Share of that water which is in wood.
    pub water_in_wood: f64,
    /// Mean temperature of the growing layer over the month; degC.
    pub root_zone_c: f64,
    /// How much warmer that is than open ground at the same depth; degC.
    pub root_zone_lift_c: f64,
    /// Days of the month on which the growing layer is warm enough to sow (over 10 degC).
    pub warm_days: f64,
    /// Days of the month on which open ground is.
    pub warm_days_open_ground: f64,
    /// Nitrogen.
    pub nitrogen: NitrogenRow,
    /// Layers from the ground up.
    pub layers: Vec<LayerRow>,
}

/// The fall of the surface by cause; m. See [`moulder_solve::split`] for the rule.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct SinkSplit {
    /// Own weight, first wetting, creep, the drying of wood less its swelling, and a
    /// bag's bulging.
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
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct LayerRow {
    /// Thickness; m.
    pub thickness_m: f64,
    /// Carbon in it; kg.
    pub carbon_kg: f64,
    /// Mass, water included; kg.
    pub wet_kg: f64,
    /// Water in it; litres.
    pub water_l: f64,
    /// Mean temperature over the month; degC.
    pub temperature_c: f64,
    /// Days of the month on which part of it had too little oxygen to rot well.
    pub airless_days: f64,
    /// Volume of its wood: logs, prunings, chips as they lie, their bark and pores
    /// included; m3. With `soft_m3`, `fines_m3` and `open_m3` it adds up to the layer.
    pub wood_m3: f64,
    /// Volume of its other pieces: leaves, straw, card, the mat of turf; m3.
    pub soft_m3: f64,
    /// Bulk volume of its soil, compost and humus, their own small gaps included; m3.
    pub fines_m3: f64,
    /// The part of `fines_m3` that has trickled in from the layers above; m3.
    pub sifted_m3: f64,
    /// Gaps between the pieces that nothing fills; m3.
    pub open_m3: f64,
    /// Carbon in its wood: a rotting log loses it long before it shrinks; kg.
    pub wood_carbon_kg: f64,
}

impl LayerRow {
    /// Volume of the layer; m3.
    #[must_use]
    pub fn volume_m3(&self) -> f64 {
        self.wood_m3 + self.soft_m3 + self.fines_m3 + self.open_m3
    }
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
    /// The depth of growing soil was to be kept with something that is no soil.
    NoSoil,
    /// More draws were asked for than there are.
    TooManyDraws {
        /// How many were asked for.
        asked: u32,
    },
    /// A fit was asked for, and the document holds no reading.
    NoReading,
    /// A reading was taken after the last month asked for.
    ReadingAfterEnd {
        /// The day of the reading.
        on: Date,
        /// The last day of the forecast.
        end: Date,
    },
    /// Fewer draws were asked for than tell anything.
    TooFewDraws {
        /// How many were asked for.
        asked: u32,
        /// How many it takes.
        least: u32,
    },
    /// More draws were asked for than can be held with so many months and readings.
    TooMuchToHold {
        /// How many were asked for.
        asked: u32,
        /// How many can be held.
        most: u32,
    },
    /// The day of filling was asked about, when nothing has sunk yet.
    NothingSunkYet,
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
            Self::TooManyDraws { asked } => write!(
                f,
                "bands rest on at most {SAMPLES_LIMIT} draws, and {asked} were asked for"
            ),
            Self::NoReading => f.write_str("the bed file holds no tape reading to fit to"),
            Self::ReadingAfterEnd { on, end } => write!(
                f,
                "the reading of {on} is after {end}, where the forecast ends; ask for more \
                 months, of which there are {MONTHS_LIMIT} at most"
            ),
            Self::TooFewDraws { asked, least } => {
                write!(
                    f,
                    "this takes at least {least} draws, and {asked} were asked for"
                )
            }
            Self::TooMuchToHold { asked, most } => write!(
                f,
                "with so many months and tape readings {most} draws can be held, and {asked} \
                 were asked for; ask for fewer draws or fewer months"
            ),
            Self::NothingSunkYet => {
                f.write_str("on the day of filling nothing has sunk yet; ask for a month after it")
            }
            Self::NoRoom(no_room) => write!(f, "{no_room}; use less, or a wider foot"),
            Self::NoSoil => f.write_str(
                "only soil or compost makes the growing soil thicker; top up with one of these",
            ),
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

/// A bed as it was filled.
#[derive(Clone, Copy)]
struct Start {
    height_m: f64,
    carbon_kg: f64,
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

/// The open ground beside the bed.
struct OpenGround {
    season: Season,
    damping_m: f64,
}

impl OpenGround {
    fn of(bed: &Bed, draw: Draw<'_>) -> Self {
        let (high, low) = (&bed.climate.high_c, &bed.climate.low_c);
        let mean = core::array::from_fn(|month| 0.5 * (high[month] + low[month]));
        Self {
            season: Season::from_months(&mean),
            damping_m: yearly_damping_m(draw.of(&DIFFUSIVITY)),
        }
    }

    /// Its month at a depth: the mean, and the days warm enough to sow. On day zero, the day.
    fn month(&self, bed: &Bed, month: u32, depth_m: f64) -> LayerDiary {
        let first = f64::from(bed.filled.day_of_year()) - 1.0;
        let to = days_to_month(bed.filled, month);
        let mut day = days_to_month(bed.filled, month.saturating_sub(1))
            .min(to - 1.0)
            .max(0.0);
        let mut sum = LayerDiary::default();
        let mut days = 0.0;
        while day < to.max(1.0) {
            let warm_c = self
                .season
                .damped(first + day + 0.5, depth_m / self.damping_m);
            sum.mean_c += warm_c;
            if warm_c > SOWING_C {
                sum.warm_days += 1.0;
            }
            days += 1.0;
            day += 1.0;
        }
        sum.mean_c /= days;
        if month == 0 {
            sum.warm_days = 0.0;
        }
        sum
    }
}

/// The row of a month: how the bed stood when filled, a month ago and now.
fn row(
    bed: &Bed,
    laid: &[Layer],
    start: Start,
    before: &Snapshot,
    stand: &Stand,
    ground: &OpenGround,
) -> MonthRow {
    let Stand {
        month,
        now,
        diary,
        raised_m,
        brought,
    } = stand;
    let height_m = now.height_m - bed.trench_m;
    let split = &now.split;
    let roots = growing_layers(laid, bed.layers.len());
    let thickness_m = |index: &usize| now.layers[*index].thickness_m;
    let root_m: f64 = roots.iter().map(thickness_m).sum();
    let over_roots = |of: fn(&LayerDiary) -> f64| -> f64 {
        let weighted = roots.iter().map(|i| thickness_m(i) * of(&diary[*i]));
        weighted.sum::<f64>() / root_m.max(f64::MIN_POSITIVE)
    };
    let root_zone_c = over_roots(|diary| diary.mean_c);
    let open = ground.month(bed, *month, 0.5 * root_m);
    let water_kg = now.water_kg();
    let wood_water_kg: f64 = now.layers.iter().map(|layer| layer.wood_water_kg).sum();
    MonthRow {
        month: *month,
        date: month_day(bed.filled, *month).to_string(),
        height_m,
        below_rim_m: bed.rim_m.map(|rim_m| rim_m - height_m),
        sunk_m: start.height_m + raised_m - now.height_m,
        added_m: *raised_m,
        split: SinkSplit {
            settling_m: split.settling_m[0],
            sifting_m: split.sifting_m[0],
            soft_rot_m: split.soft_rot_m[0],
            wood_rot_m: split.wood_rot_m[0],
        },
        carbon_kg: now.carbon_kg(),
        carbon_left: now.carbon_kg() / (start.carbon_kg + brought.sum_kg()).max(f64::MIN_POSITIVE),
        carbon_released_kg: now.released_kg,
        wet_kg: now.wet_kg(),
        load_kpa: GRAVITY_KPA_M2_PER_KG * now.wet_kg() / bed.shape.area_m2(),
        water_l: water_kg,
        water_in_wood: wood_water_kg / water_kg.max(f64::MIN_POSITIVE),
        root_zone_c,
        root_zone_lift_c: root_zone_c - open.mean_c,
        warm_days: over_roots(|diary| diary.warm_days),
        warm_days_open_ground: open.warm_days,
        nitrogen: NitrogenRow::of(bed, &roots, before, now, diary),
        layers: now
            .layers
            .iter()
            .zip(diary)
            .map(|(layer, diary)| LayerRow {
                thickness_m: layer.thickness_m,
                carbon_kg: layer.carbon_kg,
                wet_kg: layer.wet_kg,
                water_l: layer.water_kg + layer.wood_water_kg,
                temperature_c: diary.mean_c,
                airless_days: diary.airless_days,
                wood_m3: layer.volumes.wood_m3,
                soft_m3: layer.volumes.soft_m3,
                fines_m3: layer.volumes.fines_m3,
                sifted_m3: layer.volumes.sifted_m3,
                open_m3: layer.volumes.open_m3,
                wood_carbon_kg: layer.carbon_kinds.wood_kg,
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
