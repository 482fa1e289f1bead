//! Rates fitted to half of the litter sites of LIDET, the other half predicted from the annual
//! mean temperature alone.
//!
//! `cargo run --release --example litter`, from the workspace's root.
//!
//! The form is that of the library's non-woody material: two first-order pools whose rates
//! follow `moulder_core::law::temperature::soft_factor`, averaged over a year. The annual
//! amplitude is a linear function of the mean, regressed on the library's own stations: nothing
//! of the temperature law is fitted to litter. It must beat the same two pools without
//! temperature, one pool with the same temperature, and one pool with seasons fitted to the
//! litter; exits with 1 where the median over the seeds does not.
//!
//! Each seed splits by site, whatever the species, so that no fit sees any data of a predicted
//! site (`split.rs`). Data: `LICENSE-DATA`.
//!
//! Tried and not kept, on halves of the fitted half with seeds 100 to 119 (the results of those
//! seeds on the predicted half were seen as well): a soft absolute loss (nearer by 0.3 points),
//! an amplitude fitted to the litter (nearer by 0.1, but 14 to 27 degC, the tropics included),
//! a third or twice the prior's weight (0.1). The mean without its seasons is printed: it
//! leaves the arctic frozen all year.
//!
//! The mean temperature says nothing of water. From memory, of the sites with the largest
//! errors: `LUQ` and `BCI` are rain forests, `NIN` is a salt marsh; `SEV` and `JRN` are deserts
//! and `GSF` is a dry forest.
#![allow(clippy::print_stdout, reason = "an example shows its answer")]

mod fit;
mod season;
mod series;
mod shelf;
mod split;
mod trial;

use std::process::ExitCode;

use season::Swing;
use series::{Part, Point, Series, count_series, read};
use trial::{FORMS, RIVALS, Trial, median, run};

const DATA: &str = include_str!("data/lidet_litter_series.csv");

/// Number of splits; their seeds are 1, 2, ..
const SEEDS: u32 = 20;

/// Number of sites named on each side of the prediction.
const WORST: usize = 5;

fn main() -> ExitCode {
    match show() {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(error) => {
            println!("{error}");
            ExitCode::FAILURE
        }
    }
}

/// Runs and prints everything; returns whether ours beats its rivals.
fn show() -> Result<bool, String> {
    let series = read(DATA)?;
    let swing = Swing::of_stations();
    let trials = run_all(&series, swing, SEEDS)?;
    println!(
        "{} series, {} points, {} sites, {} kinds of litter; left out: {} rows without\n\
         mean temperature, {} of another mesh",
        count_series(series.points.iter()),
        series.points.len(),
        series.sites.len(),
        series.litters.len(),
        series.without_mean,
        series.of_other_mesh
    );
    println!(
        "half the swing of a year is {:.1} {:+.2} x mean, degC, by the library's stations",
        swing.at_0_c, swing.slope
    );
    print_forms("All litter", &series, &trials, |_| true);
    for (title, part) in [("Leaves", Part::Leaf), ("Fine roots", Part::Root)] {
        print_forms(title, &series, &trials, |point| {
            series.litters[point.litter].part == part
        });
    }
    print_litters(&series, &trials);
    print_sites(&series, &trials);
    shelf::print(&series, swing)?;
    let unbeaten = unbeaten(&trials);
    println!();
    for name in &unbeaten {
        println!("NOT BEATEN: {name}");
    }
    if unbeaten.is_empty() {
        println!("Two pools with temperature beat all they have to.");
    }
    Ok(unbeaten.is_empty())
}

fn run_all(series: &Series, swing: Swing, seeds: u32) -> Result<Vec<Trial>, String> {
    (1..=seeds).map(|seed| run(series, swing, seed)).collect()
}

/// The rivals whose median over the seeds is no worse than ours.
fn unbeaten(trials: &[Trial]) -> Vec<&'static str> {
    let over_seeds = |form: usize| median(errors(trials, form, |_| true));
    let ours = over_seeds(0);
    RIVALS
        .filter(|rival| ours.is_none() || over_seeds(*rival) <= ours)
        .map(|rival| FORMS[rival].name)
        .collect()
}

/// The median error of each seed that has such points.
fn errors(trials: &[Trial], form: usize, is_asked: impl Fn(&Point) -> bool) -> Vec<f64> {
    (trials.iter())
        .filter_map(|trial| trial.median_error(form, &is_asked))
        .collect()
}

/// Prints the error of each form, and how often ours is nearer.
fn print_forms(title: &str, series: &Series, trials: &[Trial], is_asked: impl Fn(&Point) -> bool) {
    let predicted = |trial: &Trial| {
        let points: Vec<Point> = trial.misses.iter().map(|miss| miss.point).collect();
        count_series(points.iter().filter(|point| is_asked(point)))
    };
    let counts: Vec<usize> = trials.iter().map(predicted).collect();
    println!(
        "\n{title}: {} series, of which a seed predicts {} to {}",
        count_series(series.points.iter().filter(|point| is_asked(point))),
        counts.iter().min().unwrap_or(&0),
        counts.iter().max().unwrap_or(&0),
    );
    println!(
        "{:27} {:>7} {:>14}  ours nearer",
        "median error, points left", "median", "of seeds"
    );
    let ours = errors(trials, 0, &is_asked);
    for (index, form) in FORMS.iter().enumerate() {
        let each = errors(trials, index, &is_asked);
        let nearer = ours.iter().zip(&each).filter(|(ours, each)| ours < each);
        let nearer = match index {
            0 => "-".to_owned(),
            _ => format!("{} of {}", nearer.count(), each.len()),
        };
        println!(
            "{:27} {:7.2} {:>14}  {nearer}",
            form.name,
            median(each.clone()).unwrap_or(f64::NAN),
            format!(
                "{:.2} to {:.2}",
                each.iter().copied().fold(f64::MAX, f64::min),
                each.iter().copied().fold(f64::MIN, f64::max)
            ),
        );
    }
}

/// Prints the median over the seeds for each kind of litter.
fn print_litters(series: &Series, trials: &[Trial]) {
    println!("\nBy kind of litter, median error of ours and of its rivals");
    println!(
        "{:10} {:>6} {:>5}  {:>6}  rivals",
        "", "series", "seeds", "ours"
    );
    for (index, litter) in series.litters.iter().enumerate() {
        let is_asked = |point: &Point| point.litter == index;
        let count = count_series(series.points.iter().filter(|point| is_asked(point)));
        let over_seeds = |form: usize| median(errors(trials, form, is_asked));
        let Some(ours) = over_seeds(0) else {
            println!(
                "{:4} {:5} {count:6}     0  in too few places",
                litter.code, litter.part
            );
            continue;
        };
        let rivals: Vec<String> = (RIVALS.filter_map(over_seeds))
            .map(|error| format!("{error:6.1}"))
            .collect();
        println!(
            "{:4} {:5} {count:6} {:5}  {ours:6.1} {}",
            litter.code,
            litter.part,
            errors(trials, 0, is_asked).len(),
            rivals.join(" ")
        );
    }
}

/// Prints where temperature alone fails: the sites with the largest errors.
fn print_sites(series: &Series, trials: &[Trial]) {
    let mut sites: Vec<(f64, usize)> = (0..series.sites.len())
        .filter_map(|site| {
            let here = (trials.iter().flat_map(|trial| &trial.misses))
                .filter(|miss| miss.point.site == site);
            Some((median(here.map(|miss| miss.off[0]).collect())?, site))
        })
        .collect();
    sites.sort_by(|a, b| a.0.total_cmp(&b.0));
    let words = |of: &[(f64, usize)]| {
        let each = of.iter().map(|(off, site)| {
            let site = &series.sites[*site];
            format!("  {} {:5.1} degC {off:+6.1}", site.name, site.mean_c)
        });
        each.collect::<Vec<_>>().join("\n")
    };
    println!("\nSites furthest off, median of what was left beyond what was said");
    println!("less was left:");
    println!("{}", words(&sites[..WORST.min(sites.len())]));
    println!("more was left:");
    sites.reverse();
    println!("{}", words(&sites[..WORST.min(sites.len())]));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{Bag, Curve, Middle, Pools, fit};

    #[test]
    fn ours_beats_its_rivals() {
        let series = read(DATA).unwrap();
        let trials = run_all(&series, Swing::of_stations(), SEEDS).unwrap();
        assert_eq!(unbeaten(&trials), [""; 0]);
    }

    /// The check can fail: with the warm sites' temperatures on the cold ones, the curve
    /// without temperature is not beaten.
    #[test]
    fn wrong_temperatures_beat_nothing() {
        let mut series = read(DATA).unwrap();
        let means: Vec<f64> = series.sites.iter().map(|site| site.mean_c).collect();
        for (site, mean_c) in series.sites.iter_mut().rev().zip(means) {
            site.mean_c = mean_c;
        }
        let trials = run_all(&series, Swing::of_stations(), 3).unwrap();
        assert!(unbeaten(&trials).contains(&FORMS[1].name));
    }

    #[test]
    fn nothing_of_a_predicted_site_is_fitted() {
        let series = read(DATA).unwrap();
        let swing = Swing::of_stations();
        for seed in 1..=3 {
            let is_fitted = split::is_fitted(series.sites.len(), seed);
            let before = run(&series, swing, seed).unwrap();
            assert!((before.misses.iter()).all(|miss| !is_fitted[miss.point.site]));
            // Other masses at the predicted sites leave their predictions unchanged.
            let mut other = series.clone();
            for point in &mut other.points {
                if !is_fitted[point.site] {
                    point.left_percent += 7.0;
                }
            }
            let after = run(&other, swing, seed).unwrap();
            for (before, after) in before.misses.iter().zip(&after.misses) {
                for (before, after) in before.off.iter().zip(&after.off) {
                    assert!((after - before - 7.0).abs() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn halves_are_halves_and_differ_by_seed() {
        let one = split::is_fitted(26, 1);
        assert_eq!(one.iter().filter(|is_fitted| **is_fitted).count(), 13);
        assert_eq!(one, split::is_fitted(26, 1));
        assert_ne!(one, split::is_fitted(26, 2));
        assert_eq!(split::is_fitted(27, 1).len(), 27);
    }

    #[test]
    fn a_curve_is_found_again() {
        let want = Curve {
            fast_share: 0.4,
            fast_per_year: 1.7,
            slow_per_year: 0.09,
        };
        let bags: Vec<Bag> = (1..40)
            .map(|k| 0.25 * f64::from(k))
            .map(|years| (years, want.left_percent(years)))
            .collect();
        let found = fit(&bags, &Middle::wide(Pools::Two)).unwrap().0.curve();
        // A wide prior still has a small effect.
        assert!(
            (found.fast_share - want.fast_share).abs() < 2e-3,
            "{found:?}"
        );
        assert!((found.fast_per_year / want.fast_per_year - 1.0).abs() < 0.02);
        assert!((found.slow_per_year / want.slow_per_year - 1.0).abs() < 0.02);
    }

    #[test]
    fn a_wrong_part_is_named() {
        let text = "site,mat_c,species,litter_type,top_mesh_mm,years,mass_remaining_pct\n\
                    KBS,9.3,ACSA,bark,1.0,0.88,57.58\n";
        assert!(read(text).unwrap_err().contains("\"bark\""));
    }
}
