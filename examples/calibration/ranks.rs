//! Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari & Gelman 2018, arXiv
//! 1804.06788): ranks of realisations from the prior in the posteriors given their own readings
//! are uniform.

use moulder::internals::bed::{Bed, Reading};
use moulder::internals::fault::error::Error;
use moulder::internals::fit::ensemble::Ensemble;
use moulder::internals::fit::reading_error::ReadingError;
use moulder::internals::forecast::Month;
use moulder::internals::forecast::calendar::month_day;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::numeric::normal::below;
use moulder::internals::uncertainty::parameter::UncertainParameters;
use moulder::internals::uncertainty::realisation::months_of_realisation;
use moulder_core::math::elementary::pow;
use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng as _;

/// Months with a reading at their end; two on the last.
pub(crate) const READ: [usize; 4] = [1, 2, 4, 4];
/// Number of bins for ranks.
pub(crate) const BINS: usize = 20;

/// Size of a trial.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Trial {
    pub(crate) months: u32,
    pub(crate) draws: u32,
    pub(crate) beds: u32,
}

/// Ranks of realisations in their weighted ensemble, from 0 to 1: of the final height and of
/// the settlement half way; and the mean effective number of realisations.
#[derive(Debug, Default)]
pub(crate) struct Ranks {
    pub(crate) height: Vec<f64>,
    pub(crate) sunk: Vec<f64>,
    pub(crate) effective: f64,
}

/// One ensemble, reweighted for each realisation: these come from other seeds, so that their
/// quasi-random sequences are scrambled independently. Once for each factor on the assumed
/// reading error: 1 is right.
pub(crate) fn ranks<const N: usize>(
    bed: &Bed,
    trial: Trial,
    error_factors: [f64; N],
) -> Result<[Ranks; N], Error> {
    let days = READ.map(|month| month_day(bed.filled(), u32::try_from(month).unwrap_or(0)));
    let ensemble = Ensemble::new(bed, trial.months, &days, trial.draws, 1, &unwatched)?;
    let uncertain = UncertainParameters::new(bed);
    let mut ranks = error_factors.map(|_| Ranks::default());
    let half = trial.months as usize / 2;
    for number in 0..trial.beds {
        let seed = 1_000_000 + u64::from(number);
        let truth = months_of_realisation(bed, &uncertain, seed, 0, trial.months)?;
        let last = truth.len() - 1;
        for (ranks, error_factor) in ranks.iter_mut().zip(error_factors) {
            let mut numbers = Pcg64::new(u128::from(seed), 77);
            let (readings, datum_m) = readings(bed, &truth, error_factor, &mut numbers);
            let told = ensemble.posterior(&readings);
            let (heights, sunk) = (told.heights_m(last), told.settlement_m(half));
            // As the same tape reads them.
            let height_m = truth[last].height_m + datum_m;
            let settlement_m = truth[half].settlement_m - datum_m;
            ranks.height.push(rank(&heights, height_m, &mut numbers));
            ranks.sunk.push(rank(&sunk, settlement_m, &mut numbers));
            ranks.effective += told.weights().effective / f64::from(trial.beds);
        }
    }
    Ok(ranks)
}

/// Readings of a realisation, with the assumed errors times a factor, and the part of these that
/// their datum has; m.
pub(crate) fn readings(
    bed: &Bed,
    truth: &[Month],
    error_factor: f64,
    numbers: &mut Pcg64,
) -> (Vec<Reading>, f64) {
    let mut readings: Vec<Reading> = READ
        .iter()
        .map(|month| Reading {
            on: month_day(bed.filled(), u32::try_from(*month).unwrap_or(0)),
            height_m: truth[*month].height_m,
            give_or_take_m: None,
            note: None,
        })
        .collect();
    let error = ReadingError::new(&readings, bed.units());
    let (datum_m, errors_m) = error.errors_m(|| even(numbers));
    for (reading, error_m) in readings.iter_mut().zip(errors_m) {
        reading.height_m += error_factor * error_m;
    }
    (readings, error_factor * datum_m)
}

/// Midpoint of one of 2^52 equal parts of 0..1.
#[allow(
    clippy::cast_precision_loss,
    reason = "52 bits and a half fit a float exactly"
)]
fn even(numbers: &mut Pcg64) -> f64 {
    ((numbers.next_u64() >> 12) as f64 + 0.5) / 4_503_599_627_370_496.0
}

/// The weighted rank of a realisation, its own share randomised: with equal weights it is the
/// randomised rank among the ensemble and itself.
fn rank(draws: &[(f64, f64)], truth: f64, numbers: &mut Pcg64) -> f64 {
    let squares: f64 = draws.iter().map(|(_, share)| share * share).sum();
    let lower = draws.iter().filter(|(figure, _)| *figure < truth);
    let lower: f64 = lower.map(|(_, share)| share).sum();
    let chance = f64::from(numbers.next_u32()) / 4_294_967_296.0;
    (lower + squares * chance) / (1.0 + squares)
}

/// p-value of uniform ranks: chi-square over the bins, by the cube root of Wilson & Hilferty
/// 1931 (from memory).
pub(crate) fn chi_square_p(ranks: &[f64]) -> f64 {
    let mut counts = [0.0; BINS];
    for rank in ranks {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a rank lies inside 0..1"
        )]
        let bin = ((rank * BINS as f64) as usize).min(BINS - 1);
        counts[bin] += 1.0;
    }
    #[allow(clippy::cast_precision_loss, reason = "few beds")]
    let (bins, beds) = (BINS as f64, ranks.len() as f64);
    let each = beds / bins;
    let chi: f64 = counts.iter().map(|n| (n - each) * (n - each) / each).sum();
    let free = bins - 1.0;
    let spread = 2.0 / (9.0 * free);
    1.0 - below((pow(chi / free, 1.0 / 3.0) - (1.0 - spread)) / spread.sqrt())
}

/// Largest distance of the empirical distribution of ranks from the uniform one, and the bound
/// exceeded once in a thousand (Dvoretzky, Kiefer & Wolfowitz 1956 with the constant of Massart
/// 1990; from memory).
pub(crate) fn farthest(ranks: &[f64]) -> (f64, f64) {
    let mut sorted = ranks.to_vec();
    sorted.sort_by(f64::total_cmp);
    #[allow(clippy::cast_precision_loss, reason = "few beds")]
    let count = sorted.len() as f64;
    let mut farthest = 0.0_f64;
    let mut below = 0.0;
    for rank in sorted {
        farthest = farthest.max((rank - below / count).abs());
        below += 1.0;
        farthest = farthest.max((rank - below / count).abs());
    }
    // ln(2/0.001)
    (farthest, (7.600_902_459_542_082 / (2.0 * count)).sqrt())
}
