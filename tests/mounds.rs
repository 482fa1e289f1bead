//! Do mounds slump as the law says, on both paths, with volumes and accounts kept?
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test fails by panicking and prints what it measured"
)]

mod support;

use moulder::internals::bed::{Addition, Amount, Bed, Ingredient, Placement};
use moulder::internals::forecast::calendar::days_to_month;
use moulder::internals::forecast::forecast;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::library::Library;
use moulder::internals::model::compile::{Compiled, compile, lay_on};
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder_core::bed::measure::{SliceMeasure, height_m};
use moulder_core::bed::stack::Stack;
use moulder_core::bed::state::State;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::Simulation;
use support::accounts::accounted_for;
use support::{MOUNDS, read};

fn steep_mound() -> Bed {
    read(MOUNDS[0])
}

fn compiled(bed: &Bed) -> Compiled {
    let days = days_to_month(bed.filled(), 36);
    compile(bed, weather_for(bed, days), Figures::nominal()).unwrap()
}

fn measures(stack: &Stack, state: &State) -> Vec<SliceMeasure> {
    let mut measures = Vec::new();
    stack.measure(state, 0.0, &mut measures);
    measures
}

fn same(one: f64, other: f64) -> bool {
    one.to_bits() == other.to_bits()
}

/// The state with sides of that run.
fn with_run(stack: &Stack, state: &State, run_m: f64) -> State {
    let mut state = state.clone();
    state.rows[stack.slopes.as_ref().unwrap().run] = run_m;
    state
}

/// A year's share of the height of a bed of loam of 150 cm on that outline.
fn sinks_in_a_year(outline: &str) -> f64 {
    let bed = read(&format!(
        "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n{outline}\n\
         [[layer]]\nput = [{{ material = \"loamy topsoil\", amount = \"150 cm\" }}]\n"
    ));
    let rows = forecast(&bed, 12, &unwatched).unwrap().months;
    rows[12].settlement_m / rows[0].height_m
}

/// Slumping lowers and spreads every slice at its own volume, and what lies in a trench not at
/// all.
#[test]
fn each_slice_keeps_its_volume() {
    for text in MOUNDS {
        let bed = read(text);
        let Compiled { stack, state } = compiled(&bed);
        let built_run_m = state.rows[stack.slopes.as_ref().unwrap().run];
        let built = measures(&stack, &state);
        let slumped = measures(&stack, &with_run(&stack, &state, 2.0 * built_run_m));
        for ((slice, one), other) in stack.slices.iter().zip(&built).zip(&slumped) {
            assert!((one.spread - 1.0).abs() < 1e-12);
            assert!(same(one.volume_m3, other.volume_m3));
            let volume_m3 = other.thickness_m * other.area_m2;
            assert!((volume_m3 / one.volume_m3 - 1.0).abs() < 1e-12);
            if slice.sides.share == 0.0 {
                assert!(same(one.thickness_m, other.thickness_m));
            } else {
                assert!(other.thickness_m < one.thickness_m);
                assert!(other.vertical_stress_kpa < one.vertical_stress_kpa);
            }
        }
    }
}

/// What fills a trench fills it upright: slice by slice, the lower part of a mound is that of a box
/// of its outline, and above the ground it is the mound that stands beside a trench. It slumps in
/// that trench as the same mound does on level ground, with the volume of every layer kept.
#[test]
fn a_mound_fills_its_trench_and_slumps_above_it() {
    let bed = |trench: u32, deep: &str| {
        read(&format!(
            "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
             shape = \"mound\"\nwidth = \"1.8 m\"\nlength = \"4 m\"\nslope = \"60 deg\"\n\
             trench = \"{trench} cm\"\n{deep}\
             [[layer]]\nput = [{{ material = \"loamy topsoil\", amount = \"90 cm\" }}]\n"
        ))
    };
    let deep = "[[layer]]\nput = [{ material = \"birch log\", amount = \"20 cm\" }]\n";
    let (dug, level) = (compiled(&bed(20, deep)), compiled(&bed(0, "")));
    let area_m2 = 1.8 * 4.0;
    let built = measures(&dug.stack, &dug.state);
    let (mut height_m, mut volume_m3) = (0.0, 0.0);
    for (slice, measure) in dug.stack.slices.iter().zip(&built) {
        let in_trench = slice.sides.share == 0.0;
        assert_eq!(in_trench, height_m < 0.2 - 1e-9, "{height_m}");
        if in_trench {
            assert!((measure.area_m2 - area_m2).abs() < 1e-9);
        } else {
            assert!(measure.area_m2 < area_m2);
        }
        height_m += measure.thickness_m;
        volume_m3 += measure.volume_m3;
    }
    let above_m3: f64 = measures(&level.stack, &level.state)
        .iter()
        .map(|measure| measure.volume_m3)
        .sum();
    // Placing and measuring differ by some micrometres.
    assert!((height_m - 1.1).abs() < 1e-5, "{height_m}");
    assert!(
        (volume_m3 - above_m3 - 0.2 * area_m2).abs() < 1e-4,
        "{volume_m3}"
    );
    // The side runs as far, and as far out.
    let run_m = |Compiled { stack, state }: &Compiled| {
        let run = stack.slopes.as_ref().unwrap().run;
        let mut simulation = Simulation::new(stack, state.clone(), StepSchedule::default());
        let built_m = state.rows[run];
        simulation.advance_to(730.0);
        let state = simulation.state();
        for (one, other) in measures(stack, state).iter().zip(&stack.slices) {
            let volume_m3 = one.thickness_m * one.area_m2;
            assert!((volume_m3 / one.volume_m3 - 1.0).abs() < 1e-12);
            assert!(other.sides.share > 0.0 || same(one.spread, 1.0));
        }
        (built_m, state.rows[run])
    };
    let ((dug_m, dug_end_m), (level_m, level_end_m)) = (run_m(&dug), run_m(&level));
    println!("built {dug_m:.4} {level_m:.4}, after two years {dug_end_m:.4} {level_end_m:.4}");
    assert!((dug_m - level_m).abs() < 1e-9, "{dug_m} {level_m}");
    assert!(dug_end_m > dug_m + 0.05);
    // Loam trickles into the logs of the trench, so that less of it stands above the ground.
    assert!((dug_end_m / level_end_m - 1.0).abs() < 0.1);
}

/// A layer across the ground holds what the outline holds there: upright below, sloping above.
#[test]
fn a_layer_across_the_ground_is_no_narrower_than_the_trench_below_it() {
    let bed = read(MOUNDS[2]);
    let Compiled { stack, state } = compiled(&bed);
    let built = measures(&stack, &state);
    let mut bottom_m = 0.0;
    let mut across = 0;
    for (slice, measure) in stack.slices.iter().zip(&built) {
        let top_m = bottom_m + measure.thickness_m;
        let want_m3 = bed.shape().volume_m3(bottom_m, top_m);
        assert!(
            (measure.volume_m3 / want_m3 - 1.0).abs() < 1e-3,
            "{want_m3}"
        );
        let is_across = slice.sides.share > 0.0 && slice.sides.share < 1.0;
        if is_across {
            across += 1;
            let level_m2 = bed.shape().area_m2();
            assert!(measure.area_m2 < level_m2 && measure.area_m2 > 0.9 * level_m2);
        }
        bottom_m = top_m;
    }
    assert_eq!(across, 1);
}

/// A steep mound of loam sinks by more than in a box, towards its repose; one built flatter than
/// that, and one of logs, keep their sides to the bit.
#[test]
fn what_is_steeper_than_its_repose_slumps() {
    let walls =
        sinks_in_a_year("shape = \"box\"\nwidth = \"2 m\"\nlength = \"4 m\"\nrim = \"2 m\"");
    let mound = |width: &str, length: &str, slope: u32| {
        sinks_in_a_year(&format!(
            "shape = \"mound\"\nwidth = \"{width}\"\nlength = \"{length}\"\nslope = \"{slope} deg\""
        ))
    };
    let (steep, flat) = (mound("2 m", "4 m", 65), mound("8 m", "10 m", 30));
    println!("loam of 150 cm: walls {walls:.4}, at 65 degrees {steep:.4}, at 30 {flat:.4}");
    assert!((0.05..0.30).contains(&(steep - walls)), "{steep} {walls}");
    assert!((flat - walls).abs() < 0.01, "{flat} {walls}");
    let bed = read(MOUNDS[1]);
    let Compiled { stack, state } = compiled(&bed);
    let run = stack.slopes.as_ref().unwrap().run;
    let mut simulation = Simulation::new(&stack, state.clone(), StepSchedule::default());
    simulation.advance_to(730.0);
    assert!(same(simulation.state().rows[run], state.rows[run]));
}

/// Lower repose, or a longer wait, never raises a mound; nor does anything steepen a side.
#[test]
fn a_flatter_repose_never_raises_the_height() {
    let Compiled { stack, state } = compiled(&steep_mound());
    let run = stack.slopes.as_ref().unwrap().run;
    let mut before = f64::INFINITY;
    for rest_run in [0.4, 0.6, 1.0, 1.3, 1.7] {
        let mut stack = stack.clone();
        for slice in &mut stack.slopes.as_mut().unwrap().rest_run {
            *slice = rest_run;
        }
        let mut simulation = Simulation::new(&stack, state.clone(), StepSchedule::default());
        let mut run_m = state.rows[run];
        for month in 1..=24 {
            simulation.advance_to(30.0 * f64::from(month));
            let now_m = simulation.state().rows[run];
            assert!(now_m >= run_m);
            run_m = now_m;
        }
        let end_m = simulation.height_m();
        assert!(end_m <= before + 1e-6, "{rest_run}: {end_m} {before}");
        before = end_m;
    }
}

/// Two years of slumping lose nothing, and the causes still add up to the settlement.
#[test]
fn a_slumping_mound_is_accounted_for() {
    for text in MOUNDS {
        accounted_for(&read(text), 24).unwrap();
    }
    let rows = forecast(&steep_mound(), 24, &unwatched).unwrap().months;
    for row in &rows {
        assert!((row.parts.sum_m() - row.settlement_m).abs() < 1e-9);
    }
}

/// What is laid on a slumped mound moves nothing below it, and finds room.
#[test]
fn what_is_laid_on_moves_nothing_below() {
    let bed = steep_mound();
    let Compiled { stack, state } = compiled(&bed);
    let mut simulation = Simulation::new(&stack, state, StepSchedule::default());
    simulation.advance_to(365.0);
    let checkpoint = simulation.checkpoint();
    let library = Library::built_in();
    let loam = library.material("loamy topsoil").unwrap();
    let addition = Addition {
        on: bed.filled(),
        ingredient: Ingredient {
            amount: Amount::VolumeM3(0.2),
            placement: Placement::Loose,
            particle_size_m: loam.particle_size.best,
            moisture_wet: 0.15,
            rotten: 0.0,
            material: loam.clone(),
        },
    };
    let mut before = Vec::new();
    stack.measure(&checkpoint.state, checkpoint.days, &mut before);
    let laid = lay_on(
        &bed,
        &stack,
        &checkpoint.state,
        checkpoint.days,
        &addition.layer(),
        bed.layers().len(),
        Figures::nominal(),
    )
    .unwrap();
    let mut after = Vec::new();
    laid.stack.measure(&laid.state, checkpoint.days, &mut after);
    assert!(after.len() > before.len());
    for (before, after) in before.iter().zip(&after) {
        assert!((before.thickness_m - after.thickness_m).abs() < 1e-12);
        assert!((before.area_m2 - after.area_m2).abs() < 1e-12);
    }
    let (low_m, high_m) = (height_m(&before), height_m(&after));
    assert!(high_m > low_m + 0.05, "{low_m} {high_m}");
}
