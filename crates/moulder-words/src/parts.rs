//! Parts that are told beside their sum, rounded so that they add up to it.
//!
//! ```
//! use moulder_words::parts::adding_up;
//!
//! // 20.4, 7.45 and 3.35 of 31.2: each rounded for itself they would make 30.
//! assert_eq!(adding_up(31.2, &[20.4, 7.45, 3.35], 1.0), [20.0, 8.0, 3.0]);
//! ```

use moulder::internals::quantity::amount::CUBIC_FOOT_M3;
use moulder::internals::quantity::height::step_m;
use moulder::{Month, Units};

/// Each part rounded to a multiple of `step`, together the sum as it rounds: all are rounded
/// down, and those that lost most get a step each (largest remainders).
#[must_use]
pub fn adding_up(sum: f64, parts: &[f64], step: f64) -> Vec<f64> {
    let mut steps: Vec<f64> = parts.iter().map(|part| (part / step).floor()).collect();
    let lost = |place: usize| parts[place] / step - (parts[place] / step).floor();
    let mut by_loss: Vec<usize> = (0..parts.len()).collect();
    by_loss.sort_by(|one, other| lost(*other).total_cmp(&lost(*one)));
    let missing = (sum / step).round() - steps.iter().sum::<f64>();
    // Rounding the sum up or down leaves at most a step for each part.
    for (place, _) in by_loss
        .iter()
        .zip(0_u32..)
        .filter(|(_, at)| f64::from(*at) < missing)
    {
        steps[*place] += 1.0;
    }
    steps.iter().map(|steps| steps * step).collect()
}

/// Heights that add up as a tape measure reads them: whole centimetres, or half inches; m.
#[must_use]
pub fn heights_adding_up_m(sum_m: f64, parts_m: &[f64], units: Units) -> Vec<f64> {
    adding_up(sum_m, parts_m, step_m(units))
}

/// Heights that add up in a table: tenths of the unit; m.
#[must_use]
pub fn figures_adding_up_m(sum_m: f64, parts_m: &[f64], units: Units) -> Vec<f64> {
    let tenth_m = match units {
        Units::Metric => 0.1 * step_m(units),
        Units::Us | Units::UkGarden => 0.2 * step_m(units),
    };
    adding_up(sum_m, parts_m, tenth_m)
}

/// A row as a table tells it, in tenths of the unit: causes add up to what has sunk, and layers to
/// the thickness of the fill.
#[must_use]
pub fn row_adding_up(row: &Month, units: Units) -> Month {
    let mut told = row.clone();
    let parts = &mut told.parts;
    let parts_m = [
        &mut parts.mechanical_m,
        &mut parts.fines_migration_m,
        &mut parts.nonwoody_decay_m,
        &mut parts.wood_decay_m,
    ];
    round_together(row.settlement_m, parts_m, units);
    let layers_m: f64 = row.layers.iter().map(|layer| layer.thickness_m).sum();
    let thicknesses_m = told.layers.iter_mut().map(|layer| &mut layer.thickness_m);
    round_together(layers_m, thicknesses_m, units);
    told
}

fn round_together<'a>(sum_m: f64, parts_m: impl IntoIterator<Item = &'a mut f64>, units: Units) {
    let parts_m: Vec<&mut f64> = parts_m.into_iter().collect();
    let each_m: Vec<f64> = parts_m.iter().map(|part_m| **part_m).collect();
    let told_m = figures_adding_up_m(sum_m, &each_m, units);
    for (part_m, told_m) in parts_m.into_iter().zip(told_m) {
        *part_m = told_m;
    }
}

/// Volumes that add up as they are told: whole litres, or tenths of a cubic foot; m3.
#[must_use]
pub fn volumes_adding_up_m3(sum_m3: f64, parts_m3: &[f64], units: Units) -> Vec<f64> {
    let step_m3 = match units {
        Units::Metric | Units::UkGarden => 1e-3,
        Units::Us => 0.1 * CUBIC_FOOT_M3,
    };
    adding_up(sum_m3, parts_m3, step_m3)
}

#[cfg(test)]
mod tests {
    use super::{adding_up, figures_adding_up_m, heights_adding_up_m};
    use moulder::Units;
    use moulder::internals::quantity::height::{figure, reading};
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn told_parts_add_up(parts in prop::collection::vec(-0.3..0.7_f64, 1..7)) {
            let sum: f64 = parts.iter().sum();
            for step in [0.01, 0.0127, 0.001] {
                let told = adding_up(sum, &parts, step);
                let steps = told.iter().map(|part| (part / step).round()).sum::<f64>();
                prop_assert!((steps - (sum / step).round()).abs() < 1e-9);
                for (told, part) in told.iter().zip(&parts) {
                    prop_assert!((told - part).abs() < step * (1.0 + 1e-9));
                }
            }
        }
    }

    #[test]
    fn parts_read_as_they_add_up() {
        let parts_m = [0.204, 0.0745, 0.0335, 0.0];
        let told = heights_adding_up_m(0.312, &parts_m, Units::Metric);
        let read: Vec<String> = told.iter().map(|m| reading(*m, Units::Metric)).collect();
        assert_eq!(read, ["20 cm", "8 cm", "3 cm", "0 cm"]);
        let told = figures_adding_up_m(0.254, &[0.1283, 0.1257], Units::Us);
        let read: Vec<String> = told.iter().map(|m| figure(*m, Units::Us)).collect();
        assert_eq!(read, ["5.1", "4.9"]);
    }
}
