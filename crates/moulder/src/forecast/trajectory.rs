//! Simulation run of a bed to the end of each month, with additions on the way.

use jiff::civil::Date;
use moulder_core::bed::carbon::CarbonKinds;
use moulder_core::bed::stack::Stack;
use moulder_core::weather::Weather;
use moulder_solve::month_log::LayerMonthLog;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::{Checkpoint, Simulation};
use moulder_solve::snapshot::Snapshot;

use crate::bed::{Bed, Layer};
use crate::fault::error::Error;
use crate::forecast::calendar::month_day;
use crate::model::compile::{compile, lay_on};
use crate::model::figures::Figures;

/// A bed at the end of a month.
#[derive(Clone)]
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
    run_beside(bed, weather, figures, months, schedule, observer, None)
}

/// The same, and beside it the bed with the additions of a second observer: until it asks for the
/// first of them the two are one run.
///
/// # Errors
///
/// As [`run`].
pub(crate) fn run_beside(
    bed: &Bed,
    weather: Weather,
    figures: &Figures,
    months: u32,
    schedule: StepSchedule,
    observer: &mut dyn Observer,
    second: Option<&mut dyn Observer>,
) -> Result<(), Error> {
    let course = Course::new(bed, figures, months, observer);
    let start = Position::at_the_start(bed, weather, figures, schedule)?;
    let Some(second) = second else {
        return course.follow(start, observer, None).map(|_| ());
    };
    if let Some(parting) = course.follow(start, observer, Some(second))? {
        course.follow(parting, second, None)?;
    }
    Ok(())
}

/// Where a run stands.
struct Position {
    stack: Stack,
    checkpoint: Checkpoint,
    layers: usize,
    /// Rise of the surface by additions so far; m.
    raised_m: f64,
    added_carbon: CarbonKinds,
    /// Events that are over.
    events: usize,
    /// What the observer adds on the day of the next event, which it has seen.
    asked: Option<Vec<Layer>>,
}

impl Position {
    fn at_the_start(
        bed: &Bed,
        weather: Weather,
        figures: &Figures,
        schedule: StepSchedule,
    ) -> Result<Self, Error> {
        let compiled = compile(bed, weather, figures)?;
        Ok(Self {
            checkpoint: Simulation::new(&compiled.stack, compiled.state, schedule).checkpoint(),
            stack: compiled.stack,
            layers: bed.layers.len(),
            raised_m: 0.0,
            added_carbon: CarbonKinds::default(),
            events: 0,
            asked: None,
        })
    }
}

/// What happens to a bed, and when.
struct Course<'a> {
    bed: &'a Bed,
    figures: &'a Figures,
    events: Vec<Event>,
}

impl<'a> Course<'a> {
    fn new(bed: &'a Bed, figures: &'a Figures, months: u32, observer: &dyn Observer) -> Self {
        Self {
            bed,
            figures,
            events: events(bed, months, observer.observation_dates()),
        }
    }

    /// The bed with a layer more, number `index`: its stack, where it stands, what was added and its
    /// carbon.
    fn with(
        &self,
        layer: &Layer,
        index: usize,
        stack: &Stack,
        mut checkpoint: Checkpoint,
    ) -> Result<(Stack, Checkpoint, AddedLayer, CarbonKinds), Error> {
        let before = Simulation::resume(stack, checkpoint.clone()).snapshot();
        let (state, days) = (&checkpoint.state, checkpoint.days);
        let done = lay_on(self.bed, stack, state, days, layer, index, self.figures)?;
        checkpoint.state = done.state;
        let after = Simulation::resume(&done.stack, checkpoint.clone()).snapshot();
        let added = AddedLayer {
            index,
            before_m: before.height_m,
            after_m: after.height_m,
            total_mass_kg: after.total_mass_kg() - before.total_mass_kg(),
        };
        let carbon = after.carbon_kinds().less(&before.carbon_kinds());
        Ok((done.stack, checkpoint, added, carbon))
    }

    /// Runs from there to the end. A second observer sees the same until it asks for an addition;
    /// returned is where the two part.
    fn follow(
        &self,
        from: Position,
        observer: &mut dyn Observer,
        mut second: Option<&mut (dyn Observer + '_)>,
    ) -> Result<Option<Position>, Error> {
        let Position {
            mut stack,
            mut checkpoint,
            mut layers,
            mut raised_m,
            mut added_carbon,
            events,
            mut asked,
        } = from;
        let mut parting = None;
        let mut rest = self.events.get(events..).unwrap_or_default();
        loop {
            let mut simulation = Simulation::resume(&stack, checkpoint);
            // Until something is added, which makes another stack.
            let mut additions: Vec<Layer> = Vec::new();
            let mut event = None;
            while let Some((next, others)) = rest.split_first() {
                if let Some(asked) = asked.take() {
                    additions = asked;
                } else {
                    simulation.advance_to(next.days);
                    let now = simulation.snapshot();
                    if next.is_observed {
                        observer.observe(&now, raised_m);
                    }
                    if let Some(month) = next.month {
                        additions = observer.additions_due(month, &now);
                        let asked = second
                            .as_mut()
                            .map(|second| second.additions_due(month, &now));
                        if let Some(asked) = asked.filter(|asked| !asked.is_empty()) {
                            second = None;
                            parting = Some(Position {
                                stack: stack.clone(),
                                checkpoint: simulation.clone().checkpoint(),
                                layers,
                                raised_m,
                                added_carbon,
                                events: self.events.len() - rest.len(),
                                asked: Some(asked),
                            });
                        }
                    }
                    if additions.is_empty() && next.added.is_empty() {
                        if let Some(month) = next.month {
                            let so_far = (raised_m, added_carbon);
                            end_month(
                                &mut simulation,
                                now,
                                month,
                                so_far,
                                observer,
                                second.as_deref_mut(),
                            )?;
                        }
                        rest = others;
                        continue;
                    }
                }
                additions.extend(next.added.iter().cloned());
                rest = others;
                event = Some(next);
                break;
            }
            let Some(event) = event else {
                return Ok(parting);
            };
            checkpoint = simulation.checkpoint();
            for layer in &additions {
                let (added, carbon);
                (stack, checkpoint, added, carbon) =
                    self.with(layer, layers, &stack, checkpoint)?;
                raised_m += added.after_m - added.before_m;
                added_carbon = added_carbon.plus(&carbon);
                observer.layer_added(event.on, layer, &added);
                if let Some(second) = &mut second {
                    second.layer_added(event.on, layer, &added);
                }
                layers += 1;
            }
            if let Some(month) = event.month {
                let mut simulation = Simulation::resume(&stack, checkpoint);
                let now = simulation.snapshot();
                let so_far = (raised_m, added_carbon);
                end_month(
                    &mut simulation,
                    now,
                    month,
                    so_far,
                    observer,
                    second.as_deref_mut(),
                )?;
                checkpoint = simulation.checkpoint();
            }
        }
    }
}

/// Reports the end of a month, and begins the next month log.
fn end_month(
    simulation: &mut Simulation<'_>,
    now: Snapshot,
    month: u32,
    (raised_m, added_carbon): (f64, CarbonKinds),
    observer: &mut dyn Observer,
    second: Option<&mut (dyn Observer + '_)>,
) -> Result<(), Error> {
    let month_end = MonthEnd {
        month,
        now,
        month_log: simulation.month_log(),
        raised_m,
        added_carbon,
    };
    if let Some(second) = second {
        second.month_ended(month_end.clone())?;
    }
    observer.month_ended(month_end)?;
    simulation.begin_month_log();
    Ok(())
}
