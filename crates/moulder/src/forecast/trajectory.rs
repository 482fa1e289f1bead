//! Simulation run of a bed to the end of each month, with additions on the way.

use jiff::civil::Date;
use moulder_core::bed::carbon::CarbonKinds;
use moulder_core::weather::Weather;
use moulder_solve::month_log::LayerMonthLog;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::Simulation;
use moulder_solve::snapshot::Snapshot;

use crate::bed::{Bed, Layer};
use crate::fault::error::Error;
use crate::forecast::calendar::month_day;
use crate::model::compile::{compile, lay_on};
use crate::model::figures::Figures;

/// A bed at the end of a month.
pub(crate) struct MonthEnd {
    /// Months since filling.
    pub(crate) month: u32,
    /// The bed, after all additions of that day.
    pub(crate) now: Snapshot,
    /// What happened in each layer over the month.
    pub(crate) month_log: Vec<LayerMonthLog>,
    /// Rise of the surface by additions since filling; m.
    pub(crate) raised_m: f64,
    /// Carbon of the additions since filling.
    pub(crate) added_carbon: CarbonKinds,
}

/// An addition that has just been made.
pub(crate) struct AddedLayer {
    /// Index of its layer, from the ground up.
    pub(crate) index: usize,
    /// Height of the bed just before; m.
    pub(crate) before_m: f64,
    /// Height just after; m.
    pub(crate) after_m: f64,
    /// Its mass, water included; kg.
    pub(crate) total_mass_kg: f64,
}

/// Observes a run, and may add layers.
pub(crate) trait Observer {
    /// Layers to add at the end of a month, in this order, before the additions of the document
    /// on that day.
    fn additions_due(&mut self, _month: u32, _now: &Snapshot) -> Vec<Layer> {
        Vec::new()
    }

    /// Dates on which to observe the bed.
    fn observation_dates(&self) -> &[Date] {
        &[]
    }

    /// Called on such a date, before any addition of that day, with the rise by earlier
    /// additions; m.
    fn observe(&mut self, _now: &Snapshot, _raised_m: f64) {}

    /// Called after each addition.
    fn layer_added(&mut self, _on: Date, _layer: &Layer, _added: &AddedLayer) {}

    /// Called on day zero and at the end of each month.
    ///
    /// # Errors
    ///
    /// Those that end the run.
    fn month_ended(&mut self, month_end: MonthEnd) -> Result<(), Error>;
}

/// A day on which something happens.
struct Event {
    days: f64,
    on: Date,
    /// The month that ends on it.
    month: Option<u32>,
    /// Whether the bed is observed first.
    is_observed: bool,
    /// Additions of the document.
    added: Vec<Layer>,
}

impl Event {
    fn on(filled: Date, on: Date) -> Self {
        let days = filled.until(on).map_or(0, |span| span.get_days());
        Self {
            days: f64::from(days),
            on,
            month: None,
            is_observed: false,
            added: Vec::new(),
        }
    }
}

/// All events of so many months, in order of date.
fn events(bed: &Bed, months: u32, dates: &[Date]) -> Vec<Event> {
    let mut events: Vec<Event> = (0..=months)
        .map(|month| Event {
            month: Some(month),
            ..Event::on(bed.filled, month_day(bed.filled, month))
        })
        .collect();
    let last = month_day(bed.filled, months);
    for added in bed.additions.iter().filter(|added| added.on <= last) {
        if let Some(event) = event_on(&mut events, bed.filled, added.on) {
            event.added.push(added.layer());
        }
    }
    for on in dates.iter().filter(|on| **on <= last) {
        if let Some(event) = event_on(&mut events, bed.filled, *on) {
            event.is_observed = true;
        }
    }
    events
}

/// The event of a day, inserted where there is none yet.
fn event_on(events: &mut Vec<Event>, filled: Date, on: Date) -> Option<&mut Event> {
    let at = events.partition_point(|event| event.on < on);
    if events.get(at).is_none_or(|event| event.on != on) {
        events.insert(at, Event::on(filled, on));
    }
    events.get_mut(at)
}

/// Simulates a bed for so many months under that weather, with those parameters.
///
/// Order on one day: observation, additions of the observer, additions of the document in the
/// order of the file, end of the month.
///
/// # Errors
///
/// A mound without room for an addition, or an error of the observer.
pub(crate) fn run(
    bed: &Bed,
    weather: Weather,
    figures: &Figures,
    months: u32,
    schedule: StepSchedule,
    observer: &mut dyn Observer,
) -> Result<(), Error> {
    let compiled = compile(bed, weather, figures)?;
    let mut stack = compiled.stack;
    let mut checkpoint = Simulation::new(&stack, compiled.state, schedule).checkpoint();
    let mut layers = bed.layers.len();
    let mut raised_m = 0.0;
    let mut added_carbon = CarbonKinds::default();
    let events = events(bed, months, observer.observation_dates());
    let mut rest = events.as_slice();
    let mut is_done = false;
    while !is_done {
        let mut simulation = Simulation::resume(&stack, checkpoint);
        // Until something is added, which makes another stack.
        let mut additions: Vec<Layer> = Vec::new();
        let mut event = None;
        while let Some((next, others)) = rest.split_first() {
            simulation.advance_to(next.days);
            let now = simulation.snapshot();
            if next.is_observed {
                observer.observe(&now, raised_m);
            }
            if let Some(month) = next.month {
                additions = observer.additions_due(month, &now);
            }
            additions.extend(next.added.iter().cloned());
            rest = others;
            if additions.is_empty() {
                if let Some(month) = next.month {
                    end_month(
                        &mut simulation,
                        now,
                        month,
                        (raised_m, added_carbon),
                        observer,
                    )?;
                }
            } else {
                event = Some(next);
                break;
            }
        }
        let Some(event) = event else {
            is_done = true;
            checkpoint = simulation.checkpoint();
            continue;
        };
        checkpoint = simulation.checkpoint();
        for layer in &additions {
            let before = Simulation::resume(&stack, checkpoint.clone()).snapshot();
            let done = lay_on(
                bed,
                &stack,
                &checkpoint.state,
                checkpoint.days,
                layer,
                layers,
                figures,
            )?;
            stack = done.stack;
            checkpoint.state = done.state;
            let after = Simulation::resume(&stack, checkpoint.clone()).snapshot();
            raised_m += after.height_m - before.height_m;
            let more = after.carbon_kinds().less(&before.carbon_kinds());
            added_carbon = added_carbon.plus(&more);
            observer.layer_added(
                event.on,
                layer,
                &AddedLayer {
                    index: layers,
                    before_m: before.height_m,
                    after_m: after.height_m,
                    total_mass_kg: after.total_mass_kg() - before.total_mass_kg(),
                },
            );
            layers += 1;
        }
        if let Some(month) = event.month {
            let mut simulation = Simulation::resume(&stack, checkpoint);
            let now = simulation.snapshot();
            end_month(
                &mut simulation,
                now,
                month,
                (raised_m, added_carbon),
                observer,
            )?;
            checkpoint = simulation.checkpoint();
        }
    }
    Ok(())
}

/// Reports the end of a month, and begins the next month log.
fn end_month(
    simulation: &mut Simulation<'_>,
    now: Snapshot,
    month: u32,
    (raised_m, added_carbon): (f64, CarbonKinds),
    observer: &mut dyn Observer,
) -> Result<(), Error> {
    observer.month_ended(MonthEnd {
        month,
        now,
        month_log: simulation.month_log(),
        raised_m,
        added_carbon,
    })?;
    simulation.begin_month_log();
    Ok(())
}
