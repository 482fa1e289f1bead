//! How much faster is the kernel than a general solver at the same accuracy?
//!
//! BED20: 20 years of a bed of five layers, four pools and humus each, at every month; one bed,
//! and a batch of 10,000 realisations (200 with `-- --smoke`). BED20N: the same with
//! self-heating layers. Both sides run on one core in one process, alternately; the solver uses
//! the method and tolerance of its library that need the fewest evaluations. Total carbon must
//! stay within 1e-6 of the exact solution at every month of every realisation, or the bench
//! fails; times are printed and never judged.
#![allow(clippy::print_stdout, reason = "a bench prints its table")]

mod closed_form;
mod heated;
mod kernel;
mod layers;
mod level;
mod plain;
mod problem;
mod quadrature;
mod race;
mod solver;

use std::hint::black_box;

use closed_form::{ClosedForm, off_by};
use heated::Heated;
use kernel::Kernel;
use level::Level;
use plain::Plain;
use problem::{ACCURACY, Draw, MONTHS, Problem};
use race::{PER_TURN, Times, least, median};
use solver::{Method, Solver};

/// Realisations side by side in a batch.
const LANES: usize = 8;
/// Realisations used to choose a solver, before it is checked on all.
const TRIAL: usize = 1000;

/// Size of the run.
struct Plan {
    draws: usize,
    /// Turns per side.
    turns: usize,
}

impl Plan {
    fn from_arguments() -> Self {
        if std::env::args().any(|argument| argument == "--smoke") {
            Self {
                draws: 200,
                turns: 3,
            }
        } else {
            Self {
                draws: 10_000,
                turns: 100,
            }
        }
    }
}

fn main() {
    let plan = Plan::from_arguments();
    let draws = Draw::batch(plan.draws);
    let closed_form = ClosedForm::new();
    let exact: Vec<_> = draws
        .iter()
        .map(|draw| closed_form.totals_kg(draw))
        .collect();
    println!("BED20, 20 years by months, one core; microseconds per forecast");
    compare(&plan, Problem::Plain, &Plain::new(), &draws, &exact);

    let exact: Vec<_> = draws
        .iter()
        .map(|draw| {
            let mut totals = [0.0; MONTHS];
            let done = Solver::JUDGE.totals_kg(Problem::Heated, draw, &mut totals);
            done.expect("the judge gets through");
            totals.to_vec()
        })
        .collect();
    println!();
    println!("BED20N, the same, warmed by what rots");
    compare(&plan, Problem::Heated, &Heated::new(), &draws, &exact);
}

/// Prints the table of a problem, and fails if a side is not accurate.
fn compare(
    plan: &Plan,
    problem: Problem,
    kernel: &impl Kernel,
    draws: &[Draw],
    exact: &[Vec<f64>],
) {
    println!(
        "{:<42}{:>10}{:>10}{:>12}{:>8}",
        "", "median", "least", "off by", "ratio"
    );
    let nominal = draws[0];
    let one_bed = || (0..PER_TURN).map(|_| black_box(&nominal));
    let (solver, solver_off) = fewest_evaluations(problem, &draws[..1], &exact[..1]);
    let off = bed_off(kernel, &nominal, &exact[0]);
    let times = Times::of(
        plan.turns,
        |_| one_bed().for_each(|draw| forecast_bed(kernel, draw)),
        |_| one_bed().for_each(|draw| solve(problem, solver, &[*draw])),
    );
    println!("one bed");
    print_side("its layers side by side", &times.ours, off, times.ratio());
    print_solver(solver, &times, solver_off);
    implicit(&[off, solver_off]);

    // Each turn takes other realisations, until all of the batch had theirs.
    let of_turn = |turn: usize| {
        let groups = draws.chunks_exact(PER_TURN);
        black_box(&draws[turn % groups.len() * PER_TURN..][..PER_TURN])
    };
    let (solver, solver_off) = fewest_evaluations(problem, draws, exact);
    let off = draws_off(kernel, draws, exact);
    println!("batch of {}", draws.len());
    for (level, name) in [
        (Level::Best, "draws side by side"),
        (Level::Baseline, "of them, without AVX2"),
    ] {
        let times = Times::of(
            plan.turns,
            |turn| forecast_draws(kernel, level, of_turn(turn)),
            |turn| solve(problem, solver, of_turn(turn)),
        );
        let name = format!("{LANES} {name}");
        print_side(&name, &times.ours, off, times.ratio());
        print_solver(solver, &times, solver_off);
    }
    implicit(&[off, solver_off]);
}

fn implicit(offs: &[f64]) {
    for off in offs {
        assert!(
            *off <= ACCURACY,
            "a side is off by {off:e}, more than {ACCURACY:e}"
        );
    }
}

fn print_side(side: &str, times: &[f64], off: f64, ratio: f64) {
    let (median, least) = (median(times), least(times));
    println!("  {side:<40}{median:>10.2}{least:>10.2}{off:>12.1e}{ratio:>8.1}");
}

fn print_solver(solver: Solver, times: &Times, off: f64) {
    let Solver {
        method,
        relative,
        absolute,
    } = solver;
    let side = format!("{method:?}, {relative:.0e} and {absolute:.0e} kg");
    let (median, least) = (median(&times.theirs), least(&times.theirs));
    println!("  {side:<40}{median:>10.2}{least:>10.2}{off:>12.1e}");
}

/// Fills the lanes of a group; a short last group repeats its last realisation.
fn lanes<const L: usize>(group: &[Draw]) -> [Draw; L] {
    core::array::from_fn(|lane| group[lane.min(group.len() - 1)])
}

fn forecast_bed(kernel: &impl Kernel, draw: &Draw) {
    let mut totals = [0.0; MONTHS];
    kernel.totals_of_bed_kg(Level::Best, draw, &mut totals);
    black_box(&totals);
}

fn forecast_draws(kernel: &impl Kernel, level: Level, draws: &[Draw]) {
    let mut totals = [[0.0; LANES]; MONTHS];
    for group in draws.chunks(LANES) {
        kernel.totals_of_draws_kg(level, &lanes(group), &mut totals);
        black_box(&totals);
    }
}

fn bed_off(kernel: &impl Kernel, draw: &Draw, exact: &[f64]) -> f64 {
    let mut totals = [0.0; MONTHS];
    kernel.totals_of_bed_kg(Level::Best, draw, &mut totals);
    off_by(&totals, exact)
}

fn draws_off(kernel: &impl Kernel, draws: &[Draw], exact: &[Vec<f64>]) -> f64 {
    let mut totals = [[0.0; LANES]; MONTHS];
    let mut worst = 0.0_f64;
    for (group, exact) in draws.chunks(LANES).zip(exact.chunks(LANES)) {
        kernel.totals_of_draws_kg(Level::Best, &lanes(group), &mut totals);
        for (lane, exact) in exact.iter().enumerate() {
            worst = worst.max(off_by(&totals.map(|total| total[lane]), exact));
        }
    }
    worst
}

fn solve(problem: Problem, solver: Solver, draws: &[Draw]) {
    let mut totals = [0.0; MONTHS];
    for draw in draws {
        black_box(solver.totals_kg(problem, draw, &mut totals));
        black_box(&totals);
    }
}

/// Largest deviation over all realisations, and the evaluations; stops at a miss.
fn solver_off(problem: Problem, solver: Solver, draws: &[Draw], exact: &[Vec<f64>]) -> (f64, u64) {
    let mut totals = [0.0; MONTHS];
    let (mut worst, mut evaluations) = (0.0_f64, 0);
    for (draw, exact) in draws.iter().zip(exact) {
        let Some(count) = solver.totals_kg(problem, draw, &mut totals) else {
            return (f64::INFINITY, evaluations);
        };
        evaluations += u64::from(count);
        worst = worst.max(off_by(&totals, exact));
        if worst > ACCURACY {
            break;
        }
    }
    (worst, evaluations)
}

/// The method and tolerance that reach the accuracy with the fewest evaluations: for each
/// method and ratio of absolute to relative tolerance, the loosest of a ladder. Chosen on some
/// realisations, then tightened until it serves all.
fn fewest_evaluations(problem: Problem, draws: &[Draw], exact: &[Vec<f64>]) -> (Solver, f64) {
    let rungs = |method, kg_per_share: f64| {
        (0..40).map(move |rung| {
            let relative = 1e-2 * libm::pow(10.0, -0.25 * f64::from(rung));
            Solver {
                method,
                relative,
                absolute: kg_per_share * relative,
            }
        })
    };
    let trial = TRIAL.min(draws.len());
    let mut best: Option<(Solver, f64, u64)> = None;
    for method in [Method::Dopri5, Method::Dop853] {
        for kg_per_share in [0.01, 0.1, 1.0, 10.0, 100.0] {
            let found = rungs(method, kg_per_share).find_map(|solver| {
                let (off, evaluations) =
                    solver_off(problem, solver, &draws[..trial], &exact[..trial]);
                (off <= ACCURACY).then_some((solver, kg_per_share, evaluations))
            });
            if let Some(found) = found
                && best.is_none_or(|(_, _, evaluations)| found.2 < evaluations)
            {
                best = Some(found);
            }
        }
    }
    let (chosen, kg_per_share, _) = best.expect("the ladder reaches down to 1e-12");
    rungs(chosen.method, kg_per_share)
        .skip_while(|solver| solver.relative > chosen.relative)
        .find_map(|solver| {
            let (off, _) = solver_off(problem, solver, draws, exact);
            (off <= ACCURACY).then_some((solver, off))
        })
        .expect("the ladder reaches down to 1e-12")
}
