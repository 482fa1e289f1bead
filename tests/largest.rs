//! The largest bed accepted: is the work bounded, and is what that leaves out reported?
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use moulder::internals::forecast::forecast;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::model::compile::{Compiled, compile};
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder::internals::text::limit::{HEAP_M, LAYERS, MATERIALS_A_LAYER};
use moulder::internals::uncertainty::default_width::{defaults_with_widths, most_figures};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_words::default_value::widths_left_out;
use moulder_words::forecast::fewer_draws;
use support::{Counter, demo_bag, demo_box, largest_bed};

fn compiled(bed: &moulder::internals::bed::Bed) -> Compiled {
    compile(bed, weather_for(bed, 1.0), Figures::nominal()).unwrap()
}

/// It is as large as the reader accepts.
#[test]
fn it_is_the_largest() {
    let bed = largest_bed(None);
    assert_eq!(bed.layers().len(), LAYERS);
    assert!(
        bed.layers()
            .iter()
            .all(|layer| layer.put.len() == MATERIALS_A_LAYER)
    );
    let loose_m = 0.01 * 800.0 / bed.shape().area_m2();
    assert!(loose_m > 2.0 && loose_m < HEAP_M, "{loose_m}");
}

/// A slice has slots for its initial fines and for those that may come, which a slice without a
/// skeleton does not take: from above, and those that animals raise from the slice below. In a
/// bed of soil alone there are as many as ingredients in each slice, not as in the bed.
#[test]
fn a_slice_has_room_for_what_may_come_to_it() {
    for bed in [
        largest_bed(None),
        largest_bed(Some("loamy topsoil")),
        demo_bag(),
        demo_box(),
    ] {
        let stack = compiled(&bed).stack;
        let mut rooms = 0;
        for (index, slice) in stack.slices.iter().enumerate() {
            let is_at_home = |index: usize, kind: usize| {
                let slots = &stack.slices[index].slots.fines;
                slots.iter().any(|held| held.kind == kind && held.at_home)
            };
            let may_come = |kind: usize| {
                let mut above = index + 1..stack.slices.len();
                let below = index
                    .checked_sub(1)
                    .map(|below| &stack.slices[below].slots.fines);
                let mut below = below.into_iter().flatten();
                let may_be_raised = below.any(|held| held.kind == kind);
                !slice.pieces.is_empty()
                    && (may_be_raised || above.any(|above| is_at_home(above, kind)))
            };
            let kinds: Vec<usize> = slice.slots.fines.iter().map(|held| held.kind).collect();
            let wanted: Vec<usize> = (0..stack.fines.len())
                .filter(|kind| is_at_home(index, *kind) || may_come(*kind))
                .collect();
            assert_eq!(kinds, wanted, "{}, slice {index}", bed.name());
            assert_eq!(slice.cohesive_kg.len(), kinds.len());
            rooms += kinds.len();
        }
        let all = stack.slices.len() * stack.fines.len();
        println!("{}: {rooms} of {all}", bed.name());
        // Where each slice has a skeleton, fines of each kind may come to all.
        let has_soil = stack.slices.iter().any(|slice| slice.pieces.is_empty());
        assert!(rooms < all || !has_soil, "{rooms} {all}");
    }
}

/// The widths of defaults take no more forecasts than allowed for the size of the bed; they are
/// reported for the defaults that most of the fill depends on, and the others say that they
/// were left out. Of usual beds none is.
#[test]
fn widths_are_of_what_most_of_the_fill_rests_on() {
    let bed = largest_bed(None);
    let counter = Counter::default();
    let defaults = defaults_with_widths(&bed, 1, &|done, of| counter.count(done, of)).unwrap();
    let most = u32::try_from(most_figures(&bed)).unwrap();
    assert_eq!((counter.done(), most), (12, 12));
    let left_out = defaults.iter().filter(|it| it.is_width_left_out);
    let told = defaults.iter().filter(|it| it.width_it_adds_m.is_some());
    let (told, left) = (told.count(), left_out.clone().count());
    println!("{told} told, {left} left out");
    assert!(told > 100 && left > 100);
    assert!(left_out.clone().all(|it| it.width_it_adds_m.is_none()));
    let said = widths_left_out(&bed, &defaults).unwrap();
    let count = left_out.count().to_string();
    assert!(
        said.contains("800 ingredients") && said.contains(&count),
        "{said}"
    );
    for bed in [demo_bag(), demo_box()] {
        let defaults = defaults_with_widths(&bed, 1, &unwatched).unwrap();
        assert!(defaults.iter().all(|it| !it.is_width_left_out));
        assert_eq!(widths_left_out(&bed, &defaults), None);
    }
}

/// Without a given ensemble size, it gets fewer realisations, and this is reported.
#[test]
fn fewer_draws_are_made_and_said() {
    let bed = largest_bed(None);
    let count = Realisations::usual_count(&bed);
    assert_eq!(count, 20);
    let mut told = forecast(&bed, 0, &unwatched).unwrap();
    assert_eq!(fewer_draws(&bed, &told), None);
    told.ensemble_size = count;
    let said = fewer_draws(&bed, &told).unwrap();
    assert!(said.contains("20 beds in place of 64"), "{said}");
    for bed in [demo_bag(), demo_box()] {
        let mut told = forecast(&bed, 0, &unwatched).unwrap();
        for draws in [0, 20, Realisations::usual_count(&bed)] {
            told.ensemble_size = draws;
            assert_eq!(fewer_draws(&bed, &told), None);
        }
        assert_eq!(told.ensemble_size, Realisations::default().ensemble_size);
    }
}
