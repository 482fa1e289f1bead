//! Mixtures.

use moulder::internals::model::mixture::{
    Part, amount_for_carbon_to_nitrogen, amount_for_moisture, mixed_carbon_to_nitrogen,
    mixed_moisture, nitrogen_lacking_kg,
};

use crate::check::{Check, at_most, point};
use crate::source::{Source, memory, own, read};
use crate::subject::Subject;

/// The figures are also in `crates/moulder/tests/mixture.rs`.
pub(crate) fn subject() -> Subject {
    Subject {
        title: "Mixtures",
        sources: vec![
            moisture_of_cornell(),
            ratio_of_cornell(),
            ratio_unrounded(),
            worksheet(),
            averages(),
            extension_org(),
        ],
    }
}

const GRASS: Part = part(10.0, 0.77, 0.45, 0.024);

const fn leaves(total_mass_kg: f64) -> Part {
    part(total_mass_kg, 0.35, 0.50, 0.0075)
}

const fn part(total_mass_kg: f64, moisture_wet: f64, carbon: f64, nitrogen: f64) -> Part {
    Part {
        total_mass_kg,
        moisture_wet,
        carbon,
        nitrogen,
    }
}

/// A figure that may be missing, which is a miss.
fn known(what: &str, printed: &'static str, got: Option<f64>) -> Check {
    point(what, printed, got.unwrap_or(f64::NAN))
}

fn moisture_of_cornell() -> Source {
    read(
        "Richard & Trautmann, Cornell composting pages: leaves that bring 10 kg of grass to 60 % \
         water",
        vec![known(
            "leaves, kg",
            "6.8",
            amount_for_moisture(&GRASS, &leaves(1.0), 0.60),
        )],
    )
}

fn ratio_of_cornell() -> Source {
    memory(
        "The same pages: leaves that bring it to 30 parts of carbon to one of nitrogen",
        vec![known(
            "leaves, kg",
            "3.5",
            amount_for_carbon_to_nitrogen(&GRASS, &leaves(1.0), 30.0),
        )],
    )
}

fn ratio_unrounded() -> Source {
    let mixed = [GRASS, leaves(3.5)];
    own(
        "The same example, by hand and unrounded",
        vec![
            known(
                "leaves for 30 to one, kg",
                "3.474",
                amount_for_carbon_to_nitrogen(&GRASS, &leaves(1.0), 30.0),
            ),
            known(
                "ratio with 3.5 kg of leaves",
                "30.06",
                mixed_carbon_to_nitrogen(&mixed),
            ),
            known(
                "water with 3.5 kg of leaves, %",
                "66.1",
                mixed_moisture(&mixed).map(|share| 100.0 * share),
            ),
            known(
                "ratio with 6.8 kg of leaves",
                "36.7",
                mixed_carbon_to_nitrogen(&[GRASS, leaves(6.8)]),
            ),
        ],
    )
}

fn worksheet() -> Source {
    let put = [
        part(50.0, 0.0, 0.40, 0.01),
        part(10.0, 0.0, 0.10, 0.01),
        part(2.0, 0.0, 0.25, 0.01),
    ];
    read(
        "A worksheet (docslib 12269573): hay, kitchen waste and coffee",
        vec![known(
            "carbon to nitrogen",
            "34.7",
            mixed_carbon_to_nitrogen(&put),
        )],
    )
}

fn averages() -> Source {
    let share = (130.0 - 30.0) / (130.0 - 7.5);
    let by_ratio = |total_mass_kg, ratio| part(total_mass_kg, 0.0, 0.45, 0.45 / ratio);
    let put = [by_ratio(share, 7.5), by_ratio(1.0 - share, 130.0)];
    own(
        "One page averages ratios by mass, 7.5 A + 130 (1 - A) = 30, and is wrong: what it mixes \
         is far richer in nitrogen",
        vec![at_most(
            "carbon to nitrogen of that mix",
            "10",
            mixed_carbon_to_nitrogen(&put).unwrap_or(f64::NAN),
        )],
    )
}

fn extension_org() -> Source {
    let sawdust = part(400.0, 0.0, 0.60, 0.60 / 400.0);
    let lacking = nitrogen_lacking_kg(&[sawdust], 30.0);
    read(
        "Extension.org 351921: a cubic yard of sawdust, 400 lb, lacks nitrogen to 30 to one; urea \
         has 46 %",
        vec![
            point("nitrogen, lb", "7.4", lacking),
            point("urea, lb", "16", lacking / 0.46),
        ],
    )
}
