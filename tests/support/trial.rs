//! Published or reported trials, and our figure for each; for the tests and for
//! `examples/validation`.
#![allow(
    clippy::unwrap_used,
    reason = "a trial that cannot be run is a fault of its bed"
)]

use moulder::internals::bed::EditBed as _;
use moulder::internals::bed::{Bed, Feed, Irrigation};
use moulder::internals::forecast::calendar::{days_to_month, month_day};
use moulder::internals::forecast::nitrogen::NitrogenYear;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::forecast::{Month, forecast};
use moulder::internals::model::compile::{Compiled, compile};
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::Simulation;

use super::{demo_bag, demo_box, read};

/// The nominal run of a bed, a row a month.
fn rows(bed: &Bed, months: u32) -> Vec<Month> {
    forecast(bed, months, &unwatched).unwrap().months
}

/// A box of one square metre in Cambridge.
pub(crate) fn box_with(layers: &str, more: &str) -> Bed {
    read(&format!(
        "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n{more}\n[bed]\n\
         shape = \"box\"\nwidth = \"1 m\"\nlength = \"1 m\"\nrim = \"60 cm\"\n{layers}"
    ))
}

/// The warmest layer of each day, and the air of that day; degC.
fn warmest(bed: &Bed, days: u32) -> Vec<(f64, f64)> {
    let compiled = compile(bed, weather_for(bed, f64::from(days)), Figures::nominal()).unwrap();
    let mut simulation = Simulation::new(
        &compiled.stack,
        compiled.state.clone(),
        StepSchedule::default(),
    );
    (1..=days)
        .map(|day| {
            simulation.advance_to(f64::from(day));
            let layers = simulation.snapshot().layers;
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

/// Largest excess over the air temperature of garden waste, tipped in autumn into a crate of
/// that width and height, in its first sixty days; degC.
pub(crate) fn garden_waste_lift_c(side: &str, height: &str) -> f64 {
    let bed = read(&format!(
        "format = 1\nfilled = 2025-10-05\nclimate = \"Cambridge UK\"\n[bed]\nshape = \"box\"\n\
         width = \"{side}\"\nlength = \"{side}\"\nrim = \"1 m\"\n\
         [[layer]]\nput = [{{ material = \"mixed green waste\", amount = \"{height}\" }}]\n"
    ));
    warmest(&bed, 60)
        .iter()
        .map(|(warm, air)| warm - air)
        .fold(f64::MIN, f64::max)
}

/// Maximum temperature of kitchen waste and dry leaves in an open bin of 200 L in the tropics
/// in forty days; degC.
pub(crate) fn kitchen_waste_hottest_c() -> f64 {
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
    warmest(&bed, 40)
        .iter()
        .map(|(warm, _)| *warm)
        .fold(f64::MIN, f64::max)
}

/// Most nitrogen immobilised by softwood chips in five years with nitrogen in large excess; kg
/// per tonne dry.
pub(crate) fn nitrogen_bound_by_chips_kg_per_t() -> f64 {
    let mut bed = box_with(
        "[[layer]]\nput = [{ material = \"softwood chips\", amount = \"100 kg dry\" }]\nthen = [\"watered\"]\n",
        "crop = \"none\"",
    );
    *bed.edit().fed = (0..60)
        .map(|month| Feed {
            on: month_day(bed.filled(), month),
            nitrogen_kg: 0.3,
            feed_share: None,
        })
        .collect();
    let rows = rows(&bed, 60);
    let bound = |row: &Month| row.nitrogen.organic_kg - rows[0].nitrogen.organic_kg;
    rows.iter().map(bound).fold(0.0, f64::max) / 0.1
}

/// Nitrogen available to a crop in its first year; g/m2: in soil, in soil over chips, and in
/// soil with the same chips dug in.
pub(crate) fn crop_finds_beside_chips_g_m2() -> [f64; 3] {
    let soil = "{ material = \"loamy topsoil\", amount = \"300 L\" }";
    let chips = "{ material = \"softwood chips\", amount = \"120 L\" }";
    let layer = |put: &str| format!("[[layer]]\nput = [{put}]\nthen = [\"watered\"]\n");
    let beds = [
        layer(soil),
        format!("{}{}", layer(chips), layer(soil)),
        layer(&format!("{soil}, {chips}")),
    ];
    beds.map(|layers| first_year(&box_with(&layers, "")).crop_uptake_g_m2)
}

/// The nitrogen of a crop's first year.
fn first_year(bed: &Bed) -> NitrogenYear {
    forecast(bed, 12, &unwatched).unwrap().nitrogen_years[0].clone()
}

/// The first year of a bag full of greens, the demo bag, and of a bed that is mostly wood.
pub(crate) fn years_of_greens_and_of_wood() -> [NitrogenYear; 2] {
    let woody = box_with(
        "[[layer]]\nput = [{ material = \"birch log\", amount = \"30 cm\" }]\n\
         [[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"12 cm\" }, { material = \"softwood chips\", amount = \"3 cm\" }]\n",
        "",
    );
    [first_year(&demo_bag()), first_year(&woody)]
}

/// Water content of the wood in a stack of green oak under a roof after three years, from the
/// driest part to the wettest; kg/kg dry.
pub(crate) fn roofed_oak_moisture() -> (f64, f64) {
    let mut bed = read(
        "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\nshape = \"bag\"\n\
         width = \"1 m\"\nlength = \"4 m\"\nrim = \"1.5 m\"\nbulged = \"100 %\"\n\
         [[layer]]\nput = [{ material = \"oak log\", amount = \"120 cm\" }]\n",
    );
    *bed.edit().irrigation = Some(Irrigation {
        litres_per_week: 0.0,
        from: 5,
        to: 9,
        rain_share: 0.0,
    });
    let days = days_to_month(bed.filled(), 36);
    let Compiled { stack, state } =
        compile(&bed, weather_for(&bed, days), Figures::nominal()).unwrap();
    let mut simulation = Simulation::new(&stack, state, StepSchedule::default());
    simulation.advance_to(days);
    let mut measures = Vec::new();
    stack.measure(simulation.state(), simulation.days(), &mut measures);
    let moistures =
        stack.slices.iter().zip(&measures).map(|(slice, measure)| {
            simulation.state().rows[slice.slots.wood_water] / measure.wood_kg
        });
    moistures.fold((f64::MAX, f64::MIN), |(least, most), moisture| {
        (least.min(moisture), most.max(moisture))
    })
}

/// Settlement rate of a bed of topsoil from its fifth year to its tenth; cm/yr.
pub(crate) fn topsoil_sinks_cm_per_year() -> f64 {
    let bed = box_with(
        "[[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"55 cm\" }]\nthen = [\"watered\"]\n",
        "",
    );
    let rows = rows(&bed, 120);
    100.0 * (rows[120].settlement_m - rows[60].settlement_m) / 5.0
}

/// Settlement of loose topsoil in a year by settling alone; share of its loose height.
pub(crate) fn loose_topsoil_settles() -> f64 {
    let bed = box_with(
        "[[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"30 cm\" }]\n",
        "",
    );
    rows(&bed, 12)[12].parts.mechanical_m / 0.30
}

/// Settlement of the demo bulk bag in six months; share of its height.
pub(crate) fn demo_bag_sinks_in_six_months() -> f64 {
    let rows = rows(&demo_bag(), 6);
    rows[6].settlement_m / rows[0].height_m
}

/// Settlement of the demo box in its first year; cm.
pub(crate) fn demo_box_sinks_in_a_year_cm() -> f64 {
    100.0 * rows(&demo_box(), 12)[12].settlement_m
}
