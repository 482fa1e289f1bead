//! Do heaps warm as heaps were seen to? Two observations that pull apart.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test fails by panicking and prints what it measured"
)]

mod support;

use moulder::bed::Bed;
use moulder::compile::compile;
use moulder::draw::Draw;
use moulder::forecast::weather_for;
use moulder_solve::march::March;
use moulder_solve::schedule::Schedule;
use support::read;

/// The warmest layer of each day, and the air of that day; degC.
fn warmest(bed: &Bed, days: u32) -> Vec<(f64, f64)> {
    let compiled = compile(bed, weather_for(bed, f64::from(days)), Draw::Middle).unwrap();
    let mut march = March::start(&compiled.stack, compiled.state.clone(), Schedule::default());
    (1..=days)
        .map(|day| {
            march.advance_to(f64::from(day));
            let layers = march.snapshot(0).layers;
            let warmest = layers
                .iter()
                .map(|layer| layer.temperature_c)
                .fold(f64::MIN, f64::max);
            (
                warmest,
                compiled.stack.weather.day(f64::from(day) - 0.5).mean_c,
            )
        })
        .collect()
}

/// Garden waste of 0.3 to 0.75 m3 in autumn never was more than a few degrees above the
/// air (a trial of an English garden society, reported at second hand).
#[test]
fn garden_waste_in_autumn_stays_cool() {
    for (side, height) in [("67 cm", "67 cm"), ("90 cm", "93 cm")] {
        let bed = read(&format!(
            "format = 1\nfilled = 2025-10-05\nclimate = \"Cambridge UK\"\n[bed]\nshape = \"box\"\n\
             width = \"{side}\"\nlength = \"{side}\"\nrim = \"1 m\"\n\
             [[layer]]\nput = [{{ material = \"mixed green waste\", amount = \"{height}\" }}]\n"
        ));
        let days = warmest(&bed, 60);
        let lift = days
            .iter()
            .map(|(warm, air)| warm - air)
            .fold(f64::MIN, f64::max);
        println!("garden waste, {side}: at most {lift:.1} degC above the air");
        assert!((0.5..10.0).contains(&lift), "{lift}");
    }
}

/// Ventilated bins of 200 L with food waste and dry leaves in Thailand were at 24-57 degC
/// inside (Karnchanawong & Suriyanon 2011, Resour. Conserv. Recycl. 55:548-553, abstract).
#[test]
fn kitchen_waste_in_the_tropics_warms() {
    let months = |value: f64| format!("[{}]", vec![value.to_string(); 12].join(", "));
    let bed = read(&format!(
        "format = 1\nfilled = 2026-03-01\n[climate]\nname = \"tropics\"\nlatitude = 18.8\n\
         high = {}\nlow = {}\nrain = {}\n[bed]\nshape = \"bag\"\nwidth = \"55 cm\"\n\
         length = \"55 cm\"\nrim = \"70 cm\"\n[[layer]]\nput = [\n\
         {{ material = \"kitchen vegetable waste\", amount = \"70 kg\" }},\n\
         {{ material = \"chopped deciduous leaves\", amount = \"10 kg\", moisture = \"dry\" }},\n]\n",
        months(33.0),
        months(22.0),
        months(90.0)
    ));
    let days = warmest(&bed, 40);
    let hottest = days.iter().map(|(warm, _)| *warm).fold(f64::MIN, f64::max);
    println!("kitchen waste, 200 L in the tropics: at most {hottest:.1} degC");
    assert!((32.0..=60.0).contains(&hottest), "{hottest}");
}
