//! Do the kernels give the same bits whatever is in the other lanes and whatever the processor
//! supports, and are they as accurate as the bench says?

mod closed_form;
mod heated;
mod kernel;
mod layers;
mod level;
mod plain;
mod problem;
mod quadrature;
mod solver;

use closed_form::{ClosedForm, off_by};
use heated::Heated;
use kernel::Kernel;
use level::Level;
use plain::Plain;
use problem::{ACCURACY, Draw, MONTHS, Problem};
use solver::{Method, Solver};

/// Totals of each realisation, computed `L` side by side.
fn in_lanes<const L: usize>(
    kernel: &impl Kernel,
    level: Level,
    draws: &[Draw],
) -> Vec<[f64; MONTHS]> {
    let (groups, rest) = draws.as_chunks::<L>();
    assert!(rest.is_empty(), "whole groups");
    let mut totals = [[0.0; L]; MONTHS];
    let of_group = |group: &[Draw; L]| {
        kernel.totals_of_draws_kg(level, group, &mut totals);
        core::array::from_fn::<_, L, _>(|lane| totals.map(|total| total[lane]))
    };
    groups.iter().flat_map(of_group).collect()
}

fn bits(totals: &[[f64; MONTHS]]) -> Vec<[u64; MONTHS]> {
    totals.iter().map(|draw| draw.map(f64::to_bits)).collect()
}

fn assert_same_bits(kernel: &impl Kernel) {
    let draws = Draw::batch(32);
    let alone = bits(&in_lanes::<1>(kernel, Level::Baseline, &draws));
    assert_ne!(alone[0], alone[1], "the draws differ");
    for level in [Level::Baseline, Level::Best] {
        let one = bits(&in_lanes::<1>(kernel, level, &draws));
        let four = bits(&in_lanes::<4>(kernel, level, &draws));
        let eight = bits(&in_lanes::<8>(kernel, level, &draws));
        assert!(one == alone, "one a time, {level:?}");
        assert!(four == alone, "four side by side, {level:?}");
        assert!(eight == alone, "eight side by side, {level:?}");
        for (draw, alone) in draws.iter().zip(&alone) {
            let mut totals = [0.0; MONTHS];
            kernel.totals_of_bed_kg(level, draw, &mut totals);
            assert!(totals.map(f64::to_bits) == *alone, "layers, {level:?}");
        }
    }
}

#[test]
fn plain_lanes_and_levels_give_the_same_bits() {
    assert_same_bits(&Plain::new());
}

#[test]
fn heated_lanes_and_levels_give_the_same_bits() {
    assert_same_bits(&Heated::new());
}

/// The same for the reference solution of the other problem.
#[test]
fn the_plain_kernel_keeps_to_the_closed_form() {
    let draws = Draw::batch(64);
    let closed_form = ClosedForm::new();
    let totals = in_lanes::<8>(&Plain::new(), Level::Best, &draws);
    for (draw, totals) in draws.iter().zip(totals) {
        let exact = closed_form.totals_kg(draw);
        let off = off_by(&totals, &exact);
        assert!(off < ACCURACY, "{draw:?}: {off:e}");
        let off = off_by(&solved(Solver::JUDGE, Problem::Plain, draw), &exact);
        assert!(off < 1e-9, "judge, {draw:?}: {off:e}");
    }
}

/// That reference agrees with a method of another order.
#[test]
fn the_heated_kernel_keeps_to_a_tight_solver() {
    let draws = Draw::batch(16);
    let other = Solver {
        method: Method::Dopri5,
        ..Solver::JUDGE
    };
    let totals = in_lanes::<8>(&Heated::new(), Level::Best, &draws);
    for (draw, totals) in draws.iter().zip(totals) {
        let exact = solved(Solver::JUDGE, Problem::Heated, draw);
        let off = off_by(&totals, &exact);
        assert!(off < ACCURACY, "{draw:?}: {off:e}");
        let off = off_by(&solved(other, Problem::Heated, draw), &exact);
        assert!(off < 1e-9, "judge, {draw:?}: {off:e}");
    }
}

fn solved(solver: Solver, problem: Problem, draw: &Draw) -> [f64; MONTHS] {
    let mut totals = [0.0; MONTHS];
    let done = solver.totals_kg(problem, draw, &mut totals);
    assert!(done.is_some(), "{solver:?} gives up");
    totals
}
