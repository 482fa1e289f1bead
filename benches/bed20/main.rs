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
mod layer;
mod plain;
mod problem;
mod quadrature;
mod race;
mod solver;

use std::hint::black_box;

use closed_form::{ClosedForm, off_by};
use heated::Heated;
use layer::Kernel;
use plain::Plain;
use problem::{ACCURACY, Draw, MONTHS, Problem};
use race::{PER_TURN, Times, least, median};
use solver::{Method, Solver};

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
    let batch = format!("batch of {}", draws.len());
    for (name, count) in [("one bed", 1), (&batch, draws.len())] {
        let (draws, exact) = (&draws[..count], &exact[..count]);
        let (solver, solver_off) = fewest_evaluations(problem, draws, exact);
        let off = kernel_off(kernel, draws, exact);
        // Each turn takes other realisations, until all had theirs.
        let in_turn = draws.iter().copied().cycle();
        let in_turn: Vec<_> = in_turn.take(plan.turns * PER_TURN).collect();
        let of_turn = |turn: usize| black_box(&in_turn[turn * PER_TURN..][..PER_TURN]);
        let times = Times::of(
            plan.turns,
            |turn| forecast(kernel, of_turn(turn)),
            |turn| solve(problem, solver, of_turn(turn)),
        );
        println!("{name}");
        print_side("exact steps", &times.ours, off, times.ratio());
        print_solver(solver, &times, solver_off);
        for off in [off, solver_off] {
            assert!(
                off <= ACCURACY,
                "a side is off by {off:e}, more than {ACCURACY:e}"
            );
        }
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

fn forecast(kernel: &impl Kernel, draws: &[Draw]) {
    let mut totals = [0.0; MONTHS];
    for draw in draws {
        kernel.totals_kg(draw, &mut totals);
        black_box(&totals);
    }
}

/// Largest deviation over all realisations.
fn kernel_off(kernel: &impl Kernel, draws: &[Draw], exact: &[Vec<f64>]) -> f64 {
    let mut totals = [0.0; MONTHS];
    let mut worst = 0.0_f64;
    for (draw, exact) in draws.iter().zip(exact) {
        kernel.totals_kg(draw, &mut totals);
        worst = worst.max(off_by(&totals, exact));
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
