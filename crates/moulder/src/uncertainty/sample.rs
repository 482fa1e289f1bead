//! Samples: beds with realised parameters and weather.

use moulder_core::value::{Spread, Status, Value};
use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng as _;

use crate::bed::{Amount, Bed, Ingredient};
use crate::library::calibration::Calibrated;
use crate::library::family::Kin;
use crate::library::figure::{COLLAPSE_TIPPED, COLLAPSE_TRODDEN, figures_of};
use crate::library::material::{Material, wet_share};
use crate::model::compile::{height_filled_m, trodden_kpa};
use crate::model::figures::Figures;
use crate::numeric::normal::quantile;
use crate::numeric::prior::{FARTHEST_Z, heavy_tailed_at, share_at, value_at};
use crate::text::limit::SAMPLES_LIMIT;
use crate::uncertainty::parameter::{LAWS, Law, Stated, UncertainParameter, UncertainParameters};
use crate::uncertainty::part::parts;

/// Error factor of a volume given by eye or by the barrow.
static VOLUME_BY_EYE: Value = Value::new(
    1.0,
    Spread::new(0.77, 1.30),
    "1",
    "our own judgement: barrows and bags filled by eye, one standard deviation of 20 %",
    Status::Judgement,
);

/// Error factor of a given thickness.
static THICKNESS_BY_EYE: Value = Value::new(
    1.0,
    Spread::new(0.86, 1.16),
    "1",
    "our own judgement: uneven loose layers read at the side, one standard deviation of 12 %",
    Status::Judgement,
);

/// Error factor of a given mass.
static MASS: Value = Value::new(
    1.0,
    Spread::new(0.94, 1.06),
    "1",
    "our own judgement: weighed by the bag or over a weighbridge, one standard deviation of 5 %",
    Status::Judgement,
);

/// Error factor of the initial height computed from the given amounts; with the tails of
/// Student's t with three degrees of freedom, as a height told wrong is told quite wrong.
static START_HEIGHT: Value = Value::new(
    1.0,
    Spread::new(0.97, 1.03),
    "1",
    "our own judgement: levelled by eye and read at the side or against the rim",
    Status::Judgement,
);

/// Error factor of a given particle size.
static PARTICLE_SIZE_BY_EYE: Value = Value::new(
    1.0,
    Spread::new(0.8, 1.25),
    "1",
    "our own judgement: a heap of pieces of many sizes, told by one",
    Status::Judgement,
);

/// Error factor of the odds of a given moisture: 50 % is 41 to 59 %.
static MOISTURE_ODDS: Value = Value::new(
    1.0,
    Spread::new(0.7, 1.43),
    "odds",
    "our own judgement: moisture told by feel",
    Status::Judgement,
);

/// Error factor of the odds of a given decay: 30 % is 18 to 46 %.
static DECAY_ODDS: Value = Value::new(
    1.0,
    Spread::new(0.5, 2.0),
    "odds",
    "our own judgement: how rotten wood is, told by eye",
    Status::Judgement,
);

/// Largest least void ratio as a share of the void ratio: loose material always has voids to
/// lose.
const LEAST_OF_TIPPED: f64 = 0.8;
/// Largest mineral share: something is left to decay.
const MOST_MINERAL: f64 = 0.995;

/// A bed with realised parameters, and the seed of its weather.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// The bed with realised materials and amounts.
    bed: Bed,
    /// Constants of the laws, and the seed of its weather.
    figures: Figures,
}

impl Sample {
    /// The sample of a bed with that number, below [`SAMPLES_LIMIT`], for a seed.
    ///
    /// The same bed, seed and number give the same sample everywhere.
    ///
    /// Amounts vary one by one and are then scaled together, so that the bed stands about as
    /// high when filled as the given amounts make it: that height is what an owner sees.
    ///
    /// Contradictions are resolved: pool shares are scaled to sum to one, the least void ratio
    /// is capped at four fifths of the void ratio, collapse after compaction at that without,
    /// and no piece shrinks before its mass does.
    #[must_use]
    pub fn new(bed: &Bed, uncertain: &UncertainParameters, seed: u64, number: u32) -> Self {
        let (z, weather_seed) = standard_normals(uncertain, seed, number);
        Self::from_z(bed, uncertain, z, weather_seed)
    }

    /// The sample with each parameter, in their order, that many standard deviations from its
    /// median, and that weather seed.
    #[must_use]
    pub(crate) fn from_z(
        bed: &Bed,
        uncertain: &UncertainParameters,
        mut z: Vec<f64>,
        weather_seed: u64,
    ) -> Self {
        uncertain.correlate(&mut z);
        let deviations = Deviations { uncertain, z };
        let mut realised = bed.clone();
        let laws = LAWS
            .iter()
            .copied()
            .chain([Law::of_crop(bed.crop)])
            .map(|law| {
                let figure = value_at(law.value, deviations.z(&law.parameter()));
                (law.value.clone(), figure)
            });
        let figures = Figures::of_realisation(laws.collect(), weather_seed);
        let trodden_kpa = trodden_kpa(&figures);
        let layers = realised.layers.iter_mut();
        let filled = layers.map(|layer| layer.put.as_mut_slice());
        let added = realised.additions.iter_mut();
        let added = added.map(|added| core::slice::from_mut(&mut added.ingredient));
        for (layer, put) in filled.chain(added).enumerate() {
            for (place, ingredient) in put.iter_mut().enumerate() {
                deviations.realise(ingredient, layer, place, trodden_kpa);
            }
        }
        let start = heavy_tailed_at(&START_HEIGHT, deviations.z(&UncertainParameter::Start));
        let mut sample = Self {
            bed: realised,
            figures,
        };
        if let Ok(given_m) = height_filled_m(bed, Figures::nominal()) {
            sample.scale_to(given_m * start);
        }
        sample
    }

    /// Scales the ingredients of the day of filling to that height.
    ///
    /// With upright sides height is proportional to the amount, so one step is enough; in a
    /// mound each step comes nearer, and without room a tenth less is tried.
    fn scale_to(&mut self, height_m: f64) {
        for _ in 0..8 {
            let factor = match height_filled_m(&self.bed, &self.figures) {
                Ok(now_m) if (now_m - height_m).abs() < 1e-6 => return,
                Ok(now_m) => height_m / now_m,
                Err(_) => 0.9,
            };
            for ingredient in self.bed.layers.iter_mut().flat_map(|layer| &mut layer.put) {
                ingredient.amount = times(ingredient.amount, factor);
            }
        }
    }

    /// The realised bed.
    #[must_use]
    pub fn bed(&self) -> &Bed {
        &self.bed
    }

    /// The realised constants, with the seed of its weather.
    #[must_use]
    pub fn figures(&self) -> &Figures {
        &self.figures
    }

    /// The same with a twentieth less of everything, for a mound without room.
    pub(crate) fn with_less(mut self) -> Self {
        let layers = self.bed.layers.iter_mut().flat_map(|layer| &mut layer.put);
        let added = self
            .bed
            .additions
            .iter_mut()
            .map(|added| &mut added.ingredient);
        for ingredient in layers.chain(added) {
            ingredient.amount = times(ingredient.amount, 0.95);
        }
        self
    }
}

/// Standard normal deviations of the parameters in the sample of that number, in their order,
/// and its weather seed.
pub(crate) fn standard_normals(
    uncertain: &UncertainParameters,
    seed: u64,
    number: u32,
) -> (Vec<f64>, u64) {
    let mut numbers = Pcg64::new((u128::from(seed) << 32) | u128::from(number), STREAM);
    let places = 0..uncertain.count();
    let z = places.map(|place| quantile(quasi_random(seed, number, place)));
    (z.collect(), numbers.next_u64())
}

/// What families of figures have in common in the sample of that number: independent standard
/// normal deviations, before they are correlated.
#[must_use]
pub fn families(uncertain: &UncertainParameters, seed: u64, number: u32) -> Vec<(Calibrated, f64)> {
    let (z, _) = standard_normals(uncertain, seed, number);
    let all = uncertain.in_order().into_iter().zip(z);
    all.filter_map(|(parameter, z)| match parameter {
        UncertainParameter::Common { of, key } => {
            Some((Calibrated::new(of, key), z.clamp(-FARTHEST_Z, FARTHEST_Z)))
        }
        _ => None,
    })
    .collect()
}

/// Stream of the random number generator for samples; the default one is that of rain.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf97;

/// Sets seeds of one scramble and the next far apart: 2^32 over the golden ratio, made odd.
const SCRAMBLE: u32 = 0x9e37_79b9;

/// Half of the finest step of the Sobol sequence, 2^-24.
const HALF_STEP: f64 = 1.0 / 33_554_432.0;

/// A quasi-random number in (0, 1): the coordinate of a scrambled Sobol point (Burley 2020,
/// Journal of Computer Graphics Techniques 9(4):1-20), whose dimensions are used again with
/// another scramble where there are more places.
pub(crate) fn quasi_random(seed: u64, number: u32, place: usize) -> f64 {
    // The 64-bit seed is folded to the 32 bits of the sequence.
    let [high, low] = [seed >> 32, seed & 0xffff_ffff];
    let place = u32::try_from(place).unwrap_or(0);
    let again = place / sobol_burley::NUM_DIMENSIONS;
    let seed = u32::try_from(high ^ low).unwrap_or(0) ^ again.wrapping_mul(SCRAMBLE);
    let place = place % sobol_burley::NUM_DIMENSIONS;
    let share = f64::from(sobol_burley::sample(number % SAMPLES_LIMIT, place, seed));
    (share + HALF_STEP).min(1.0 - HALF_STEP)
}

/// Deviations of the parameters from their medians, in standard deviations.
struct Deviations<'a> {
    uncertain: &'a UncertainParameters,
    z: Vec<f64>,
}

impl Deviations<'_> {
    fn z(&self, parameter: &UncertainParameter) -> f64 {
        let place = self.uncertain.place(parameter);
        let z = place.and_then(|place| self.z.get(place)).copied();
        z.unwrap_or(0.0).clamp(-FARTHEST_Z, FARTHEST_Z)
    }

    /// Replaces an ingredient's uncertain quantities by realised ones, where treading leaves that
    /// stress.
    fn realise(&self, ingredient: &mut Ingredient, layer: usize, place: usize, trodden_kpa: f64) {
        let stated = |what: Stated| self.z(&UncertainParameter::Stated(what, layer, place));
        let as_given = ingredient.material.clone();
        self.realise_material(&mut ingredient.material, trodden_kpa);
        let error = match ingredient.amount {
            Amount::VolumeM3(_) => &VOLUME_BY_EYE,
            Amount::ThicknessM(_) => &THICKNESS_BY_EYE,
            Amount::WetMassKg(_) | Amount::DryMassKg(_) => &MASS,
        };
        ingredient.amount = times(ingredient.amount, value_at(error, stated(Stated::Amount)));
        // A value equal to the library's varies with the library's.
        if same(ingredient.particle_size_m, as_given.particle_size.best) {
            ingredient.particle_size_m = ingredient.material.particle_size.best;
        } else {
            ingredient.particle_size_m *=
                value_at(&PARTICLE_SIZE_BY_EYE, stated(Stated::ParticleSize));
        }
        if same(ingredient.moisture_wet, wet_share(&as_given.moisture)) {
            ingredient.moisture_wet = wet_share(&ingredient.material.moisture);
        } else {
            let factor = value_at(&MOISTURE_ODDS, stated(Stated::Moisture));
            ingredient.moisture_wet = with_odds(ingredient.moisture_wet, factor);
        }
        let factor = value_at(&DECAY_ODDS, stated(Stated::Decay));
        ingredient.rotten = with_odds(ingredient.rotten, factor);
    }

    fn realise_material(&self, material: &mut Material, realised_kpa: f64) {
        let kin = Kin::of(material);
        let given_strains = material.closing_strains(trodden_kpa(Figures::nominal()));
        let mut shares = [0.0; 2];
        for figure in figures_of(material) {
            let parts = parts(&kin, &figure, self.uncertain.calibration());
            let z = parts
                .iter()
                .map(|part| part.weight * self.z(&part.parameter))
                .sum();
            match figure.of {
                COLLAPSE_TIPPED => shares[0] = share_at(figure.value, given_strains[0], z),
                COLLAPSE_TRODDEN => shares[1] = share_at(figure.value, given_strains[1], z),
                _ => {
                    let realised = value_at(figure.value, z);
                    fix(figure.value, realised);
                }
            }
        }
        resolve_contradictions(material);
        // Collapse is a share of the excess voids that this realisation has.
        let [tipped, trodden] = material.closing_strains(realised_kpa);
        fix(&mut material.collapse_tipped, shares[0] * tipped);
        fix(&mut material.collapse_trodden, shares[1] * trodden);
        cap(
            &mut material.collapse_trodden,
            material.collapse_tipped.best,
        );
    }
}

/// Resolves contradictions between independently realised figures.
fn resolve_contradictions(material: &mut Material) {
    let shares: f64 = material.pools.iter().map(|pool| pool.share.best).sum();
    for pool in &mut material.pools {
        let share = pool.share.best / shares;
        fix(&mut pool.share, share);
    }
    cap(
        &mut material.min_void_ratio,
        LEAST_OF_TIPPED * material.void_ratio.best,
    );
    cap(&mut material.mineral_share, MOST_MINERAL);
    let lag = material.lag.best.max(1.0);
    fix(&mut material.lag, lag);
}

/// Caps a value.
fn cap(value: &mut Value, most: f64) {
    let held = value.best.min(most);
    fix(value, held);
}

/// Fixes a value.
fn fix(value: &mut Value, figure: f64) {
    value.best = figure;
    value.spread = Spread::new(figure, figure);
}

fn same(one: f64, other: f64) -> bool {
    one.to_bits() == other.to_bits()
}

/// Multiplies the odds of a share; 0 and 1 stay.
fn with_odds(share: f64, factor: f64) -> f64 {
    share * factor / (1.0 - share + share * factor)
}

fn times(amount: Amount, factor: f64) -> Amount {
    match amount {
        Amount::VolumeM3(m3) => Amount::VolumeM3(m3 * factor),
        Amount::ThicknessM(m) => Amount::ThicknessM(m * factor),
        Amount::WetMassKg(kg) => Amount::WetMassKg(kg * factor),
        Amount::DryMassKg(kg) => Amount::DryMassKg(kg * factor),
    }
}

#[cfg(test)]
mod tests {
    use super::{Sample, quasi_random, resolve_contradictions, with_odds};
    use crate::bed::Bed;
    use crate::library::Library;
    use crate::library::figure::figures_of;
    use crate::model::compile::trodden_kpa;
    use crate::model::figures::Figures;
    use crate::numeric::normal::{below, quantile};
    use crate::numeric::prior::{FARTHEST_Z, share_at, value_at};
    use crate::read::read_toml;
    use crate::uncertainty::parameter::UncertainParameters;
    use moulder_core::law::settlement::MOST_COLLAPSE;
    use moulder_core::math::elementary::exp;
    use moulder_core::value::{Spread, Status, Value};
    use std::fmt::Write as _;

    /// A pool with a lognormal rate, after five years: the mean left against a fine quadrature
    /// over the normal distribution (our own, in steps of 1/1000), its 10 and 90 % points
    /// against the closed form `exp(-k t)`.
    #[test]
    fn a_lognormal_rate_has_its_closed_form() {
        const YEARS: f64 = 5.0;
        const SD: f64 = 0.7;
        let half_width = exp(SD * crate::numeric::prior::TENTH_Z);
        let rate = Value::new(
            0.06,
            Spread::new(0.06 / half_width, 0.06 * half_width),
            "1/yr",
            "a test",
            Status::Judgement,
        );
        let mut left: Vec<f64> = (0..1024)
            .map(|number| exp(-YEARS * value_at(&rate, quantile(quasi_random(3, number, 0)))))
            .collect();
        let mean = left.iter().sum::<f64>() / 1024.0;
        let (mut exact, mut z) = (0.0, -8.0);
        while z < 8.0 {
            let at = (z + 0.0005_f64).clamp(-FARTHEST_Z, FARTHEST_Z);
            exact += (below(z + 0.001) - below(z)) * exp(-YEARS * 0.06 * exp(SD * at));
            z += 0.001;
        }
        assert!((mean - exact).abs() < 1e-4, "{mean} {exact}");
        left.sort_by(f64::total_cmp);
        for (share, end) in [(0.1, rate.spread.high), (0.9, rate.spread.low)] {
            let got = crate::numeric::quantile::of_sorted(&left, share);
            assert!((got - exp(-YEARS * end)).abs() < 1e-3, "{share}: {got}");
        }
    }

    #[test]
    fn samples_depend_on_seed_and_number_alone() {
        let bed = Bed::example();
        let uncertain = UncertainParameters::new(&bed);
        let sample = |number| Sample::new(&bed, &uncertain, 1, number);
        assert_eq!(sample(0), sample(0));
        assert_ne!(sample(0), sample(1));
    }

    /// The wording of sources decides nothing: with every source of every material reworded, the
    /// parameters, their order and all realised figures are the same.
    #[test]
    fn a_reworded_source_changes_no_realisation() {
        let bed = Bed::example();
        let mut reworded = bed.clone();
        let layers = reworded.layers.iter_mut().flat_map(|layer| &mut layer.put);
        for (i, ingredient) in layers.enumerate() {
            for (j, figure) in figures_of(&mut ingredient.material).into_iter().enumerate() {
                figure.value.source = format!("source {i} {j}").into();
            }
        }
        assert_ne!(bed, reworded);
        let [one, other] = [&bed, &reworded].map(UncertainParameters::new);
        assert_eq!(one.in_order(), other.in_order());
        let figures = |bed: &Bed, uncertain: &UncertainParameters, number| -> Vec<u64> {
            let mut realised = Sample::new(bed, uncertain, 5, number).bed;
            let layers = realised.layers.iter_mut().flat_map(|layer| &mut layer.put);
            layers
                .flat_map(|ingredient| figures_of(&mut ingredient.material))
                .map(|figure| figure.value.best.to_bits())
                .collect()
        };
        for number in 0..8 {
            assert_eq!(
                figures(&bed, &one, number),
                figures(&reworded, &other, number)
            );
        }
    }

    /// No realisation of any material of the library collapses by more than the guard of the law
    /// allows, tipped or trodden, and none more when trodden than tipped.
    #[test]
    fn no_realisation_reaches_the_guard_of_collapse() {
        let library = Library::built_in();
        let names: Vec<&str> = library.materials().map(|m| m.name.as_str()).collect();
        let mut seen = 0;
        for names in names.chunks(20) {
            let mut text = "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
                 shape = \"round\"\nacross = \"1.2 m\"\nrim = \"4 m\"\n"
                .to_owned();
            for name in names {
                let put = format!("[{{ material = \"{name}\", amount = \"6 cm\" }}]");
                write!(text, "[[layer]]\nput = {put}\n").unwrap();
            }
            let bed = read_toml(&text, &library).unwrap();
            let uncertain = UncertainParameters::new(&bed);
            for number in 0..256 {
                let sample = Sample::new(&bed, &uncertain, 1, number);
                let trodden_kpa = trodden_kpa(sample.figures());
                for layer in &sample.bed.layers {
                    let material = &layer.put[0].material;
                    let [tipped, trodden] = material.closing_strains(trodden_kpa);
                    let shares = [
                        material.collapse_tipped.best / tipped,
                        material.collapse_trodden.best / trodden,
                    ];
                    assert!(
                        shares.iter().all(|share| *share < MOST_COLLAPSE),
                        "{}: {shares:?}",
                        material.name
                    );
                    assert!(material.collapse_trodden.best <= material.collapse_tipped.best);
                    seen += 1;
                }
            }
        }
        assert!(seen > 10_000, "{seen}");
        // Nor does the farthest deviation that a prior has.
        let nominal_kpa = trodden_kpa(Figures::nominal());
        for material in library.materials() {
            let strains = material.closing_strains(nominal_kpa);
            let collapses = [&material.collapse_tipped, &material.collapse_trodden];
            for (collapse, strain) in collapses.into_iter().zip(strains) {
                let share = share_at(collapse, strain, FARTHEST_Z);
                assert!(share < MOST_COLLAPSE, "{}: {share}", material.name);
            }
        }
    }

    /// Two soft materials, each judged, have half of the variance of their collapse in common:
    /// a correlation of a half, with a standard error of 0.03 at 512 realisations.
    #[test]
    fn figures_of_one_kind_stray_together() {
        let text = "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n\
             shape = \"round\"\nacross = \"1.2 m\"\nrim = \"90 cm\"\n[[layer]]\n\
             put = [{ material = \"straw\", amount = \"20 cm\" }, \
             { material = \"hay\", amount = \"20 cm\" }]\n";
        let bed = read_toml(text, &Library::built_in()).unwrap();
        let uncertain = UncertainParameters::new(&bed);
        let pairs: Vec<[f64; 2]> = (0..512)
            .map(|number| {
                let sample = Sample::new(&bed, &uncertain, 3, number);
                [0, 1].map(|place| {
                    let compression = &sample.bed.layers[0].put[place].material.compression;
                    compression.best
                })
            })
            .collect();
        let mean = |of: &dyn Fn(&[f64; 2]) -> f64| pairs.iter().map(of).sum::<f64>() / 512.0;
        let means = [0, 1].map(|i| mean(&|pair: &[f64; 2]| pair[i]));
        let product =
            |i: usize, j: usize| mean(&|pair| (pair[i] - means[i]) * (pair[j] - means[j]));
        let correlation = product(0, 1) / (product(0, 0) * product(1, 1)).sqrt();
        assert!((correlation - 0.5).abs() < 0.1, "{correlation}");
    }

    /// Every dimension of the Sobol sequence is uniform and stays off its ends.
    #[test]
    fn quasi_random_numbers_are_uniform() {
        // Beyond the dimensions of the sequence too.
        for place in 0..300 {
            let mut tenths = [0_u32; 10];
            for number in 0..1000 {
                let share = quasi_random(9, number, place);
                assert!(share > 0.0 && share < 1.0);
                #[allow(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "inside 0..1"
                )]
                let tenth = (share * 10.0) as usize;
                tenths[tenth] += 1;
            }
            // Random numbers would give 100, give or take 9.5.
            assert!(
                tenths.iter().all(|n| (90..=110).contains(n)),
                "{place}: {tenths:?}"
            );
        }
    }

    #[test]
    fn contradictions_are_resolved() {
        for material in Library::built_in().materials() {
            let mut material = material.clone();
            material.min_void_ratio.best = material.void_ratio.best + 1.0;
            material.lag.best = 0.5;
            for pool in &mut material.pools {
                pool.share.best = 0.7;
            }
            resolve_contradictions(&mut material);
            let shares: f64 = material.pools.iter().map(|pool| pool.share.best).sum();
            assert!((shares - 1.0).abs() < 1e-12);
            assert!(material.min_void_ratio.best < material.void_ratio.best);
            assert!(material.lag.best >= 1.0);
        }
    }

    #[test]
    fn odds_keep_shares_in_range() {
        assert!((with_odds(0.5, 0.7) - 0.7 / 1.7).abs() < 1e-12);
        assert_eq!((with_odds(0.0, 2.0), with_odds(1.0, 2.0)), (0.0, 1.0));
    }
}
