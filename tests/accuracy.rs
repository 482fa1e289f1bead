//! Accuracy of the fast path: against the reference path, which integrates the same laws as one
//! system of differential equations, and against itself with halved steps. For ten years and a
//! hundred random beds in all climates see `examples/accuracy`.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test fails by panicking and prints what it measured"
)]

#[path = "../examples/accuracy/draws.rs"]
mod draws;
mod support;

use moulder::internals::bed::EditBed as _;
use moulder::internals::bed::{Bed, Irrigation};
use moulder::internals::forecast::calendar::days_to_month;
use moulder::internals::forecast::forecast_with;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::model::compile::compile;
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder_solve::reference::{Tolerance, integrate};
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::Simulation;
use moulder_solve::snapshot::Snapshot;
use moulder_solve::split::Split;
use support::{MOUNDS, demo_bag, demo_box, read};

/// Months compared with the reference path, which is slow: weather, decay and settlement at
/// their fastest, and a year of the longest steps.
const MONTHS: u32 = 24;
/// Months compared with halved steps.
const HALVED_MONTHS: u32 = 120;

/// Layers thinner than this are left out of the temperature comparison; m.
const THIN_M: f64 = 0.01;

/// Fast path within 1 mm of height, 0.1 % of carbon, 0.5 degC in every layer and 1 % of water,
/// every month for two years.
fn hold_to_reference(bed: &Bed) {
    let last = days_to_month(bed.filled(), MONTHS);
    let compiled = compile(bed, weather_for(bed, last), Figures::nominal()).unwrap();
    let days: Vec<f64> = (1..=MONTHS)
        .map(|month| days_to_month(bed.filled(), month))
        .collect();
    let reference = integrate(
        &compiled.stack,
        &compiled.state,
        &days,
        Tolerance::new(1e-7),
    )
    .unwrap();
    let mut simulation = Simulation::new(
        &compiled.stack,
        compiled.state.clone(),
        StepSchedule::default(),
    );
    let (mut worst_m, mut worst_carbon) = (0.0_f64, 0.0_f64);
    let (mut worst_c, mut worst_water) = (0.0_f64, 0.0_f64);
    for (day, state) in days.iter().zip(&reference.states) {
        simulation.advance_to(*day);
        let fast = simulation.snapshot();
        let exact = Snapshot::take(&compiled.stack, state, &Split::default(), *day);
        worst_m = worst_m.max((fast.height_m - exact.height_m).abs());
        worst_carbon = worst_carbon.max((fast.carbon_kg() / exact.carbon_kg() - 1.0).abs());
        worst_water = worst_water.max((fast.water_kg() / exact.water_kg() - 1.0).abs());
        let layers = fast.layers.iter().zip(&exact.layers);
        for (one, other) in layers.filter(|(_, exact)| exact.thickness_m > THIN_M) {
            worst_c = worst_c.max((one.temperature_c - other.temperature_c).abs());
        }
    }
    println!(
        "{}: worst {:.3} mm, {:.4} % carbon, {:.3} degC, {:.3} % water; reference {:?}",
        bed.name(),
        worst_m * 1e3,
        worst_carbon * 1e2,
        worst_c,
        worst_water * 1e2,
        reference.effort
    );
    assert!(worst_m < 1e-3, "{worst_m} m");
    assert!(worst_carbon < 1e-3, "{worst_carbon}");
    assert!(worst_c < 0.5, "{worst_c} degC");
    assert!(worst_water < 0.01, "{worst_water}");
}

#[test]
fn the_bag_follows_the_reference() {
    hold_to_reference(&demo_bag());
}

#[test]
fn the_box_follows_the_reference() {
    hold_to_reference(&demo_box());
}

/// Loam and a bit of everything slump; logs do not.
#[test]
fn slumping_mounds_follow_the_reference() {
    for text in MOUNDS {
        hold_to_reference(&read(text));
    }
}

/// Turf under several slices of logs: a trace of fines, raised from one empty slice to the next,
/// has no share of soil and gap that an integrator would keep, and must not fall in for it.
#[test]
fn the_reference_gets_through_traces_of_fines() {
    let bed = read(
        r#"
        format = 1
        name = "turf under logs"
        filled = 2026-12-14
        climate = "Adelaide AU"
        bed = { shape = "box", width = "1 m", length = "2 m", rim = "80 cm" }
        [[layer]]
        put = [
            { material = "clay topsoil", amount = "30 cm", as = "trodden" },
            { material = "maple log", amount = "14 cm", as = "tipped" },
            { material = "sandy topsoil", amount = "7 cm", as = "tipped", arrived = "20 % rotten" },
        ]
        then = ["trodden"]
        [[layer]]
        put = [{ material = "turf clods", amount = "11 cm", as = "watered", arrived = "half-rotten" }]
        then = ["watered"]
        [[layer]]
        put = [
            { material = "turf", amount = "11 cm", as = "tipped", arrived = "half-rotten" },
            { material = "oak log", amount = "11 cm", as = "watered" },
        ]
        then = []
        [[layer]]
        put = [
            { material = "poplar log", amount = "3 cm", as = "watered", arrived = "half-rotten" },
            { material = "turf clods", amount = "23 cm", as = "trodden", arrived = "half-rotten" },
        ]
        then = ["watered"]
        [[layer]]
        put = [
            { material = "poplar log", amount = "8 cm", as = "watered", arrived = "20 % rotten" },
            { material = "straw", amount = "7 cm", as = "watered", arrived = "half-rotten" },
            { material = "hardwood log", amount = "21 cm", as = "trodden", arrived = "20 % rotten" },
        ]
        then = ["trodden", "watered"]
        "#,
    );
    let last = days_to_month(bed.filled(), 1);
    let compiled = compile(&bed, weather_for(&bed, last), Figures::nominal()).unwrap();
    let (stack, start) = (&compiled.stack, &compiled.state);
    let reached = integrate(stack, start, &[2.0], Tolerance::new(1e-7));
    assert!(reached.is_ok(), "{:?}", reached.err());
}

/// Green logs drying in the wind, under a roof.
fn roofed_stack() -> Bed {
    let mut bed = read(
        r#"
        format = 1
        name = "a stack"
        filled = 2026-03-14
        climate = "Cambridge UK"
        [bed]
        shape = "bag"
        width = "1 m"
        length = "4 m"
        rim = "1 m"
        [[layer]]
        put = [{ material = "oak log", amount = "60 cm", across = "8 cm" }]
        "#,
    );
    *bed.edit().irrigation = Some(Irrigation {
        litres_per_week: 0.0,
        from: 5,
        to: 9,
        rain_share: 0.0,
    });
    bed
}

#[test]
fn a_drying_stack_follows_the_reference() {
    hold_to_reference(&roofed_stack());
}

/// Casts fill the gaps of a mulch.
#[test]
fn a_mulched_soil_follows_the_reference() {
    hold_to_reference(&read(
        r#"
        format = 1
        name = "chips on loam"
        filled = 2026-03-14
        climate = "Cambridge UK"
        [bed]
        shape = "box"
        width = "1 m"
        length = "2 m"
        rim = "40 cm"
        [[layer]]
        put = [{ material = "loamy topsoil", amount = "30 cm" }]
        [[layer]]
        put = [{ material = "softwood chips", amount = "5 cm" }]
        "#,
    ));
}

/// Beds with every process among them.
fn beds() -> [Bed; 5] {
    let [loam, _, mixed] = MOUNDS.map(read);
    [demo_bag(), demo_box(), roofed_stack(), loam, mixed]
}

/// Halving the steps moves no month by 0.3 mm, and no share of the split by 2 % of the
/// settlement.
#[test]
fn halving_the_steps_hardly_moves_a_month() {
    for bed in beds() {
        let coarse =
            forecast_with(&bed, HALVED_MONTHS, StepSchedule::default(), &unwatched).unwrap();
        let fine = forecast_with(
            &bed,
            HALVED_MONTHS,
            StepSchedule::default().refined(),
            &unwatched,
        )
        .unwrap();
        let (mut worst_m, mut worst_share) = (0.0_f64, 0.0_f64);
        for (a, b) in coarse.months.iter().zip(&fine.months).skip(1) {
            worst_m = worst_m.max((a.height_m - b.height_m).abs());
            let pairs = [
                (a.parts.mechanical_m, b.parts.mechanical_m),
                (a.parts.fines_migration_m, b.parts.fines_migration_m),
                (a.parts.nonwoody_decay_m, b.parts.nonwoody_decay_m),
                (a.parts.wood_decay_m, b.parts.wood_decay_m),
            ];
            for (one, other) in pairs {
                worst_share = worst_share.max((one - other).abs() / b.settlement_m);
            }
        }
        println!(
            "{}: halving moves {:.3} mm, {:.3} % of the sink",
            bed.name(),
            worst_m * 1e3,
            worst_share * 1e2
        );
        assert!(worst_m < 3e-4, "{}: {worst_m} m", bed.name());
        assert!(worst_share < 0.02, "{}: {worst_share}", bed.name());
    }
}

/// The longer steps move realisations by less than 0.5 mm, root mean square, and the carbon of none
/// by 1 %, where realisations lie centimetres apart. For quantiles, over a thousand, see
/// `examples/accuracy`.
#[test]
fn the_steps_of_draws_hardly_move_them() {
    for bed in [demo_bag(), demo_box()] {
        let moved = draws::moved(&bed, 24, [6, 12]).unwrap();
        println!("{}: the steps of draws move {moved:.3?}", bed.name());
        assert!(moved.rms_mm < 0.5, "{}: {moved:?}", bed.name());
        assert!(moved.carbon_percent < 1.0, "{}: {moved:?}", bed.name());
    }
}

/// Nor do they move any month of the nominal parameters by 2 mm, or its carbon by 0.6 %: a pass of
/// several days sees the mean of warm and cool ones.
#[test]
fn the_steps_of_draws_hardly_move_a_month() {
    for bed in beds() {
        let [middle, coarse] = [StepSchedule::default(), StepSchedule::coarse()]
            .map(|schedule| forecast_with(&bed, HALVED_MONTHS, schedule, &unwatched).unwrap());
        let (mut worst_m, mut worst_carbon) = (0.0_f64, 0.0_f64);
        for (a, b) in coarse.months.iter().zip(&middle.months).skip(1) {
            worst_m = worst_m.max((a.height_m - b.height_m).abs());
            worst_carbon = worst_carbon.max((a.carbon_kg / b.carbon_kg - 1.0).abs());
        }
        println!(
            "{}: the steps of draws move {:.3} mm, {:.3} % of carbon",
            bed.name(),
            worst_m * 1e3,
            worst_carbon * 1e2
        );
        assert!(worst_m < 2e-3, "{}: {worst_m} m", bed.name());
        assert!(worst_carbon < 6e-3, "{}: {worst_carbon}", bed.name());
    }
}
