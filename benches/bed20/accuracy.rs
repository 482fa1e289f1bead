//! Are the kernels and their judges as accurate as the bench says?

mod closed_form;
mod heated;
mod layer;
mod plain;
mod problem;
mod quadrature;
mod solver;

use closed_form::{ClosedForm, off_by};
use heated::Heated;
use layer::Kernel;
use plain::Plain;
use problem::{ACCURACY, Draw, MONTHS, Problem};
use solver::{Method, Solver};

/// So does the reference solution of the other problem.
#[test]
fn the_plain_kernel_keeps_to_the_closed_form() {
    let (kernel, closed_form) = (Plain::new(), ClosedForm::new());
    for draw in Draw::batch(64) {
        let exact = closed_form.totals_kg(&draw);
        let off = off_by(&stepped(&kernel, &draw), &exact);
        assert!(off < ACCURACY, "{draw:?}: {off:e}");
        let off = off_by(&solved(Solver::JUDGE, Problem::Plain, &draw), &exact);
        assert!(off < 1e-9, "judge, {draw:?}: {off:e}");
    }
}

/// That reference agrees with a method of another order.
#[test]
fn the_heated_kernel_keeps_to_a_tight_solver() {
    let kernel = Heated::new();
    let other = Solver {
        method: Method::Dopri5,
        ..Solver::JUDGE
    };
    for draw in Draw::batch(16) {
        let exact = solved(Solver::JUDGE, Problem::Heated, &draw);
        let off = off_by(&stepped(&kernel, &draw), &exact);
        assert!(off < ACCURACY, "{draw:?}: {off:e}");
        let off = off_by(&solved(other, Problem::Heated, &draw), &exact);
        assert!(off < 1e-9, "judge, {draw:?}: {off:e}");
    }
}

fn stepped(kernel: &impl Kernel, draw: &Draw) -> [f64; MONTHS] {
    let mut totals = [0.0; MONTHS];
    kernel.totals_kg(draw, &mut totals);
    totals
}

fn solved(solver: Solver, problem: Problem, draw: &Draw) -> [f64; MONTHS] {
    let mut totals = [0.0; MONTHS];
    let done = solver.totals_kg(problem, draw, &mut totals);
    assert!(done.is_some(), "{solver:?} gives up");
    totals
}
