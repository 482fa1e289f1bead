//! How much faster is the kernel than a general solver at the same accuracy?
//!
//! BED20: 20 years of a bed of five layers, four pools and humus each, at every
//! month; one bed, and a batch of 10,000 draws (200 with `-- --smoke`). Both sides
//! run on one core in one process, turn by turn. Total carbon must stay within 1e-6
//! of the closed form at every month of every draw, or the bench fails; times are
//! printed and never judged.
#![allow(clippy::print_stdout, reason = "a bench prints its table")]

mod closed_form;
mod dopri5;
mod kernel;
mod problem;
mod quadrature;

use std::hint::black_box;
use std::time::Instant;

use closed_form::{ClosedForm, off_by};
use dopri5::Tolerance;
use kernel::Kernel;
use problem::{ACCURACY, Draw, MONTHS};

/// Draws side by side in a batch.
const LANES: usize = 8;

/// How much is run.
struct Plan {
    draws: usize,
    repetitions: usize,
    /// Forecasts of the one bed in each repetition.
    forecasts: usize,
}

impl Plan {
    fn from_arguments() -> Self {
        if std::env::args().any(|argument| argument == "--smoke") {
            Self {
                draws: 200,
                repetitions: 3,
                forecasts: 20,
            }
        } else {
            Self {
                draws: 10_000,
                repetitions: 9,
                forecasts: 500,
            }
        }
    }
}

/// Times of one side, per forecast; microseconds.
struct Times {
    median: f64,
    least: f64,
}

impl Times {
    fn of(mut seconds: Vec<f64>, forecasts: usize) -> Self {
        seconds.sort_by(f64::total_cmp);
        let count = u32::try_from(forecasts).expect("a few thousand forecasts");
        let per_forecast = |seconds: f64| 1e6 * seconds / f64::from(count);
        Self {
            median: per_forecast(seconds[seconds.len() / 2]),
            least: per_forecast(seconds[0]),
        }
    }
}

/// Runs both sides turn by turn, so that a change of the machine's pace meets both.
fn race(
    plan: &Plan,
    forecasts: usize,
    mut ours: impl FnMut(),
    mut theirs: impl FnMut(),
) -> [Times; 2] {
    let mut seconds = [Vec::new(), Vec::new()];
    for _ in 0..plan.repetitions {
        let start = Instant::now();
        ours();
        seconds[0].push(start.elapsed().as_secs_f64());
        let start = Instant::now();
        theirs();
        seconds[1].push(start.elapsed().as_secs_f64());
    }
    seconds.map(|seconds| Times::of(seconds, forecasts))
}

fn main() {
    let plan = Plan::from_arguments();
    let draws = Draw::batch(plan.draws);
    let closed_form = ClosedForm::new();
    let exact: Vec<Vec<f64>> = draws
        .iter()
        .map(|draw| closed_form.totals_kg(draw))
        .collect();
    let kernel = Kernel::new();

    let (one, one_off) = loosest(&draws[..1], &exact[..1]);
    let one_kernel_off = kernel_off::<1>(&kernel, &draws[..1], &exact[..1]);
    let one_times = race(
        &plan,
        plan.forecasts,
        || (0..plan.forecasts).for_each(|_| forecast::<1>(&kernel, black_box(&draws[..1]))),
        || (0..plan.forecasts).for_each(|_| solve(black_box(&draws[..1]), one)),
    );

    let (batch, batch_off) = loosest(&draws, &exact);
    let batch_kernel_off = kernel_off::<LANES>(&kernel, &draws, &exact);
    let batch_times = race(
        &plan,
        plan.draws,
        || forecast::<LANES>(&kernel, black_box(&draws)),
        || solve(black_box(&draws), batch),
    );

    println!("BED20, 20 years by months, one core; microseconds per forecast");
    println!(
        "{:<34}{:>10}{:>10}{:>12}{:>8}",
        "", "median", "least", "off by", "ratio"
    );
    print_pair("one bed", 1, &one_times, [one_kernel_off, one_off], one);
    let name = format!("batch of {}", plan.draws);
    print_pair(
        &name,
        LANES,
        &batch_times,
        [batch_kernel_off, batch_off],
        batch,
    );

    for off in [one_kernel_off, one_off, batch_kernel_off, batch_off] {
        assert!(
            off <= ACCURACY,
            "a side is off by {off:e}, more than {ACCURACY:e}"
        );
    }
}

fn print_pair(name: &str, lanes: usize, times: &[Times; 2], off: [f64; 2], tolerance: Tolerance) {
    let ratio = times[1].median / times[0].median;
    println!("{name}");
    let ours = format!("  moulder kernel, {lanes} side by side");
    let theirs = format!(
        "  Dopri5, {:.0e} and {:.0e} kg",
        tolerance.relative, tolerance.absolute
    );
    for ((side, times), (off, ratio)) in [ours, theirs]
        .iter()
        .zip(times)
        .zip([(off[0], format!("{ratio:.1}")), (off[1], String::new())])
    {
        let Times { median, least } = times;
        println!("{side:<34}{median:>10.1}{least:>10.1}{off:>12.1e}{ratio:>8}");
    }
}

/// Fills the lanes of a group; a last group that is short repeats its last draw.
fn lanes<const L: usize>(group: &[Draw]) -> [Draw; L] {
    core::array::from_fn(|lane| group[lane.min(group.len() - 1)])
}

fn forecast<const L: usize>(kernel: &Kernel, draws: &[Draw]) {
    let mut totals = [[0.0; L]; MONTHS];
    for group in draws.chunks(L) {
        kernel.totals_kg(&lanes::<L>(group), &mut totals);
        black_box(&totals);
    }
}

fn kernel_off<const L: usize>(kernel: &Kernel, draws: &[Draw], exact: &[Vec<f64>]) -> f64 {
    let mut totals = [[0.0; L]; MONTHS];
    let mut worst = 0.0_f64;
    for (group, exact) in draws.chunks(L).zip(exact.chunks(L)) {
        kernel.totals_kg(&lanes::<L>(group), &mut totals);
        for (lane, exact) in exact.iter().enumerate() {
            worst = worst.max(off_by(&totals.map(|total| total[lane]), exact));
        }
    }
    worst
}

fn solve(draws: &[Draw], tolerance: Tolerance) {
    let mut totals = [0.0; MONTHS];
    for draw in draws {
        black_box(dopri5::totals_kg(draw, tolerance, &mut totals));
        black_box(&totals);
    }
}

/// Worst distance over all draws and the evaluations it took; stops at a miss.
fn solver_off(draws: &[Draw], exact: &[Vec<f64>], tolerance: Tolerance) -> (f64, u64) {
    let mut totals = [0.0; MONTHS];
    let (mut worst, mut evaluations) = (0.0_f64, 0);
    for (draw, exact) in draws.iter().zip(exact) {
        let Some(count) = dopri5::totals_kg(draw, tolerance, &mut totals) else {
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

/// The tolerance that reaches the accuracy on all draws with the fewest evaluations:
/// for each proportion of absolute to relative tolerance, the loosest of a ladder.
fn loosest(draws: &[Draw], exact: &[Vec<f64>]) -> (Tolerance, f64) {
    let mut best = None;
    for kg_per_share in [0.01, 0.1, 1.0, 10.0, 100.0] {
        let found = (0..40)
            .map(|rung| {
                let relative = 1e-2 * libm::pow(10.0, -0.25 * f64::from(rung));
                Tolerance {
                    relative,
                    absolute: kg_per_share * relative,
                }
            })
            .find_map(|tolerance| {
                let (off, evaluations) = solver_off(draws, exact, tolerance);
                (off <= ACCURACY).then_some((tolerance, off, evaluations))
            });
        if let Some(found) = found
            && best.is_none_or(|(_, _, evaluations)| found.2 < evaluations)
        {
            best = Some(found);
        }
    }
    let (tolerance, off, _) = best.expect("the ladder reaches down to 1e-12");
    (tolerance, off)
}
