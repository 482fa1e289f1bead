//! What is printed.

use moulder::internals::library::calibration::Calibration;
use moulder::internals::numeric::prior::TENTH_Z;
use moulder::internals::numeric::quantile::of_sorted;

use crate::likelihood::Term;
use crate::observed::Side;
use crate::reading::Readings;
use crate::summary::Found;

pub(crate) fn print_emulators(terms: &[Term<'_>]) {
    println!("Emulators of -ln(1 - strain). seen: the middle, or the bound, with the standard");
    println!("deviation of the likelihood; told: at the middle of the priors, with the standard");
    println!("deviation that the emulator leaves; share: of the variance that it explains.");
    println!();
    println!(
        "{:22}{:>17}{:>17}{:>7}  moved by",
        "", "seen", "told", "share"
    );
    for term in terms {
        let sign = match term.side {
            Side::Both => "",
            Side::AtLeast => ">=",
            Side::AtMost => "<=",
        };
        let moved_by = term.emulator.moved_by.iter();
        let moved_by =
            moved_by.map(|(of, [slope, _])| format!("{} of {} {slope:+.3}", of.figure, of.family));
        println!(
            "{:22}{:>17}{:>17}{:>7.2}  {}",
            term.name,
            format!("{sign}{:.3} ± {:.3}", term.seen, term.sd),
            format!("{:.3} ± {:.3}", term.emulator.middle, term.emulator.sd),
            term.emulator.explained,
            moved_by.collect::<Vec<_>>().join(", ")
        );
    }
}

pub(crate) fn print_posterior(kept: &Calibration, found: &[Found], terms: &[Term<'_>]) {
    println!();
    println!("Posterior of what families have in common, in standard deviations of the prior.");
    println!();
    println!(
        "{:46}{:>7}{:>6}{:>8}{:>7}{:>7}",
        "", "mean", "sd", "10 %", "50 %", "90 %"
    );
    for found in found.iter().filter(|found| found.is_kept) {
        let [low, middle, high] = found.points;
        println!(
            "{:46}{:>7.2}{:>6.2}{low:>8.2}{middle:>7.2}{high:>7.2}",
            format!("{} of {}", found.of.figure, found.of.family),
            found.mean,
            found.sd,
        );
        let normal = [-TENTH_Z, 0.0, TENTH_Z].map(|z| found.mean + z * found.sd);
        let off = normal
            .iter()
            .zip(found.points)
            .map(|(one, other)| (one - other).abs());
        let off = off.fold(0.0, f64::max);
        if off > 0.1 {
            println!("    the normal distribution that is kept is off by {off:.2} at one of these");
        }
    }
    let others = found.iter().filter(|found| !found.is_kept);
    let others = others.map(|found| format!("{} of {}", found.of.figure, found.of.family));
    println!();
    println!("Move a reading, but no series informs them, and they keep their prior:");
    println!("{}.", others.collect::<Vec<_>>().join(", "));
    println!(
        "All others keep it too. {} readings of {} sources; {} deviations are kept.",
        terms.len(),
        kept.sources().len(),
        kept.calibrated().len()
    );
}

/// Medians of realisations under the calibration against the emulators.
pub(crate) fn print_check(terms: &[Term<'_>], kept: &Calibration, check: &[Readings]) {
    println!();
    println!("Realisations under the posterior: their median, against the emulator at its mean.");
    println!();
    let readings = check.iter().flat_map(|case| &case.all);
    for (term, reading) in terms.iter().zip(readings) {
        let mut eta = reading.eta.clone();
        eta.sort_by(f64::total_cmp);
        let told = term.emulator.at(|of| {
            let posterior = kept.of_family(&of.figure, &of.family);
            posterior.map_or(0.0, |posterior| posterior.mean)
        });
        println!(
            "{:22}{:>8.3}{:>8.3}   seen {:.3}",
            term.name,
            of_sorted(&eta, 0.5),
            told,
            term.seen
        );
    }
}

/// The calibration that ships comes out again where means and standard deviations are off by at
/// most this, in standard deviations of the prior: a small run is off by two thirds of it.
const AGAIN: f64 = 0.3;

/// What is found against what ships.
///
/// # Errors
///
/// Where the calibration that ships does not come out again.
pub(crate) fn print_against(found: &[Found]) -> Result<(), String> {
    let ships = Calibration::kept();
    println!();
    println!("Against the calibration that ships: mean and standard deviation, found and shipped.");
    let mut is_again = true;
    for (of, shipped) in ships.calibrated().iter().zip(ships.families()) {
        let again = found.iter().find(|found| found.of == *of);
        let (mean, sd) = again.map_or((0.0, 1.0), |again| (again.mean, again.sd));
        is_again &= (mean - shipped.mean).abs() <= AGAIN;
        is_again &= (sd - shipped.sd).abs() <= AGAIN;
        println!(
            "{:46}{mean:>6.2} ± {sd:.2}  {:>6.2} ± {:.2}",
            format!("{} of {}", of.figure, of.family),
            shipped.mean,
            shipped.sd
        );
    }
    let fault = || "the calibration that ships does not come out again; see --write".to_owned();
    is_again.then_some(()).ok_or_else(fault)
}
