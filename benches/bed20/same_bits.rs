//! Does the kernel give the same bits whatever stands beside a draw and whatever the
//! processor can do, and is it as accurate as the bench says?

mod closed_form;
mod kernel;
mod level;
mod problem;
mod quadrature;

use closed_form::{ClosedForm, off_by};
use kernel::Kernel;
use level::Level;
use problem::{ACCURACY, Draw, MONTHS};

const LEVELS: [Level; 2] = [Level::Baseline, Level::Best];

/// Totals of each draw, worked out `L` side by side.
fn in_lanes<const L: usize>(level: Level, draws: &[Draw]) -> Vec<[f64; MONTHS]> {
    let kernel = Kernel::new();
    let (groups, rest) = draws.as_chunks::<L>();
    assert!(rest.is_empty(), "whole groups");
    let mut totals = [[0.0; L]; MONTHS];
    let of_group = |group: &[Draw; L]| {
        kernel.totals_of_draws_kg(level, group, &mut totals);
        core::array::from_fn::<_, L, _>(|lane| totals.map(|total| total[lane]))
    };
    groups.iter().flat_map(of_group).collect()
}

fn bits(totals: &[[f64; MONTHS]]) -> Vec<[u64; MONTHS]> {
    totals.iter().map(|draw| draw.map(f64::to_bits)).collect()
}

#[test]
fn lanes_and_levels_give_the_same_bits() {
    let draws = Draw::batch(64);
    let alone = bits(&in_lanes::<1>(Level::Baseline, &draws));
    assert_ne!(alone[0], alone[1], "the draws differ");
    for level in LEVELS {
        assert_eq!(bits(&in_lanes::<1>(level, &draws)), alone, "{level:?}");
        assert_eq!(bits(&in_lanes::<4>(level, &draws)), alone, "{level:?}");
        assert_eq!(bits(&in_lanes::<8>(level, &draws)), alone, "{level:?}");
        let kernel = Kernel::new();
        for (draw, alone) in draws.iter().zip(&alone) {
            let mut totals = [0.0; MONTHS];
            kernel.totals_of_bed_kg(level, draw, &mut totals);
            assert_eq!(totals.map(f64::to_bits), *alone, "{level:?}");
        }
    }
}

#[test]
fn the_kernel_keeps_to_the_closed_form() {
    let draws = Draw::batch(64);
    let closed_form = ClosedForm::new();
    for (draw, totals) in draws.iter().zip(in_lanes::<8>(Level::Best, &draws)) {
        let off = off_by(&totals, &closed_form.totals_kg(draw));
        assert!(off < ACCURACY, "{draw:?}: {off:e}");
    }
}
