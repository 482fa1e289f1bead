//! A simulation run of a bed and its monthly rows.

use jiff::civil::Date;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::snapshot::Snapshot;

use crate::bed::{Bed, Layer};
use crate::fault::error::Error;
use crate::forecast::calendar::days_to_month;
use crate::forecast::open_ground::OpenGround;
use crate::forecast::progress::Progress;
use crate::forecast::row::{LayerMonth, Month, Start, row};
use crate::forecast::trajectory::{self, AddedLayer, MonthEnd, Observer};
use crate::model::figures::Figures;
use crate::model::weather::over_a_bed;
use crate::text::limit::MONTHS_LIMIT;

/// Results of a run.
#[derive(Debug, Clone)]
pub(crate) struct SimulatedMonths {
    pub(crate) months: Vec<Month>,
    /// The bed on the observation dates, in their order.
    pub(crate) observations: Vec<Observation>,
    /// Its layers at the end.
    pub(crate) layers: Vec<Layer>,
    /// Name of the evapotranspiration method.
    pub(crate) evapotranspiration_by: &'static str,
}

/// A bed on an observation date, before any addition of that day.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(
    clippy::struct_field_names,
    reason = "a name says its unit, and all are heights"
)]
pub(crate) struct Observation {
    /// Height of the surface above the ground; m.
    pub(crate) height_m: f64,
    /// Settlement since filling, without the effect of additions; m.
    pub(crate) settlement_m: f64,
    /// The part of it by decay of wood; m.
    pub(crate) wood_m: f64,
}

/// Simulates a bed with those parameters, with observations on those dates.
pub(crate) fn rows(
    bed: &Bed,
    figures: &Figures,
    months: u32,
    schedule: StepSchedule,
    observations: &[Date],
    progress: &Progress<'_>,
) -> Result<SimulatedMonths, Error> {
    rows_beside(bed, figures, months, schedule, observations, None, progress)
}

/// The same, and beside it the bed with the additions of another observer.
pub(crate) fn rows_beside(
    bed: &Bed,
    figures: &Figures,
    months: u32,
    schedule: StepSchedule,
    observations: &[Date],
    second: Option<&mut dyn Observer>,
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
    trajectory::run_beside(bed, weather, figures, months, schedule, &mut rows, second)?;
    let Rows {
        layers,
        mut months,
        observed,
        start,
        ..
    } = rows;
    for row in &mut months {
        // Later additions are not there yet.
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

/// Collects the rows of a run.
struct Rows<'a> {
    bed: &'a Bed,
    ground: OpenGround,
    /// Those of the document, and later additions.
    layers: Vec<Layer>,
    start: Option<Start>,
    before: Option<Snapshot>,
    months: Vec<Month>,
    /// Observation dates and, for each, the height above the base, the rise by additions and
    /// the settlement by decay of wood; m.
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
        let wood_m = now.split.wood_decay_m;
        self.observed.push((now.height_m, raised_m, wood_m));
    }

    fn layer_added(&mut self, _on: Date, layer: &Layer, _added: &AddedLayer) {
        self.layers.push(layer.clone());
    }

    fn month_ended(&mut self, month_end: MonthEnd) -> Result<(), Error> {
        // Further additions of that day come on top.
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
