//! Nitrogen and bioturbation, against measurements elsewhere.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test fails by panicking and prints what it measured"
)]

mod support;

use moulder::internals::bed::Bed;
use moulder::internals::bed::EditBed as _;
use moulder::internals::feeding::feeding;
use moulder::internals::fit::current::current_forecast;
use moulder::internals::forecast::calendar::days_to_month;
use moulder::internals::forecast::nitrogen::Suits;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::forecast::{Forecast, forecast};
use moulder::internals::library::Library;
use moulder::internals::library::crop::Crop;
use moulder::internals::model::compile::compile;
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::Simulation;
use support::trial::{
    box_with, crop_finds_beside_chips_g_m2, nitrogen_bound_by_chips_kg_per_t,
    topsoil_sinks_cm_per_year, years_of_greens_and_of_wood,
};
use support::{demo_bag, demo_box, read};

fn forecast_of(bed: &Bed, months: u32) -> Forecast {
    forecast(bed, months, &unwatched).unwrap()
}

/// McKenzie 1958, Aust. J. Agric. Res. 9:664-679 (read at second hand): wood with nitrogen to
/// spare immobilised at most 16, 14 and 10 kg of nitrogen per tonne dry (two eucalypts and
/// radiata pine), most of it within weeks for sawdust. Ours stays below the highest and
/// immobilises more than a few.
#[test]
fn wood_binds_no_more_nitrogen_than_was_measured() {
    let most = nitrogen_bound_by_chips_kg_per_t();
    println!("chips: {most:.1} kg N a tonne bound at most");
    assert!((1.0..16.0).contains(&most), "{most}");
}

/// Chips dug into the root zone deprive the crop of nitrogen in the first year; under it they
/// hardly do (common practice, no source).
#[test]
fn chips_in_the_soil_rob_the_crop_and_chips_below_do_not() {
    let [plain, below, mixed] = crop_finds_beside_chips_g_m2();
    println!(
        "crop finds {plain:.1} g/m2 in soil, {below:.1} over chips, {mixed:.1} in soil with chips"
    );
    assert!(mixed < 0.75 * plain, "{mixed} {plain}");
    assert!(below > 0.85 * plain, "{below} {plain}");
}

/// A bed full of greens feeds demanding crops first (advice of the German-speaking trade); one
/// that is mostly wood suits modest ones (American advice): each bed gets its crop (common
/// practice, no source).
#[test]
fn both_schools_of_advice_come_out() {
    let [green, woody] = years_of_greens_and_of_wood();
    println!(
        "greens: {:.1} of {:.1} g/m2; wood: {:.1} of {:.1} g/m2",
        green.crop_uptake_g_m2,
        green.crop_demand_g_m2,
        woody.crop_uptake_g_m2,
        woody.crop_demand_g_m2
    );
    assert_eq!(green.suits, Suits::Hungry);
    assert_ne!(woody.suits, Suits::Hungry);
}

/// The advised doses work: with exactly these in the bed no shortage is told, for every demo bed,
/// crop and three climates, or the advice says that it may run short even so; half of
/// them is too little for many. A shortage below half a gram in all is not
/// told (`moulder_words::nitrogen`).
#[test]
fn the_feed_that_is_advised_covers_the_want() {
    let library = Library::built_in();
    let (mut fed_beds, mut lacking, mut halves) = (0, 0, 0);
    let mut still_short = Vec::new();
    for text in [
        include_str!("../examples/beds/bulk-bag.toml"),
        include_str!("../examples/beds/log-box.toml"),
        include_str!("../examples/beds/hardwood-base.toml"),
        include_str!("../examples/beds/softwood-base.toml"),
        include_str!("../examples/beds/school/form-beds.toml"),
        include_str!("../examples/beds/school/herb-rings.toml"),
    ] {
        for climate in ["Cambridge UK", "Seattle US", "Alice Springs AU"] {
            let climate = library.climate(climate).unwrap();
            for crop in [Crop::Hungry, Crop::Modest, Crop::None] {
                let bed = read(text).with_climate(climate).unwrap();
                let bed = bed.with_crop(crop);
                let advice = feeding(&bed, bed.filled(), 16, 1, &unwatched).unwrap();
                let short = |times: f64| {
                    let fed = advice.given_to(&bed, times);
                    let ensemble = Realisations::default();
                    let forecast = current_forecast(&fed, 12, ensemble, &unwatched).unwrap();
                    let years = forecast.nitrogen_years;
                    let told = years.first().filter(|year| year.lacking_g >= 0.5);
                    told.map_or(0, |year| year.short_months.len())
                };
                // Where even the most at once is too little, the advice says so.
                lacking += u32::from(!advice.is_enough);
                if advice.is_enough && short(1.0) > 0 {
                    still_short.push(format!("{} {crop:?} {}", bed.name(), climate.name));
                }
                let all_g: f64 = advice.doses.iter().map(|dose| dose.nitrogen_g).sum();
                println!("{}, {crop:?}, {}: {all_g:.1} g", bed.name(), climate.name);
                if all_g > 5.0 && advice.is_enough {
                    fed_beds += 1;
                    halves += u32::from(short(0.5) > 0);
                }
            }
        }
    }
    println!("{lacking} of {fed_beds} may run short even so");
    // Doses are found by 16 realisations and judged by 64 others: two of the 54 differ.
    assert!(still_short.len() <= 2, "{still_short:?}");
    println!("half of it is too little for {halves}");
    assert!(
        fed_beds > 10 && lacking < fed_beds,
        "{lacking} of {fed_beds}"
    );
    assert!(3 * halves > fed_beds, "{halves} of {fed_beds}");
}

/// Bioturbation brings humus up from below, conserves it, and grows with the activity of soil
/// animals.
#[test]
fn soil_animals_bring_humus_to_the_roots() {
    let bed = demo_bag();
    let days = days_to_month(bed.filled(), 60);
    let humus_of_top = |liveliness: f64| {
        let mut compiled = compile(&bed, weather_for(&bed, days), Figures::nominal()).unwrap();
        compiled.stack.parameters.bioturbation_m2_per_day *= liveliness;
        let stack = &compiled.stack;
        let carbon_kg = stack.carbon_kg(&compiled.state);
        let mut simulation =
            Simulation::new(stack, compiled.state.clone(), StepSchedule::default());
        simulation.advance_to(days);
        assert!((stack.carbon_kg(simulation.state()) / carbon_kg - 1.0).abs() < 1e-9);
        let top = stack.slices.iter().filter(|slice| slice.layer == 3);
        top.map(|slice| simulation.state().rows[slice.slots.humus])
            .sum::<f64>()
    };
    let [none, usual, lively] = [0.0, 1.0, 5.0].map(humus_of_top);
    println!("humus in the topsoil after five years: {none:.4}, {usual:.4}, {lively:.4} kg");
    assert!(none < usual && usual < lively, "{none} {usual} {lively}");
}

/// Dutch peat grassland subsides 0.2-1.7 cm a year by decay (Wageningen Environmental Research
/// report 3420, 2025, read at second hand): a bed of mineral soil, settled, subsides slower.
#[test]
fn mineral_soil_sinks_slower_than_peat() {
    let cm_a_year = topsoil_sinks_cm_per_year();
    println!("mineral soil sinks {cm_a_year:.3} cm a year after its fifth");
    assert!(cm_a_year > 0.0 && cm_a_year < 0.2, "{cm_a_year}");
}

/// Where nothing grows no year is judged, and mineralised nitrogen leaches from the bed.
#[test]
fn a_bare_bed_feeds_nobody() {
    let mut bed = demo_box();
    *bed.edit().crop = Crop::None;
    let bare = forecast_of(&bed, 12);
    assert!(bare.nitrogen_years.is_empty());
    assert!(
        bare.months
            .iter()
            .all(|row| row.nitrogen.crop_uptake_g_m2 == 0.0 && !row.nitrogen.is_short)
    );
    *bed.edit().crop = Crop::Hungry;
    let leached = |forecast: &Forecast| -> f64 {
        forecast
            .months
            .iter()
            .map(|row| row.nitrogen.leached_g_m2)
            .sum()
    };
    let grown = forecast_of(&bed, 12);
    assert!(leached(&bare) > leached(&grown));
}

/// Feed and water reach the bed in full on every shape: boards, a round bed, a bag that bulges,
/// a mound, and a mound with an addition.
#[test]
fn what_is_given_comes_to_every_shape() {
    let shapes = [
        "shape = \"box\"\nwidth = \"1 m\"\nlength = \"1.5 m\"\nrim = \"60 cm\"",
        "shape = \"round\"\nacross = \"1.4 m\"\nrim = \"60 cm\"",
        "shape = \"bag\"\nwidth = \"90 cm\"\nlength = \"90 cm\"\nrim = \"90 cm\"",
        "shape = \"mound\"\nwidth = \"1.5 m\"\nlength = \"3 m\"\nslope = \"45 deg\"",
    ];
    let added = "[[added]]\non = 2026-06-01\nmaterial = \"loamy topsoil\"\namount = \"150 L\"\n";
    for (shape, later) in shapes
        .into_iter()
        .flat_map(|shape| [(shape, ""), (shape, added)])
    {
        let bed = |fed: &str| {
            let bed = read(&format!(
                "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\ncrop = \"none\"\n[bed]\n{shape}\n\
                 [[layer]]\nput = [{{ material = \"woody prunings\", amount = \"20 cm\" }}]\n\
                 [[layer]]\nput = [{{ material = \"loamy topsoil\", amount = \"20 cm\" }}]\n{later}{fed}"
            ));
            let last = forecast_of(&bed, 9);
            let area_m2 = bed.shape().area_m2();
            let rows = &last.months;
            let leached: f64 = rows.iter().map(|row| row.nitrogen.leached_g_m2).sum();
            let end = &rows[9].nitrogen;
            end.organic_kg + end.mineral_kg + leached * area_m2 / 1000.0
        };
        let fed = "[[fed]]\non = 2026-07-10\nnitrogen = \"1 kg\"\n";
        let came = bed(fed) - bed("");
        assert!((came - 1.0).abs() < 1e-9, "{shape} {later}: {came}");
    }
}

/// A bed whose modest crop is fed to its full demand is not reported as fit for peas alone, on
/// a thin bed as well.
#[test]
fn a_fed_bed_is_not_called_hungry() {
    let bed = box_with(
        "[[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"15 cm\" }]\n",
        "crop = \"modest\"\n[[fed]]\non = 2026-04-01\nnitrogen = \"600 g\"\n",
    );
    let year = &forecast_of(&bed, 12).nitrogen_years[0];
    assert_ne!(year.suits, Suits::Peas);
    assert!(year.lacking_g >= 0.0 && year.lacking_g.is_sign_positive());
}
