//! Designs under the same draws.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test fails by panicking and prints what it measured"
)]

mod support;

use moulder::bed::Bed;
use moulder::compare::compare;
use moulder::forecast::forecast;
use moulder::uncertain::{Draws, forecast_with_bands};
use moulder::watcher::Unwatched;
use support::{assert_close, demo_box, read};

fn draws(count: u32) -> Draws {
    Draws {
        count,
        ..Draws::default()
    }
}

fn bases() -> [Bed; 2] {
    [
        read(include_str!("../examples/beds/hardwood-base.toml")),
        read(include_str!("../examples/beds/softwood-base.toml")),
    ]
}

/// A bed beside itself differs by nothing, whatever is drawn.
#[test]
fn a_bed_is_as_itself() {
    let beds = [demo_box(), demo_box()];
    let compared = compare(&beds, 12, draws(20), &mut Unwatched).unwrap();
    let second = &compared.designs[1];
    let less = second.less_the_first.unwrap();
    for band in [less.sunk_m, less.carbon_kg, less.short_months] {
        assert_close(band.low, 0.0, 0.0, 0.0);
        assert_close(band.high, 0.0, 0.0, 0.0);
    }
    assert_close(second.chance_it_sinks_less.unwrap(), 0.0, 0.0, 0.0);
    assert_eq!(second.is, compared.designs[0].is);
}

/// The first design has the bands of its own forecast; what both share falls out of the
/// difference, so that it is surer than either sink; the same draws give the same bytes.
#[test]
fn shared_draws_make_a_surer_difference() {
    let beds = bases();
    let compared = compare(&beds, 24, draws(60), &mut Unwatched).unwrap();
    let alone = forecast_with_bands(&beds[0], 24, draws(60), &mut Unwatched).unwrap();
    assert_eq!(compared.designs[0].is.sunk_m, alone.bands[24].sunk_m);
    let width = |band: moulder::bands::Band| band.high - band.low;
    let [first, second] = [0, 1].map(|index| width(compared.designs[index].is.sunk_m));
    let less = width(compared.designs[1].less_the_first.unwrap().sunk_m);
    println!(
        "sinks lie within {:.1} and {:.1} cm, their difference within {:.1} cm",
        100.0 * first,
        100.0 * second,
        100.0 * less
    );
    assert!(less < 0.6 * first.min(second), "{less} {first} {second}");
    let again = compare(&beds, 24, draws(60), &mut Unwatched).unwrap();
    assert_eq!(compared, again);
    let middle = forecast(&beds[1], 24, &mut Unwatched).unwrap();
    assert_close(
        compared.designs[1].sunk_middle_m,
        middle.months[24].sunk_m,
        0.0,
        0.0,
    );
}

#[test]
fn a_comparison_without_draws_is_refused() {
    assert!(compare(&bases(), 12, draws(0), &mut Unwatched).is_err());
}
