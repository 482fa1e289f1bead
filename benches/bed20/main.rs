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
mod level;
mod problem;
mod quadrature;

use std::hint::black_box;
use std::time::Instant;

use closed_form::{ClosedForm, off_by};
use dopri5::Tolerance;
use kernel::Kernel;
use level::Level;
use problem::{ACCURACY, Draw, MONTHS};

/// Draws side by side in a batch.
const LANES: usize = 8;

/// How much is run.
struct Plan {
    draws: usize,
    /// Turns for each side.
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
                turns: 120,
            }
        }
    }
}

/// Draws of a batch that the solver works out in a turn; of the one bed as many forecasts.
const PER_TURN: usize = 200;
/// The kernel does its turn so many times, or a turn would be too short to time.
const AGAIN: u32 = 20;

/// Times of both sides, per forecast; microseconds.
struct Times {
    ours: Vec<f64>,
    theirs: Vec<f64>,
}

impl Times {
    /// The middle of how many times as long they take, turn by turn.
    fn ratio(&self) -> f64 {
        let pairs = self.ours.iter().zip(&self.theirs);
        median(
            &pairs
                .map(|(ours, theirs)| theirs / ours)
                .collect::<Vec<_>>(),
        )
    }
}

fn median(times: &[f64]) -> f64 {
    let mut sorted = times.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted[sorted.len() / 2]
}

fn least(times: &[f64]) -> f64 {
    times.iter().copied().fold(f64::INFINITY, f64::min)
}

/// Runs both sides turn by turn, so that a change of the machine's pace meets both.
fn race(turns: usize, mut ours: impl FnMut(usize), mut theirs: impl FnMut(usize)) -> Times {
    let per_forecast = |start: Instant, times: u32| {
        let count = times * u32::try_from(PER_TURN).expect("a few hundred");
        1e6 * start.elapsed().as_secs_f64() / f64::from(count)
    };
    let mut times = Times {
        ours: Vec::new(),
        theirs: Vec::new(),
    };
    for turn in 0..turns {
        let start = Instant::now();
        (0..AGAIN).for_each(|_| ours(turn));
        times.ours.push(per_forecast(start, AGAIN));
        let start = Instant::now();
        theirs(turn);
        times.theirs.push(per_forecast(start, 1));
    }
    times
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

    // In each turn other draws of the batch, all in their time.
    let of_turn = |turn: usize| {
        let groups = draws.chunks_exact(PER_TURN);
        let turn = turn % groups.len();
        black_box(&draws[turn * PER_TURN..][..PER_TURN])
    };
    let nominal = draws[0];
    let one_bed = || (0..PER_TURN).map(|_| black_box(&nominal));

    let (one, one_off) = loosest(&draws[..1], &exact[..1]);
    let one_kernel_off = bed_off(&kernel, &nominal, &exact[0]);
    let one_times = race(
        plan.turns,
        |_| one_bed().for_each(|draw| forecast_bed(&kernel, draw)),
        |_| one_bed().for_each(|draw| solve(&[*draw], one)),
    );

    let (batch, batch_off) = loosest(&draws, &exact);
    let batch_kernel_off = draws_off(&kernel, &draws, &exact);
    let batch_times = race(
        plan.turns,
        |turn| forecast_draws(&kernel, Level::Best, of_turn(turn)),
        |turn| solve(of_turn(turn), batch),
    );
    let plain_times = race(
        plan.turns,
        |turn| forecast_draws(&kernel, Level::Baseline, of_turn(turn)),
        |turn| solve(of_turn(turn), batch),
    );

    println!("BED20, 20 years by months, one core; microseconds per forecast");
    println!(
        "{:<42}{:>10}{:>10}{:>12}{:>8}",
        "", "median", "least", "off by", "ratio"
    );
    let side = "its layers side by side";
    print_pair("one bed", side, &one_times, [one_kernel_off, one_off], one);
    let name = format!("batch of {}", plan.draws);
    let offs = [batch_kernel_off, batch_off];
    let side = format!("{LANES} draws side by side");
    print_pair(&name, &side, &batch_times, offs, batch);
    let side = format!("{LANES}, no more than any processor has");
    print_pair(&name, &side, &plain_times, offs, batch);

    for off in [one_kernel_off, one_off, batch_kernel_off, batch_off] {
        assert!(
            off <= ACCURACY,
            "a side is off by {off:e}, more than {ACCURACY:e}"
        );
    }
}

fn print_pair(name: &str, side: &str, times: &Times, off: [f64; 2], tolerance: Tolerance) {
    println!("{name}");
    let theirs = format!(
        "Dopri5, {:.0e} and {:.0e} kg",
        tolerance.relative, tolerance.absolute
    );
    for (side, times, off, ratio) in [
        (side, &times.ours, off[0], format!("{:.1}", times.ratio())),
        (&theirs, &times.theirs, off[1], String::new()),
    ] {
        let (median, least) = (median(times), least(times));
        println!("  {side:<40}{median:>10.2}{least:>10.2}{off:>12.1e}{ratio:>8}");
    }
}

/// Fills the lanes of a group; a last group that is short repeats its last draw.
fn lanes<const L: usize>(group: &[Draw]) -> [Draw; L] {
    core::array::from_fn(|lane| group[lane.min(group.len() - 1)])
}

fn forecast_bed(kernel: &Kernel, draw: &Draw) {
    let mut totals = [0.0; MONTHS];
    kernel.totals_of_bed_kg(Level::Best, draw, &mut totals);
    black_box(&totals);
}

fn forecast_draws(kernel: &Kernel, level: Level, draws: &[Draw]) {
    let mut totals = [[0.0; LANES]; MONTHS];
    for group in draws.chunks(LANES) {
        kernel.totals_of_draws_kg(level, &lanes(group), &mut totals);
        black_box(&totals);
    }
}

fn bed_off(kernel: &Kernel, draw: &Draw, exact: &[f64]) -> f64 {
    let mut totals = [0.0; MONTHS];
    kernel.totals_of_bed_kg(Level::Best, draw, &mut totals);
    off_by(&totals, exact)
}

fn draws_off(kernel: &Kernel, draws: &[Draw], exact: &[Vec<f64>]) -> f64 {
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
