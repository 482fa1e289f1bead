//! Realisations by their longer steps, against the same ones by the steps of the nominal run.

use moulder::internals::bed::Bed;
use moulder::internals::fault::error::Error;
use moulder::internals::numeric::quantile::of_sorted;
use moulder::internals::uncertainty::parameter::UncertainParameters;
use moulder::internals::uncertainty::realisation::{months_of_sample, months_of_sample_by};
use moulder::internals::uncertainty::sample::Sample;
use moulder_solve::schedule::StepSchedule;
use rayon::iter::{IntoParallelIterator as _, ParallelIterator as _};

/// What the longer steps move, the largest over the months compared.
#[derive(Debug, Default)]
pub(crate) struct Moved {
    /// Root mean square over the realisations; mm.
    pub(crate) rms_mm: f64,
    /// The 10, 50 or 90 % point; mm.
    pub(crate) quantile_mm: f64,
    /// The realisation moved farthest; mm.
    pub(crate) worst_mm: f64,
    /// Its carbon; %.
    pub(crate) carbon_percent: f64,
}

/// What the longer steps move in so many realisations of a bed, at those months.
pub(crate) fn moved<const N: usize>(
    bed: &Bed,
    draws: u32,
    months: [u32; N],
) -> Result<Moved, Error> {
    let end = months.iter().copied().max().unwrap_or_default();
    let uncertain = UncertainParameters::new(bed);
    let pairs: Vec<_> = (0..draws)
        .into_par_iter()
        .map(|number| {
            let sample = Sample::new(bed, &uncertain, 1, number);
            let middle = months_of_sample_by(StepSchedule::default(), &sample, end)?;
            let coarse = months_of_sample(&sample, end)?;
            Ok(months.map(|month| [&coarse, &middle].map(|rows| rows[month as usize].clone())))
        })
        .collect::<Result<_, Error>>()?;
    let mut moved = Moved::default();
    for place in 0..N {
        let pairs = || pairs.iter().map(|pair| &pair[place]);
        let mut squares = 0.0;
        for [coarse, middle] in pairs() {
            let off_mm = 1e3 * (coarse.height_m - middle.height_m);
            squares += off_mm * off_mm;
            moved.worst_mm = moved.worst_mm.max(off_mm.abs());
            let carbon = (coarse.carbon_kg / middle.carbon_kg - 1.0).abs();
            moved.carbon_percent = moved.carbon_percent.max(1e2 * carbon);
        }
        moved.rms_mm = moved.rms_mm.max((squares / f64::from(draws)).sqrt());
        let sorted = [0, 1].map(|which| {
            let mut heights_m: Vec<f64> = pairs().map(|rows| rows[which].height_m).collect();
            heights_m.sort_by(f64::total_cmp);
            heights_m
        });
        for share in [0.1, 0.5, 0.9] {
            let [coarse_m, middle_m] = sorted.each_ref().map(|all| of_sorted(all, share));
            moved.quantile_mm = moved.quantile_mm.max(1e3 * (coarse_m - middle_m).abs());
        }
    }
    Ok(moved)
}
