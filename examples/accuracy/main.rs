//! Accuracy of the fast path: random beds and the demo beds, month by month against the
//! reference path; the reference path against a second judge.
//!
//! ```text
//! cargo run --release --example accuracy -- [--sample] [BEDS [YEARS]] [--only BED]
//! cargo run --release --example accuracy -- --draws DRAWS
//! ```
//!
//! BEDS random beds (100) over YEARS years (2), each in one of the built-in climates; both demo
//! beds in every climate over YEARS, and over ten years in their own. Limits: 1 mm of height,
//! 0.1 % of carbon, 0.5 degC in every layer thicker than 1 cm, 1 % of water, 0.3 % of the total
//! nitrogen in each store, 6 % of crop uptake (small at first); halved steps move no month by
//! 0.3 mm; the two judges agree ten times closer. Exits with 1 if any bed is outside.
//!
//! Time limit: an hour on two cores, 15 minutes with `--sample` (8 random beds and the demo
//! beds in two climates; takes one or two on a quiet machine). The limits are generous, since
//! they guard against a hang and judge no speed; unfinished beds count as outside. `--only BED`
//! shows one bed of the list month by month.
//!
//! `--draws` compares so many realisations of the demo beds with the same ones by the steps of the
//! nominal run, at 6 and 12 months, and half of them at 18, 24, 36 and 60. Limits over 1,000:
//! 0.5 mm of height as root mean square and in the 10, 50 and 90 % points, which sampling alone
//! moves by millimetres in 100.
#![allow(clippy::print_stdout, reason = "an example shows its answer")]

mod beds;
mod compare;
mod draws;

use std::process::ExitCode;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use beds::{Case, cases, demo_beds};
use compare::{LIMITS, Outcome, compare};

/// The arguments.
pub(crate) struct Asked {
    pub(crate) is_sample: bool,
    pub(crate) beds: u32,
    pub(crate) years: u32,
    pub(crate) only: Option<usize>,
    /// Realisations to compare instead.
    draws: Option<u32>,
}

impl Asked {
    fn read(mut words: impl Iterator<Item = String>) -> Option<Self> {
        let mut asked = Self {
            is_sample: false,
            beds: 100,
            years: 2,
            only: None,
            draws: None,
        };
        let mut numbers = Vec::new();
        while let Some(word) = words.next() {
            match word.as_str() {
                "--sample" => asked.is_sample = true,
                "--only" => asked.only = Some(words.next()?.parse().ok()?),
                "--draws" => asked.draws = Some(words.next()?.parse().ok()?),
                number => numbers.push(number.parse().ok()?),
            }
        }
        if asked.is_sample {
            asked.beds = 8;
        }
        match numbers.as_slice() {
            [] => {}
            [beds] => asked.beds = *beds,
            [beds, years] => (asked.beds, asked.years) = (*beds, *years),
            _ => return None,
        }
        Some(asked)
    }

    fn limit(&self) -> Duration {
        Duration::from_secs(if self.is_sample { 900 } else { 3600 })
    }
}

fn main() -> ExitCode {
    let Some(asked) = Asked::read(std::env::args().skip(1)) else {
        println!("usage: accuracy [--sample] [BEDS [YEARS]] [--only BED] | --draws DRAWS");
        return ExitCode::from(2);
    };
    if let Some(draws) = asked.draws {
        return compare_draws(draws);
    }
    let begun = Instant::now();
    let mut cases: Vec<Case> = cases(&asked)
        .into_iter()
        .enumerate()
        .map(Case::numbered)
        .collect();
    if let Some(only) = asked.only {
        cases.retain(|case| case.number == only);
        for case in &mut cases {
            case.is_shown = true;
            println!("{}", case.text);
        }
    }
    let outcomes = run(&cases, begun, asked.limit());
    let are_within = report(&cases, &outcomes);
    println!("{:.0} s", begun.elapsed().as_secs_f64());
    if are_within {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// Compares realisations of the demo beds.
fn compare_draws(draws: u32) -> ExitCode {
    let mut are_within = draws > 0;
    for (name, bed) in demo_beds() {
        let first_year = draws::moved(&bed, draws, [6, 12]);
        let later = draws::moved(&bed, draws.div_ceil(2), [18, 24, 36, 60]);
        for (when, moved) in [("first year", first_year), ("later", later)] {
            match moved {
                Ok(moved) => {
                    println!("{name}, {when}: {moved:.3?}");
                    are_within &= moved.rms_mm < 0.5 && moved.quantile_mm < 0.5;
                }
                Err(error) => {
                    println!("{name}, {when}: {error}");
                    are_within = false;
                }
            }
        }
    }
    if are_within {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// Runs the cases on all cores, longest first; none where time ran out.
fn run(cases: &[Case], begun: Instant, limit: Duration) -> Vec<Option<Outcome>> {
    let mut order: Vec<usize> = (0..cases.len()).collect();
    order.sort_by_key(|index| core::cmp::Reverse(cases[*index].months));
    let queue = Mutex::new(order.into_iter());
    let outcomes = Mutex::new(vec![None; cases.len()]);
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..cores {
            scope.spawn(|| {
                loop {
                    let next = queue.lock().ok().and_then(|mut queue| queue.next());
                    let Some(index) = next else { break };
                    if begun.elapsed() > limit {
                        break;
                    }
                    let outcome = compare(&cases[index]);
                    if let Ok(mut outcomes) = outcomes.lock() {
                        outcomes[index] = Some(outcome);
                    }
                }
            });
        }
    });
    outcomes.into_inner().unwrap_or_default()
}

/// Prints every bed that is outside and a summary; returns whether all are within.
fn report(cases: &[Case], outcomes: &[Option<Outcome>]) -> bool {
    let mut are_within = true;
    for (case, outcome) in cases.iter().zip(outcomes) {
        let complaint = match outcome {
            None => Some("no time was left".to_owned()),
            Some(outcome) => outcome.complaint(),
        };
        if let Some(complaint) = complaint {
            are_within = false;
            println!("{}: {complaint}", case.name);
        }
    }
    let done: Vec<&Outcome> = outcomes.iter().flatten().collect();
    println!("{:34} {:>9} {:>9}  within", "", "worst", "median");
    for (index, limit) in LIMITS.iter().enumerate() {
        let mut found: Vec<f64> = done
            .iter()
            .filter_map(|outcome| outcome.found[index])
            .collect();
        found.sort_by(f64::total_cmp);
        let (Some(worst), Some(median)) = (found.last(), found.get(found.len() / 2)) else {
            continue;
        };
        let within = found.iter().filter(|off| **off <= limit.most).count();
        println!(
            "{:34} {worst:9.5} {median:9.5}  {within} of {} within {}",
            limit.name,
            found.len(),
            limit.most
        );
    }
    let years: f64 = done.iter().map(|outcome| outcome.years).sum();
    let cost = |seconds: fn(&Outcome) -> f64| {
        1e4 * done.iter().map(|outcome| seconds(outcome)).sum::<f64>() / years
    };
    println!(
        "ten years take {:.0} ms on the fast path, {:.0} ms on the reference path",
        cost(|outcome| outcome.fast_seconds),
        cost(|outcome| outcome.reference_seconds)
    );
    are_within
}
