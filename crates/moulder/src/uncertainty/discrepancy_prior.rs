//! How far the laws are off, by what a bed is.
//!
//! A mound has the standard deviation of mounds, whatever it is made of. Any other bed has the
//! root mean square over its layers, by their thickness as filled, each of one class:
//!
//! - soil or compost alone;
//! - wood alone with nothing else above it: stacks, piles of chips;
//! - any other: wood under something else, leaves and the like, and mixed layers.
//!
//! Additions do not count: they come on the bed as it was filled. The figures are priors, set
//! before any forecast was held to a reading with them.

use libm::sqrt;
use moulder_core::value::{Spread, Status, Value};

use crate::bed::{Bed, Layer};
use crate::library::material::Class;
use crate::model::compile::loose_m;
use crate::numeric::scale_mixture::{HEAVY, ScaleMixture};

/// Standard deviation of the discrepancy of a mound, as a share of the rate of settlement; the
/// spread is that of one bed's scale.
static MOUND_SD: Value = Value::new(
    0.25,
    Spread::new(0.14, 0.44),
    "1",
    "our own closure: no wall holds its sides, slumping's law is our own, and no measured mound was found",
    Status::Judgement,
);

/// The same of wood under other layers, of leaves and the like, and of mixed layers.
static LAYERED_SD: Value = Value::new(
    0.12,
    Spread::new(0.065, 0.21),
    "1",
    "our own closure: soil arches over a skeleton and sifts into it by laws without a measured rate; no measured series of a whole bed was found",
    Status::Judgement,
);

/// The same of soil or compost alone.
static SOIL_SD: Value = Value::new(
    0.10,
    Spread::new(0.054, 0.18),
    "1",
    "our own closure: the laws of compression and wetting are those of soils, for soils denser than a filled bed",
    Status::Judgement,
);

/// The same of wood alone.
static WOOD_SD: Value = Value::new(
    0.20,
    Spread::new(0.11, 0.35),
    "1",
    "our own closure: a stack also shifts, leans and loses bark, and chips heat, which the laws do not know",
    Status::Judgement,
);

/// What a layer or a bed is, for the discrepancy of the laws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DiscrepancyClass {
    /// A mound, whatever it is made of.
    Mound,
    /// Wood under something else, leaves, grass, straw, card or turf, or a mixed layer.
    Layered,
    /// Soil or compost alone.
    Soil,
    /// Wood alone, with nothing else above it.
    Wood,
}

impl DiscrepancyClass {
    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mound => "mound",
            Self::Layered => "layered",
            Self::Soil => "soil",
            Self::Wood => "wood alone",
        }
    }

    /// Its standard deviation, as a share of the rate of settlement.
    fn sd(self) -> f64 {
        let value = match self {
            Self::Mound => &MOUND_SD,
            Self::Layered => &LAYERED_SD,
            Self::Soil => &SOIL_SD,
            Self::Wood => &WOOD_SD,
        };
        value.best
    }

    /// Of a layer under those others.
    fn of_layer(layer: &Layer, above: &[Layer]) -> Self {
        let is_all = |class| {
            move |layer: &Layer| {
                let mut put = layer.put.iter();
                put.all(|ingredient| ingredient.material.class == class)
            }
        };
        let is_wood = is_all(Class::Wood);
        if is_wood(layer) && above.iter().all(is_wood) {
            Self::Wood
        } else if is_all(Class::Soil)(layer) {
            Self::Soil
        } else {
            Self::Layered
        }
    }
}

/// The prior of the discrepancy of a bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DiscrepancyPrior {
    pub(crate) sd: f64,
    /// How the scale of one bed differs from `sd`.
    pub(crate) scales: ScaleMixture,
}

impl DiscrepancyPrior {
    /// That of a bed as filled.
    #[must_use]
    pub fn of(bed: &Bed) -> Self {
        let (mut squares_m, mut height_m) = (0.0, 0.0);
        for (class, thickness_m) in classes(bed) {
            squares_m += class.sd() * class.sd() * thickness_m;
            height_m += thickness_m;
        }
        Self {
            sd: sqrt(squares_m / height_m.max(f64::MIN_POSITIVE)),
            scales: HEAVY,
        }
    }

    /// Standard deviation as a share of the rate of settlement, of a normal distribution with the same
    /// 10 % and 90 % quantiles.
    #[must_use]
    pub const fn sd(&self) -> f64 {
        self.sd
    }
}

/// The classes of a bed as filled, from the ground up, each with a thickness; m.
#[must_use]
pub fn classes(bed: &Bed) -> Vec<(DiscrepancyClass, f64)> {
    let is_mound = bed.shape.run_per_rise().is_some();
    let layers = bed.layers.iter().enumerate();
    let each = layers.map(|(index, layer)| {
        let class = if is_mound {
            DiscrepancyClass::Mound
        } else {
            DiscrepancyClass::of_layer(layer, &bed.layers[index + 1..])
        };
        (class, loose_m(&bed.shape, layer))
    });
    each.collect()
}

#[cfg(test)]
mod tests {
    use super::{
        DiscrepancyClass, DiscrepancyPrior, LAYERED_SD, MOUND_SD, SOIL_SD, WOOD_SD, classes,
    };
    use crate::library::Library;
    use crate::read::read_toml;

    fn bed(shape: &str, layers: &[&[(&str, &str)]]) -> crate::bed::Bed {
        let layers: Vec<String> = layers
            .iter()
            .map(|put| {
                let put: Vec<String> = put
                    .iter()
                    .map(|(material, amount)| {
                        format!("{{ material = \"{material}\", amount = \"{amount}\" }}")
                    })
                    .collect();
                format!("[[layer]]\nput = [{}]\n", put.join(", "))
            })
            .collect();
        let text = format!(
            "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\n{shape}\n{}",
            layers.concat()
        );
        read_toml(&text, &Library::built_in()).unwrap()
    }

    const ROUND: &str = "shape = \"round\"\nacross = \"1.2 m\"\nrim = \"2 m\"";

    #[test]
    fn classes_follow_what_lies_where() {
        use DiscrepancyClass::{Layered, Mound, Soil, Wood};
        let of = |shape: &str, layers: &[&[(&str, &str)]]| {
            let classes = classes(&bed(shape, layers)).into_iter();
            classes.map(|(class, _)| class).collect::<Vec<_>>()
        };
        let (logs, soil) = (("birch log", "30 cm"), ("loamy topsoil", "20 cm"));
        let leaves = ("deciduous leaves", "20 cm");
        assert_eq!(
            of(ROUND, &[&[logs], &[leaves], &[soil]]),
            [Layered, Layered, Soil]
        );
        assert_eq!(
            of(ROUND, &[&[soil], &[logs], &[("twigs", "10 cm")]]),
            [Soil, Wood, Wood]
        );
        assert_eq!(of(ROUND, &[&[logs, soil]]), [Layered]);
        let mound = "shape = \"mound\"\nwidth = \"3 m\"\nlength = \"4 m\"\nslope = \"45 deg\"";
        assert_eq!(of(mound, &[&[leaves], &[soil]]), [Mound, Mound]);
    }

    /// By hand: two thirds layered, a third soil.
    #[test]
    fn layers_count_by_their_thickness() {
        let bed = bed(
            ROUND,
            &[&[("birch log", "40 cm")], &[("loamy topsoil", "20 cm")]],
        );
        let square: f64 = (2.0 * 0.12 * 0.12 + 0.1 * 0.1) / 3.0;
        let sd = DiscrepancyPrior::of(&bed).sd();
        assert!((sd - square.sqrt()).abs() < 1e-9, "{sd}");
    }

    /// A spread is the 10 % to 90 % range of the scale of one bed: by the quantiles of the
    /// chi-squared distribution with three degrees of freedom (0.584 and 6.251 as printed; from
    /// memory), to two digits.
    #[test]
    fn spreads_are_those_of_the_scales() {
        let ends = [6.251_f64, 0.584].map(|chi_squared| 0.781_768 * (3.0 / chi_squared).sqrt());
        for value in [&MOUND_SD, &LAYERED_SD, &SOIL_SD, &WOOD_SD] {
            for (end, told) in ends.iter().zip([value.spread.low, value.spread.high]) {
                let ratio = told / (end * value.best);
                assert!((0.96..1.04).contains(&ratio), "{value:?}: {ratio}");
            }
        }
    }
}
