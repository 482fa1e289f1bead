//! A random walk (Metropolis et al. 1953) on prior times likelihood.

use moulder::internals::library::calibration::Calibrated;
use moulder::internals::numeric::normal::quantile;
use moulder_core::math::elementary::ln;
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng as _, SeedableRng as _};

use crate::likelihood::Term;

/// Share of the steps that are thrown away at the start.
const WARMING: u32 = 10;

/// Length of a step, with as many dimensions as there are below the root (Roberts, Gelman & Gilks
/// 1997, Ann. Appl. Probab. 7:110, from memory).
const STEP: f64 = 2.38;

/// The points of a walk and the share of proposals that it took.
pub(crate) struct Walk {
    pub(crate) points: Vec<Vec<f64>>,
    pub(crate) taken: f64,
}

/// A walk of that many steps over those deviations.
pub(crate) fn walk(of: &[Calibrated], terms: &[Term<'_>], steps: u32) -> Walk {
    let mut numbers = Pcg64Mcg::seed_from_u64(1);
    let mut share = move || {
        #[allow(clippy::cast_precision_loss, reason = "53 bits fit")]
        let bits = (numbers.next_u64() >> 11) as f64;
        (bits + 0.5) / 9_007_199_254_740_992.0
    };
    let ln_density = |z: &[f64]| {
        let at = |family: &Calibrated| {
            let place = of.iter().position(|known| known == family);
            place.map_or(0.0, |place| z[place])
        };
        let prior: f64 = z.iter().map(|z| -0.5 * z * z).sum();
        prior + terms.iter().map(|term| term.ln(at)).sum::<f64>()
    };
    let dimensions = f64::from(u32::try_from(of.len().max(1)).unwrap_or(u32::MAX));
    let step = STEP / dimensions.sqrt();
    let mut at = vec![0.0; of.len()];
    let mut now = ln_density(&at);
    let mut points = Vec::new();
    let mut taken = 0;
    for number in 0..steps {
        let there: Vec<f64> = at.iter().map(|z| z + step * quantile(share())).collect();
        let then = ln_density(&there);
        if ln(share()) < then - now {
            (at, now) = (there, then);
            taken += 1;
        }
        if number >= steps / WARMING {
            points.push(at.clone());
        }
    }
    Walk {
        points,
        taken: f64::from(taken) / f64::from(steps),
    }
}
