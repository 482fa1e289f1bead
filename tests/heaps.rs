//! Do heaps heat as observed? Two observations that bound it from both sides.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test fails by panicking and prints what it measured"
)]

mod support;

use support::trial::{garden_waste_lift_c, kitchen_waste_hottest_c};

/// Garden waste of 0.3 to 0.75 m3 in autumn never exceeded the air by more than a few degrees
/// (a trial of an English garden society, reported at second hand).
#[test]
fn garden_waste_in_autumn_stays_cool() {
    for (side, height) in [("67 cm", "67 cm"), ("90 cm", "93 cm")] {
        let lift = garden_waste_lift_c(side, height);
        println!("garden waste, {side}: at most {lift:.1} degC above the air");
        assert!((0.5..10.0).contains(&lift), "{lift}");
    }
}

/// Ventilated bins of 200 L with food waste and dry leaves in Thailand were at 24-57 degC
/// inside (Karnchanawong & Suriyanon 2011, Resour. Conserv. Recycl. 55:548-553, abstract).
#[test]
fn kitchen_waste_in_the_tropics_warms() {
    let hottest = kitchen_waste_hottest_c();
    println!("kitchen waste, 200 L in the tropics: at most {hottest:.1} degC");
    assert!((32.0..=60.0).contains(&hottest), "{hottest}");
}
