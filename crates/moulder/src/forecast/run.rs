//! The run of a forecast: a bed marched with given figures, and its rows kept.

use jiff::civil::Date;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::snapshot::Snapshot;

use crate::bed::{Bed, Layer};
use crate::fault::error::Error;
use crate::forecast::calendar::days_to_month;
use crate::forecast::course::{self, Follower, Laid, Stand};
use crate::forecast::open_ground::OpenGround;
use crate::forecast::progress::{Progress, unwatched};
use crate::forecast::row::{LayerMonth, Month, Start, row};
use crate::model::figures::Figures;
use crate::model::weather::over_a_bed;
use crate::text::limit::MONTHS_LIMIT;

/// What is told of a bed.
pub(crate) struct Told {
    pub(crate) months: Vec<Month>,
    /// How it stood on the days on which it was looked at, in their order.
    pub(crate) looks: Vec<Look>,
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
pub(crate) struct Look {
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
    looks: &[Date],
    progress: &Progress<'_>,
) -> Result<Told, Error> {
    if months > MONTHS_LIMIT {
        return Err(Error::TooManyMonths { asked: months });
    }
    let weather = over_a_bed(bed, days_to_month(bed.filled, months), figures);
    let evapotranspiration_by = weather.eto_by().name();
    let mut rows = Rows {
        bed,
        ground: OpenGround::of(bed, figures),
        layers: bed.layers.clone(),
        start: None,
        before: None,
        months: Vec::new(),
        looks,
        looked: Vec::new(),
        asked: months,
        progress,
    };
    course::run(bed, weather, figures, months, schedule, &mut rows)?;
    let Rows {
        layers,
        mut months,
        looked,
        start,
        ..
    } = rows;
    for row in &mut months {
        // What is laid on later is not there yet.
        row.layers.resize(layers.len(), LayerMonth::default());
    }
    let start_m = start.map_or(0.0, |start| start.height_m);
    let looks = looked.into_iter().map(|(height_m, raised_m, wood_m)| Look {
        height_m: height_m - bed.trench_m,
        settlement_m: start_m + raised_m - height_m,
        wood_m,
    });
    Ok(Told {
        looks: looks.collect(),
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
pub(crate) fn looks_on(bed: &Bed, months: u32, looks: &[Date]) -> Result<Vec<Look>, Error> {
    let schedule = StepSchedule::default();
    rows(bed, Figures::nominal(), months, schedule, looks, &unwatched).map(|told| told.looks)
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
    looks: &'a [Date],
    looked: Vec<(f64, f64, f64)>,
    asked: u32,
    progress: &'a Progress<'a>,
}

impl Follower for Rows<'_> {
    fn looks(&self) -> &[Date] {
        self.looks
    }

    fn looked(&mut self, now: &Snapshot, raised_m: f64) {
        let wood_m = now.split.wood_decay_m[0];
        self.looked.push((now.height_m, raised_m, wood_m));
    }

    fn laid(&mut self, _on: Date, layer: &Layer, _laid: &Laid) {
        self.layers.push(layer.clone());
    }

    fn stands(&mut self, stand: Stand) -> Result<(), Error> {
        // What is laid on later that day comes on top.
        let start = *self.start.get_or_insert_with(|| Start {
            height_m: stand.now.height_m - stand.raised_m,
            carbon_kg: stand.now.carbon_kg() - stand.brought.sum_kg(),
        });
        let before = self.before.as_ref().unwrap_or(&stand.now);
        let row = row(self.bed, &self.layers, start, before, &stand, &self.ground);
        self.months.push(row);
        let is_stopped = stand.month > 0 && (self.progress)(stand.month, self.asked).is_break();
        self.before = Some(stand.now);
        if is_stopped {
            return Err(Error::Stopped);
        }
        Ok(())
    }
}
