//! Invariants of every bed, whatever is in it.

use moulder::internals::bed::Bed;
use moulder::internals::forecast::calendar::days_to_month;
use moulder::internals::model::compile::compile;
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder_core::bed::stack::WATERED;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::Simulation;

/// Allowed difference between sums of the same parts.
const ROUNDING: f64 = 1e-12;

/// Simulates a bed of its layers alone month by month. Carbon, nitrogen, water and mineral
/// matter are conserved to 1e-9, nothing is negative or NaN, the split adds up to the
/// settlement, and carbon, in wood and in total, never grows.
///
/// # Errors
///
/// The invariant that is broken.
pub(crate) fn accounted_for(bed: &Bed, months: u32) -> Result<(), String> {
    let weather = weather_for(bed, days_to_month(bed.filled(), months));
    let compiled =
        compile(bed, weather, Figures::nominal()).map_err(|no_room| no_room.to_string())?;
    let (stack, state) = (compiled.stack, compiled.state);
    let sums = |state: &_| {
        [
            ("carbon", stack.carbon_kg(state)),
            ("mineral matter", stack.mineral_kg(state)),
            ("nitrogen", stack.nitrogen_kg(state)),
            ("water", stack.water_kg(state)),
        ]
    };
    let put_in = sums(&state);
    let is_warmth: Vec<usize> = stack.slices.iter().map(|s| s.slots.temperature).collect();
    let mut simulation = Simulation::new(&stack, state, StepSchedule::default());
    let start = simulation.snapshot();
    if start.height_m <= 0.0 {
        return Err(format!("it begins {} m high", start.height_m));
    }
    let mut before = start.clone();
    for month in 1..=months {
        simulation.advance_to(days_to_month(bed.filled(), month));
        for (place, &row) in simulation.state().rows.iter().enumerate() {
            if !row.is_finite() || (row < 0.0 && !is_warmth.contains(&place)) {
                return Err(format!("month {month}, row {place}: {row}"));
            }
        }
        let now = simulation.snapshot();
        let through = [
            0.0,
            0.0,
            now.nitrogen_fed_kg,
            simulation.state().rows[WATERED],
        ];
        let sums = sums(simulation.state())
            .into_iter()
            .zip(put_in)
            .zip(through);
        for (((name, kg), (_, put_in_kg)), through_kg) in sums {
            let moved_kg = put_in_kg.abs() + through_kg;
            if (kg - put_in_kg).abs() > 1e-9 * moved_kg {
                return Err(format!("month {month}: {put_in_kg} kg of {name} are {kg}"));
            }
        }
        if let Some(layer) = now.layers.iter().find(|layer| layer.thickness_m < 0.0) {
            return Err(format!("month {month}: {layer:?}"));
        }
        let settlement_m = start.height_m - now.height_m;
        if (now.split.sum_m() - settlement_m).abs() > 1e-9 * start.height_m.max(1.0) {
            return Err(format!("month {month}: {settlement_m} m, {:?}", now.split));
        }
        let (less, more) = (now.carbon_kinds(), before.carbon_kinds());
        let is_more = |now_kg: f64, before_kg: f64| now_kg > before_kg * (1.0 + ROUNDING);
        if is_more(less.wood_kg, more.wood_kg) || is_more(before.released_kg, now.released_kg) {
            return Err(format!("month {month}: {more:?} are {less:?}"));
        }
        before = now;
    }
    Ok(())
}
