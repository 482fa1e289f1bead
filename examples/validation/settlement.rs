//! Compression of gaps by load, creep and decay.

use moulder::internals::library::Library;
use moulder::internals::library::material::Material;
use moulder_core::bed::shape::Shape;
use moulder_core::law::settlement::{
    closing_exponent, left_after_creep, left_after_load, left_after_rot,
};
use moulder_core::math::elementary::{exp, ln};
use moulder_core::value::Value;

use crate::check::{at_most, point};
use crate::source::{Source, memory, own, read};
use crate::subject::Subject;

/// A minimum void ratio far below any real one: in this limit our law is the textbook's log
/// law.
const FAR_BELOW: f64 = -1e7;

/// The figures are also in the tests of `moulder_core`'s `settlement.rs` and `shape.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Settlement and shapes",
        sources: vec![
            cebu(),
            hand(),
            das(),
            mueller_2012(),
            rot_alone(),
            geometry(),
        ],
    }
}

/// Settlement of a layer from one load to another, in the unit of its thickness.
fn primary(compression: f64, void_ratio: f64, thickness: f64, from_to: [f64; 2]) -> f64 {
    let exponent = closing_exponent(compression / (1.0 + void_ratio), void_ratio, FAR_BELOW);
    let excess = (void_ratio - FAR_BELOW) / (1.0 + void_ratio);
    thickness * excess * (1.0 - left_after_load(exponent, 0.0, from_to[0], from_to[1]))
}

fn cebu() -> Source {
    read(
        "University of Cebu, notes on settlement: normally consolidated clay, 9 m",
        vec![point(
            "settlement, cm",
            "29.04",
            primary(0.32, 1.55, 900.0, [136.20, 246.20]),
        )],
    )
}

/// Settlement of a layer between two times, in the unit of its thickness; `strain` is the creep
/// strain per tenfold time.
fn secondary(strain: f64, void_ratio: f64, thickness: f64, from_to: [f64; 2]) -> f64 {
    let exponent =
        strain * (1.0 + void_ratio) / (core::f64::consts::LN_10 * (void_ratio - FAR_BELOW));
    let excess = (void_ratio - FAR_BELOW) / (1.0 + void_ratio);
    thickness * excess * (1.0 - left_after_creep(exponent, 0.0, from_to[0], from_to[1]))
}

fn hand() -> Source {
    read(
        "Hand checks in a public test suite (not a textbook): a clay of 3 m",
        vec![
            point(
                "primary settlement, 50 to 90 kPa, m",
                "0.1313",
                primary(0.36, 1.1, 3.0, [50.0, 90.0]),
            ),
            point(
                "secondary settlement, 1 to 10 yr, m",
                "0.0300",
                secondary(0.02 / 2.0, 1.0, 3.0, [1.0, 10.0]),
            ),
        ],
    )
}

fn das() -> Source {
    let thickness_in = 8.5 * 12.0;
    let first_in = primary(0.28, 0.8, thickness_in, [2650.0, 2650.0 + 970.0]);
    // The book rounds C_alpha/(1 + e_p) to 0.011; creep runs from 1.5 to 5 years.
    let later_in = secondary(0.011, 0.8 - 0.038, thickness_in, [1.5, 5.0]);
    memory(
        "Das, Principles of Geotechnical Engineering, example of secondary consolidation",
        vec![
            point("primary settlement, in", "2.15", first_in),
            point("secondary settlement, in", "0.59", later_in),
            point("both, in", "2.74", first_in + later_in),
        ],
    )
}

/// Compression parameters of chips: strain per tenfold stress, the reference stress, the void
/// ratio and its minimum.
struct Chips {
    compression: f64,
    reference_kpa: f64,
    void_ratio: f64,
    least: f64,
}

impl Chips {
    /// Chips of the library; NaN for an unknown name.
    fn of_shelf(name: &str) -> Self {
        let library = Library::built_in();
        let figure = |of: fn(&Material) -> &Value| {
            (library.find_material(name)).map_or(f64::NAN, |material| of(material).best)
        };
        Self {
            compression: figure(|material| &material.compression),
            reference_kpa: figure(|material| &material.reference_stress),
            void_ratio: figure(|material| &material.void_ratio),
            least: figure(|material| &material.min_void_ratio),
        }
    }

    /// Height of a loose column of 1 m under its own weight; m.
    fn column_m(&self, weight_kpa: f64) -> f64 {
        let exponent = closing_exponent(self.compression, self.void_ratio, self.least);
        let slices = 1000;
        let thickness_m = |i: i32| {
            let vertical_stress_kpa = weight_kpa * (f64::from(i) + 0.5) / f64::from(slices);
            let left = left_after_load(exponent, self.reference_kpa, 0.0, vertical_stress_kpa);
            let excess = (self.void_ratio - self.least) * left;
            (1.0 + self.least + excess) / (1.0 + self.void_ratio) / f64::from(slices)
        };
        (0..slices).map(thickness_m).sum()
    }
}

fn mueller_2012() -> Source {
    let (density, per_kpa) = (162.0, 0.099);
    let weight_kpa: f64 = density * 9.81e-3;
    let chips = Chips {
        compression: 0.20,
        reference_kpa: 0.20 / (core::f64::consts::LN_10 * per_kpa),
        void_ratio: 1.6,
        least: 0.6,
    };
    let a = weight_kpa / chips.reference_kpa;
    let log_law_m = 1.0 - 0.20 / core::f64::consts::LN_10 * ((1.0 + a) * ln(1.0 + a) - a) / a;
    let exponential_m = (1.0 - exp(-per_kpa * weight_kpa)) / (per_kpa * weight_kpa);
    let because = "ours starts with the measured slope and stiffens with load, as the log law does";
    own(
        "Spruce chips of Mueller, Karaj & Meissner 2012 (abstract: 162 kg/m3, 9.9e-5 per Pa, in \
         tubes of 1 and 2 m); the height of a loose column of 1 m is derived",
        vec![
            point("height by the exponential law, m", "0.9253", exponential_m),
            point(
                "height by ours, slope alike, m",
                "0.9253",
                chips.column_m(weight_kpa),
            )
            .known_off(because),
            point(
                "height by the shelf's chips, m",
                "0.9253",
                Chips::of_shelf("softwood chips").column_m(weight_kpa),
            )
            .known_off(because),
            at_most(
                "our strain over the log law's",
                "1",
                (1.0 - chips.column_m(weight_kpa)) / (1.0 - log_law_m),
            ),
        ],
    )
}

fn rot_alone() -> Source {
    let height = |weight: f64| (0.5 + 3.0 * left_after_rot(1.0, 0.5, -0.5 * weight)) / 4.0;
    own(
        "Closed form: three parts of gaps, half of the solids gone, gaps closing with a power \
         of what is left",
        vec![
            point("height left, power 0", "0.8750", height(0.0)),
            point("height left, power 0.5", "0.6553", height(0.5)),
            point("height left, power 1", "0.5000", height(1.0)),
            point("height left, power 1.25", "0.4403", height(1.25)),
        ],
    )
}

fn geometry() -> Source {
    let mound = Shape::Mound {
        width_m: 2.0,
        length_m: 2.0,
        slope_deg: 45.0,
        upright_m: 0.0,
    };
    let cube = Shape::Bag {
        width_m: 0.9,
        length_m: 0.9,
        bulged: 0.0,
    };
    let round = Shape::Bag {
        width_m: 0.9,
        length_m: 0.9,
        bulged: 1.0,
    };
    own(
        "School geometry: a frustum, a cube of 0.9 m, a circle as long round as a square",
        vec![
            point(
                "mound 2 m wide, 0.5 m high, m3",
                "1.167",
                mound.volume_m3(0.0, 0.5),
            ),
            point("cube, L", "729", 1000.0 * cube.volume_m3(0.0, 0.9)),
            point(
                "circle over the square",
                "1.273",
                round.area_m2() / cube.area_m2(),
            ),
        ],
    )
}
