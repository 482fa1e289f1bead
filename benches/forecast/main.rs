//! What does a forecast cost, and a realisation of its interval?
//!
//! All through the public functions, in one thread. The cost of a realisation is the time of
//! `forecast_with_intervals` beyond the nominal run, divided by the ensemble size; the ratio
//! compares it with a single `forecast` of the same bed, run alternately. Then the cost over
//! years, layers, ingredients and ensemble sizes, each relative to the row before it, and the
//! exponent of the growth from the first row to the last: 1 is linear. Then a forecast of
//! 1,000 realisations in one thread and in two, and finally what the usual number of realisations
//! is worth: the root mean square error over seeds of the 10, 50 and 90 % points of the height
//! against a forecast of 4,096, with the time of one.
//!
//! `-- --smoke` is the same, short. Times are printed and never judged.
#![allow(clippy::print_stdout, reason = "a bench prints its table")]

use std::hint::black_box;
use std::time::Instant;

use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::forecast::forecast;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::library::Library;
use moulder::internals::read::read_toml;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;

const BAG: &str = include_str!("../../examples/beds/bulk-bag.toml");
const BOX: &str = include_str!("../../examples/beds/log-box.toml");

/// Size of the run.
struct Plan {
    draws: u32,
    repetitions: usize,
    /// Ensemble size of the forecast run in threads, and its repetitions.
    threaded_draws: u32,
    threaded_repetitions: usize,
    /// Seeds of usual forecasts, and the ensemble size that they are compared with.
    seeds: u32,
    many_draws: u32,
}

impl Plan {
    fn from_arguments() -> Self {
        if std::env::args().any(|argument| argument == "--smoke") {
            Self {
                draws: 5,
                repetitions: 3,
                threaded_draws: 20,
                threaded_repetitions: 1,
                seeds: 2,
                many_draws: 128,
            }
        } else {
            Self {
                draws: 40,
                repetitions: 15,
                threaded_draws: 1000,
                threaded_repetitions: 3,
                seeds: 40,
                many_draws: 4096,
            }
        }
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let plan = Plan::from_arguments();
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build()?;
    // Errors leave the thread as text.
    pool.install(|| run(&plan).map_err(|error| error.to_string()))?;
    println!();
    in_threads(&plan)?;
    println!();
    accuracy_of_bands(&plan)
}

fn run(plan: &Plan) -> Result<(), Box<dyn std::error::Error>> {
    let beds = [("demo bag", read(BAG)?), ("demo box", read(BOX)?)];
    println!("A lone forecast and a draw in a batch, 12 months, one thread; milliseconds");
    println!("{:<34}{:>10}{:>10}{:>8}", "", "median", "least", "ratio");
    for (name, bed) in &beds {
        draw_beside_forecast(name, bed, plan)?;
    }
    println!();
    println!("What more costs; milliseconds, ratio to the row before");
    println!("{:<34}{:>10}{:>10}{:>8}", "", "median", "least", "ratio");
    let (_, bag) = &beds[0];
    series(plan, [1, 2, 4, 8], "years", |years| {
        let bag = bag.clone();
        Ok(Box::new(move || middle(&bag, 12 * years)))
    })?;
    series(plan, [2, 4, 8, 16], "layers of 8 cm", |layers| {
        let bed = layered(layers, 1)?;
        Ok(Box::new(move || middle(&bed, 12)))
    })?;
    series(plan, [1, 2, 4, 8], "ingredients in each", |ingredients| {
        let bed = layered(4, ingredients)?;
        Ok(Box::new(move || middle(&bed, 12)))
    })?;
    let most = plan.draws;
    series(plan, [most / 4, most / 2, most], "draws", |draws| {
        let bag = bag.clone();
        Ok(Box::new(move || ensemble_forecast(&bag, draws)))
    })
}

fn read(text: &str) -> Result<Bed, Box<dyn std::error::Error>> {
    Ok(read_toml(text, &Library::built_in())?)
}

fn middle(bed: &Bed, months: u32) -> Result<(), Error> {
    black_box(forecast(black_box(bed), months, &unwatched)?);
    Ok(())
}

fn ensemble_forecast(bed: &Bed, count: u32) -> Result<(), Error> {
    let draws = Realisations {
        ensemble_size: count,
        ..Realisations::default()
    };
    black_box(forecast_with_intervals(bed, 12, draws, &unwatched)?);
    Ok(())
}

/// A bed of so many layers, each of so many ingredients.
fn layered(layers: u32, ingredients: u32) -> Result<Bed, Box<dyn std::error::Error>> {
    const MATERIALS: [&str; 8] = [
        "woody prunings",
        "deciduous leaves",
        "grass clippings",
        "brown card",
        "birch log",
        "loamy topsoil",
        "wood chips",
        "straw",
    ];
    let mut text = "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n\
         [bed]\nshape = \"box\"\nwidth = \"1 m\"\nlength = \"2 m\"\nrim = \"1.5 m\"\n"
        .to_owned();
    let litres = 160 / ingredients;
    for _ in 0..layers {
        let names = MATERIALS.iter().take(usize::try_from(ingredients)?);
        let put: Vec<String> = names
            .map(|name| format!("{{ material = \"{name}\", amount = \"{litres} L\" }}"))
            .collect();
        text += "[[layer]]\nput = [";
        text += &put.join(", ");
        text += "]\n";
    }
    read(&text)
}

type Work = Box<dyn Fn() -> Result<(), Error>>;

/// Rows of increasing size.
fn series<const N: usize>(
    plan: &Plan,
    counts: [u32; N],
    of: &str,
    work: impl Fn(u32) -> Result<Work, Box<dyn std::error::Error>>,
) -> Result<(), Box<dyn std::error::Error>> {
    let works = counts.iter().map(|count| work(*count));
    let works: Vec<Work> = works.collect::<Result<_, _>>()?;
    // Alternately, so that a change of the machine's speed affects all.
    let mut times: Vec<Vec<f64>> = vec![Vec::new(); N];
    for _ in 0..plan.repetitions {
        for (work, times) in works.iter().zip(&mut times) {
            times.push(milliseconds(work)?);
        }
    }
    let mut before = None;
    for (count, times) in counts.iter().zip(&times) {
        let least = least(times);
        let ratio = before.map_or(String::new(), |before| format!("{:.2}", least / before));
        row(&format!("{count} {of}"), times, &ratio);
        before = Some(least);
    }
    let [first, last] = [&times[0], &times[N - 1]].map(|times| least(times));
    let count = f64::from(counts[N - 1]) / f64::from(counts[0]);
    let power = libm::log(last / first) / libm::log(count);
    println!("{:<34}{power:>28.2}", format!("  power of {of}"));
    Ok(())
}

/// The same forecast in one thread and in two, alternately.
fn in_threads(plan: &Plan) -> Result<(), Box<dyn std::error::Error>> {
    let bag = read(BAG)?;
    let draws = plan.threaded_draws;
    println!("A forecast of {draws} draws, demo bag, 12 months; milliseconds");
    println!("{:<34}{:>10}{:>10}{:>8}", "", "median", "least", "ratio");
    let pool = |count| rayon::ThreadPoolBuilder::new().num_threads(count).build();
    let pools = [pool(1)?, pool(2)?];
    let mut times = [Vec::new(), Vec::new()];
    for _ in 0..plan.threaded_repetitions {
        for (pool, times) in pools.iter().zip(&mut times) {
            times.push(milliseconds(|| {
                pool.install(|| ensemble_forecast(&bag, draws))
            })?);
        }
    }
    row("one thread", &times[0], "");
    let ratio = format!("{:.2}", least(&times[1]) / least(&times[0]));
    row("two threads", &times[1], &ratio);
    Ok(())
}

/// The error of usual forecasts, and the time of one in one thread.
fn accuracy_of_bands(plan: &Plan) -> Result<(), Box<dyn std::error::Error>> {
    let usual = Realisations::default().ensemble_size;
    println!("Error of the points of a band of {usual} draws, mm, and its time, milliseconds");
    println!(
        "{:<34}{:>10}{:>10}{:>10}{:>10}",
        "", "10 %", "50 %", "90 %", "time"
    );
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build()?;
    for (name, text) in [("demo bag", BAG), ("demo box", BOX)] {
        let bed = read(text)?;
        let points_m = |ensemble_size, seed| -> Result<[[f64; 3]; 2], Error> {
            let ensemble = Realisations {
                ensemble_size,
                seed,
                ..Realisations::default()
            };
            let forecast = forecast_with_intervals(&bed, 12, ensemble, &unwatched)?;
            Ok([6, 12].map(|month| {
                let height_m = &forecast.intervals[month].height_m;
                [height_m.lower, height_m.median, height_m.upper]
            }))
        };
        let many_m = points_m(plan.many_draws, 0)?;
        let mut squares = [[0.0; 3]; 2];
        let mut times = Vec::new();
        for seed in 1..=plan.seeds {
            let start = Instant::now();
            let few_m = pool.install(|| points_m(usual, u64::from(seed)))?;
            times.push(1e3 * start.elapsed().as_secs_f64());
            let points = few_m.iter().flatten().zip(many_m.iter().flatten());
            for (square, (few_m, many_m)) in squares.iter_mut().flatten().zip(points) {
                *square += (few_m - many_m) * (few_m - many_m) / f64::from(plan.seeds);
            }
        }
        for (month, squares) in [6, 12].into_iter().zip(squares) {
            let [lower, median, upper] = squares.map(|square: f64| 1e3 * libm::sqrt(square));
            println!(
                "{:<34}{lower:>10.1}{median:>10.1}{upper:>10.1}{:>10.1}",
                format!("{name}, {month} months"),
                self::median(&times)
            );
        }
    }
    Ok(())
}

fn draw_beside_forecast(
    name: &str,
    bed: &Bed,
    plan: &Plan,
) -> Result<(), Box<dyn std::error::Error>> {
    let (mut lone, mut each) = (Vec::new(), Vec::new());
    for _ in 0..plan.repetitions {
        lone.push(milliseconds(|| middle(bed, 12))?);
        let with = milliseconds(|| ensemble_forecast(bed, plan.draws))?;
        let without = milliseconds(|| middle(bed, 12))?;
        each.push((with - without) / f64::from(plan.draws));
    }
    row(&format!("{name}, lone forecast"), &lone, "");
    let ratio = format!("{:.2}", median(&each) / median(&lone));
    row(&format!("{name}, draw in a batch"), &each, &ratio);
    Ok(())
}

fn milliseconds(work: impl Fn() -> Result<(), Error>) -> Result<f64, Error> {
    let start = Instant::now();
    work()?;
    Ok(1e3 * start.elapsed().as_secs_f64())
}

fn median(times: &[f64]) -> f64 {
    let mut sorted = times.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted[sorted.len() / 2]
}

fn least(times: &[f64]) -> f64 {
    times.iter().copied().fold(f64::INFINITY, f64::min)
}

fn row(name: &str, times: &[f64], ratio: &str) {
    let (median, least) = (median(times), least(times));
    println!("{name:<34}{median:>10.2}{least:>10.2}{ratio:>8}");
}
