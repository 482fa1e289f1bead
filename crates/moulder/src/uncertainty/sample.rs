//! A sample: one possible truth about a bed.

use moulder_core::value::{Spread, Status, Value};
use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng as _;

use crate::bed::{Amount, Bed, Ingredient};
use crate::library::material::{Class, Material, wet_share};
use crate::model::compile::height_filled_m;
use crate::model::figures::Figures;
use crate::numeric::normal::quantile;
use crate::numeric::uniform::part;
use crate::text::limit::SAMPLES_LIMIT;
use crate::uncertainty::parameter::{
    Figure, LAWS, Stated, UncertainParameter, UncertainParameters, figures_of,
};
use crate::uncertainty::prior::{FARTHEST_Z, drawn};

/// So many unknowns are spread evenly over their joint range (scrambled Sobol points,
/// Burley 2020); the rest, which move little, and the weather are pseudo-random.
const QUASI_RANDOM: usize = 40;

/// A volume told by eye or by the barrow, against what it was.
static VOLUME_BY_EYE: Value = Value::new(
    1.0,
    Spread::new(0.77, 1.30),
    "1",
    "our own judgement: barrows and bags filled by eye, one standard deviation of 20 %",
    Status::Judgement,
);

/// A thickness told of a layer, against what it was.
static THICKNESS_BY_EYE: Value = Value::new(
    1.0,
    Spread::new(0.86, 1.16),
    "1",
    "our own judgement: uneven loose layers read at the side, one standard deviation of 12 %",
    Status::Judgement,
);

/// A mass told of something, against what it was.
static MASS: Value = Value::new(
    1.0,
    Spread::new(0.94, 1.06),
    "1",
    "our own judgement: weighed by the bag or over a weighbridge, one standard deviation of 5 %",
    Status::Judgement,
);

/// The height at which a bed stood when filled, against what the amounts told come to.
static START_HEIGHT: Value = Value::new(
    1.0,
    Spread::new(0.97, 1.03),
    "1",
    "our own judgement: levelled by eye and read at the side or against the rim",
    Status::Judgement,
);

/// The size told of pieces, against what their mean was.
static ACROSS_BY_EYE: Value = Value::new(
    1.0,
    Spread::new(0.8, 1.25),
    "1",
    "our own judgement: a heap of pieces of many sizes, told by one",
    Status::Judgement,
);

/// The odds of water as told, against what they were: 50 % is 41 to 59 %.
static MOISTURE_ODDS: Value = Value::new(
    1.0,
    Spread::new(0.7, 1.43),
    "odds",
    "our own judgement: moisture told by feel",
    Status::Judgement,
);

/// The odds of what is gone by rot as told, against what they were: 30 % is 18 to 46 %.
static ROTTEN_ODDS: Value = Value::new(
    1.0,
    Spread::new(0.5, 2.0),
    "odds",
    "our own judgement: how rotten wood is, told by eye",
    Status::Judgement,
);

/// Least void ratio at most this share of the void ratio drawn beside it: what is tipped
/// always has a gap to lose.
const LEAST_OF_TIPPED: f64 = 0.8;
/// Mineral share at most: something is left to rot.
const MOST_MINERAL: f64 = 0.995;

/// One possible truth about a bed: a number for every unknown, and years of weather.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// The bed with its materials and amounts as they may have been.
    bed: Bed,
    /// The figures of the laws, and the seed of its years of weather.
    figures: Figures,
}

impl Sample {
    /// The sample of a bed with that number, below [`SAMPLES_LIMIT`], among those of a seed.
    ///
    /// The same bed, seed and number give the same sample everywhere.
    ///
    /// Amounts stray one by one, and then all together so that the bed stands about as
    /// high when filled as what was told comes to: that height is what an owner sees.
    ///
    /// Contradictions are
    /// mended: shares of pools are scaled to sum to one, the least void ratio is held to
    /// four fifths of the void ratio, collapse after treading to that without, and no
    /// piece shrinks before its mass does.
    #[must_use]
    pub fn of(bed: &Bed, uncertain: &UncertainParameters, seed: u64, number: u32) -> Self {
        let (z, weather_seed) = standard_normals(uncertain, seed, number);
        Self::with(bed, uncertain, z, weather_seed)
    }

    /// The sample in which each unknown, in their order, lies so many standard deviations
    /// from its middle, under the weather of that seed.
    #[must_use]
    pub(crate) fn with(
        bed: &Bed,
        uncertain: &UncertainParameters,
        z: Vec<f64>,
        weather_seed: u64,
    ) -> Self {
        let deviations = Deviations { uncertain, z };
        let mut realised = bed.clone();
        let layers = realised.layers.iter_mut();
        let filled = layers.map(|layer| layer.put.as_mut_slice());
        let added = realised.additions.iter_mut();
        let added = added.map(|added| core::slice::from_mut(&mut added.ingredient));
        for (layer, put) in filled.chain(added).enumerate() {
            for (place, ingredient) in put.iter_mut().enumerate() {
                deviations.realise(ingredient, layer, place);
            }
        }
        let start = drawn(&START_HEIGHT, deviations.z(&UncertainParameter::Start));
        let crop = core::iter::once(bed.crop.need());
        let laws = LAWS.iter().copied().chain(crop);
        let laws = laws.map(|law| {
            (
                law.clone(),
                drawn(law, deviations.z(&Figure::from_law(law))),
            )
        });
        let mut sample = Self {
            bed: realised,
            figures: Figures::of_realisation(laws.collect(), weather_seed),
        };
        if let Ok(given_m) = height_filled_m(bed, Figures::nominal()) {
            sample.scale_to(given_m * start);
        }
        sample
    }

    /// Scales what was put in on the day of filling until it stands that high.
    ///
    /// A wall makes the height go with the amount, so that one step does; in a mound each
    /// step comes nearer, and what finds no room is a tenth less.
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

    /// The bed as it may have been.
    #[must_use]
    pub fn bed(&self) -> &Bed {
        &self.bed
    }

    /// Its figures of the laws, with the seed of its years of weather.
    #[must_use]
    pub fn figures(&self) -> &Figures {
        &self.figures
    }

    /// The same with a twentieth less of everything that was put in: where the sides of a
    /// mound meet before all of it is in, less of it was there.
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

/// How far each unknown lies from its middle in the sample of that number, in standard
/// deviations and in the order of the unknowns; and the seed of its weather.
pub(crate) fn standard_normals(
    uncertain: &UncertainParameters,
    seed: u64,
    number: u32,
) -> (Vec<f64>, u64) {
    let mut numbers = Pcg64::new((u128::from(seed) << 32) | u128::from(number), STREAM);
    let weather_seed = numbers.next_u64();
    let z = (0..uncertain.count()).map(|place| {
        let share = if place < QUASI_RANDOM {
            quasi_random(seed, number, place)
        } else {
            part(&mut numbers)
        };
        quantile(share)
    });
    (z.collect(), weather_seed)
}

/// The generator's second parameter for samples: the customary one is that of rain.
const STREAM: u128 = 0x0a02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf97;

/// Half of the even sequence's finest step, 2^-24.
const HALF_STEP: f64 = 1.0 / 33_554_432.0;

/// A share of the even sequence of a seed, inside 0..1.
///
/// Half of its finest step keeps it off 0 and 1.
pub(crate) fn quasi_random(seed: u64, number: u32, place: usize) -> f64 {
    // A seed of 64 bits is folded to the 32 that the sequence takes.
    let [high, low] = [seed >> 32, seed & 0xffff_ffff];
    let seed = u32::try_from(high ^ low).unwrap_or(0);
    let place = u32::try_from(place).unwrap_or(0);
    let share = f64::from(sobol_burley::sample(number % SAMPLES_LIMIT, place, seed));
    (share + HALF_STEP).min(1.0 - HALF_STEP)
}

/// How far each unknown lies from its middle, in standard deviations.
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

    /// Puts definite numbers in place of an ingredient's uncertain ones.
    fn realise(&self, ingredient: &mut Ingredient, layer: usize, place: usize) {
        let stated = |what: Stated| self.z(&UncertainParameter::Stated(what, layer, place));
        let sound = ingredient.material.clone();
        self.realise_material(&mut ingredient.material);
        let off = match ingredient.amount {
            Amount::VolumeM3(_) => &VOLUME_BY_EYE,
            Amount::ThicknessM(_) => &THICKNESS_BY_EYE,
            Amount::WetMassKg(_) | Amount::DryMassKg(_) => &MASS,
        };
        ingredient.amount = times(ingredient.amount, drawn(off, stated(Stated::Amount)));
        // What is as the shelf has it was not looked at: it strays with the shelf.
        if same(ingredient.particle_size_m, sound.particle_size.best) {
            ingredient.particle_size_m = ingredient.material.particle_size.best;
        } else {
            ingredient.particle_size_m *= drawn(&ACROSS_BY_EYE, stated(Stated::Across));
        }
        if same(ingredient.moisture_wet, wet_share(&sound.moisture)) {
            ingredient.moisture_wet = wet_share(&ingredient.material.moisture);
        } else {
            let factor = drawn(&MOISTURE_ODDS, stated(Stated::Moisture));
            ingredient.moisture_wet = with_odds(ingredient.moisture_wet, factor);
        }
        let factor = drawn(&ROTTEN_ODDS, stated(Stated::Rotten));
        ingredient.rotten = with_odds(ingredient.rotten, factor);
    }

    fn realise_material(&self, material: &mut Material) {
        let rates: Vec<f64> = material
            .pools
            .iter()
            .map(|pool| {
                let own = Figure::from_pool(pool).map_or(0.0, |parameter| self.z(&parameter));
                match material.class {
                    // Half of the variance is common to all woods.
                    Class::Wood => {
                        core::f64::consts::FRAC_1_SQRT_2
                            * (own + self.z(&UncertainParameter::AllWood))
                    }
                    Class::Plant | Class::Soil => own,
                }
            })
            .collect();
        for (name, value) in figures_of(material) {
            let z = self.z(&Figure::from_material(name, value));
            fix(value, drawn(value, z));
        }
        for (pool, z) in material.pools.iter_mut().zip(rates) {
            for rate in &mut pool.rates {
                let per_year = drawn(&rate.rate, z);
                fix(&mut rate.rate, per_year);
            }
        }
        resolve_contradictions(material);
    }
}

/// Takes contradictions out of a material whose figures were drawn one by one.
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
    cap(
        &mut material.collapse_trodden,
        material.collapse_tipped.best,
    );
    cap(&mut material.mineral_share, MOST_MINERAL);
    let lag = material.lag.best.max(1.0);
    fix(&mut material.lag, lag);
}

/// Holds a value to at most that figure.
fn cap(value: &mut Value, most: f64) {
    let held = value.best.min(most);
    fix(value, held);
}

/// Makes a value that definite figure.
fn fix(value: &mut Value, figure: f64) {
    value.best = figure;
    value.spread = Spread::new(figure, figure);
}

fn same(one: f64, other: f64) -> bool {
    one.to_bits() == other.to_bits()
}

/// A share whose odds are multiplied; 0 and 1 stay what they are.
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
    use super::{quasi_random, resolve_contradictions, with_odds};
    use crate::library::Library;
    use crate::numeric::normal::{below, quantile};
    use crate::uncertainty::prior::{FARTHEST_Z, drawn};
    use moulder_core::math::elementary::exp;
    use moulder_core::value::{Spread, Status, Value};

    /// One pool whose rate is lognormal, five years on: the mean of what is left against
    /// a fine quadrature over the normal distribution (our own, in steps of 1/1000), its
    /// tenth and nine tenths against the closed form `exp(-k t)` at the rate's own.
    #[test]
    fn a_pool_of_uncertain_rate() {
        const YEARS: f64 = 5.0;
        const SD: f64 = 0.7;
        let half_width = exp(SD * crate::uncertainty::prior::TENTH_Z);
        let rate = Value::new(
            0.06,
            Spread::new(0.06 / half_width, 0.06 * half_width),
            "1/yr",
            "a test",
            Status::Judgement,
        );
        let mut left: Vec<f64> = (0..1024)
            .map(|number| exp(-YEARS * drawn(&rate, quantile(quasi_random(3, number, 0)))))
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

    /// Every place of the even sequence fills its range evenly and stays off its ends.
    #[test]
    fn shares_are_even_and_inside() {
        for place in 0..super::QUASI_RANDOM {
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
            // By chance alone a tenth would hold 100, give or take 9.5.
            assert!(
                tenths.iter().all(|n| (90..=110).contains(n)),
                "{place}: {tenths:?}"
            );
        }
    }

    #[test]
    fn contradictions_are_mended() {
        for material in Library::built_in().materials() {
            let mut material = material.clone();
            material.min_void_ratio.best = material.void_ratio.best + 1.0;
            material.collapse_trodden.best = 0.9;
            material.lag.best = 0.5;
            for pool in &mut material.pools {
                pool.share.best = 0.7;
            }
            resolve_contradictions(&mut material);
            let shares: f64 = material.pools.iter().map(|pool| pool.share.best).sum();
            assert!((shares - 1.0).abs() < 1e-12);
            assert!(material.min_void_ratio.best < material.void_ratio.best);
            assert!(material.collapse_trodden.best <= material.collapse_tipped.best);
            assert!(material.lag.best >= 1.0);
        }
    }

    #[test]
    fn odds_keep_shares_shares() {
        assert!((with_odds(0.5, 0.7) - 0.7 / 1.7).abs() < 1e-12);
        assert_eq!((with_odds(0.0, 2.0), with_odds(1.0, 2.0)), (0.0, 1.0));
    }
}
