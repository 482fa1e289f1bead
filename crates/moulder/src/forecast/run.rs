//! The run of a forecast: a bed marched with given figures, and its rows kept.

use jiff::civil::Date;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::snapshot::Snapshot;

use crate::bed::{Bed, Layer};
use crate::fault::error::Error;
use crate::forecast::calendar::days_to_month;
use crate::forecast::open_ground::OpenGround;
use crate::forecast::progress::{Progress, unwatched};
use crate::forecast::row::{LayerMonth, Month, Start, row};
use crate::forecast::trajectory::{self, AddedLayer, MonthEnd, Observer};
use crate::model::figures::Figures;
use crate::model::weather::over_a_bed;
use crate::text::limit::MONTHS_LIMIT;

/// What is told of a bed.
pub(crate) struct SimulatedMonths {
    pub(crate) months: Vec<Month>,
    /// How it stood on the days on which it was looked at, in their order.
    pub(crate) observations: Vec<Observation>,
    /// What it is made of in the end.
    pub(crate) layers: Vec<Layer>,
    /// By which method the air takes water.
    pub(crate) evapotranspiration_by: &'static str,
}

/// How a bed stands on a day on which a tape is held to it, before anything is laid on.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(
    clippy::struct_field_names,
    reason = "a name says its unit, and all are heights"
)]
pub(crate) struct Observation {
    /// Height of the surface over the ground; m.
    pub(crate) height_m: f64,
    /// Fall of the surface since filling, without what was laid on; m.
    pub(crate) settlement_m: f64,
    /// What of that is wood rotting; m.
    pub(crate) wood_m: f64,
}

/// Months of a bed with the figures given, and how it stood on other days.
pub(crate) fn rows(
    bed: &Bed,
    figures: &Figures,
    months: u32,
    schedule: StepSchedule,
    observations: &[Date],
    progress: &Progress<'_>,
) -> Result<SimulatedMonths, Error> {
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    let weather = over_a_bed(bed, days_to_month(bed.filled, months), figures);
    let evapotranspiration_by = weather.eto_by().name();
    let mut rows = Rows {
        bed,
        ground: OpenGround::new(bed, figures),
        layers: bed.layers.clone(),
        start: None,
        before: None,
        months: Vec::new(),
        observations,
        observed: Vec::new(),
        asked: months,
        progress,
    };
    trajectory::run(bed, weather, figures, months, schedule, &mut rows)?;
    let Rows {
        layers,
        mut months,
        observed,
        start,
        ..
    } = rows;
    for row in &mut months {
        // What is laid on later is not there yet.
        row.layers.resize(layers.len(), LayerMonth::default());
    }
    let start_m = start.map_or(0.0, |start| start.height_m);
    let observations = observed
        .into_iter()
        .map(|(height_m, raised_m, wood_m)| Observation {
            height_m: height_m - bed.trench_m,
            settlement_m: start_m + raised_m - height_m,
            wood_m,
        });
    Ok(SimulatedMonths {
        observations: observations.collect(),
        months,
        layers,
        evapotranspiration_by,
    })
}

/// How the middle line stands on those days, each once and in order of date, within so many
/// months.
///
/// # Errors
///
/// Too many months, or a mound without room for its layers.
pub(crate) fn observations_on(
    bed: &Bed,
    months: u32,
    observations: &[Date],
) -> Result<Vec<Observation>, Error> {
    let schedule = StepSchedule::default();
    rows(
        bed,
        Figures::nominal(),
        months,
        schedule,
        observations,
        &unwatched,
    )
    .map(|told| told.observations)
}

/// The rows of a forecast as they come in.
struct Rows<'a> {
    bed: &'a Bed,
    ground: OpenGround,
    /// Those of the document, and what was laid on.
    layers: Vec<Layer>,
    start: Option<Start>,
    before: Option<Snapshot>,
    months: Vec<Month>,
    /// Days on which to look at it, and what was seen: the height above the foot of the
    /// fill, what of it was laid on later, and what wood has lost; m.
    observations: &'a [Date],
    observed: Vec<(f64, f64, f64)>,
    asked: u32,
    progress: &'a Progress<'a>,
}

impl Observer for Rows<'_> {
    fn observation_dates(&self) -> &[Date] {
        self.observations
    }

    fn observe(&mut self, now: &Snapshot, raised_m: f64) {
        let wood_m = now.split.wood_decay_m[0];
        self.observed.push((now.height_m, raised_m, wood_m));
    }

    fn layer_added(&mut self, _on: Date, layer: &Layer, _added: &AddedLayer) {
        self.layers.push(layer.clone());
    }

    fn month_ended(&mut self, month_end: MonthEnd) -> Result<(), Error> {
        // What is laid on later that day comes on top.
        let start = *self.start.get_or_insert_with(|| Start {
            height_m: month_end.now.height_m - month_end.raised_m,
            carbon_kg: month_end.now.carbon_kg() - month_end.added_carbon.sum_kg(),
        });
        let before = self.before.as_ref().unwrap_or(&month_end.now);
        let row = row(
            self.bed,
            &self.layers,
            start,
            before,
            &month_end,
            &self.ground,
        );
        self.months.push(row);
        let is_stopped =
            month_end.month > 0 && (self.progress)(month_end.month, self.asked).is_break();
        self.before = Some(month_end.now);
        if is_stopped {
            return Err(Error::Stopped);
        }
        Ok(())
    }
}
