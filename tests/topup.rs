//! Top-ups: additions are accounted for, and the plan is as requested.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test fails by panicking and prints what it measured"
)]

mod support;

use std::ops::ControlFlow;

use jiff::civil::date;
use moulder::internals::bed::EditBed as _;
use moulder::internals::bed::{Addition, Amount, Bed, Ingredient, Placement, Reading};
use moulder::internals::fault::error::Error;
use moulder::internals::forecast::forecast;
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::ledger::saving::saving;
use moulder::internals::ledger::{Ledger, ledger};
use moulder::internals::library::Library;
use moulder::internals::library::material::{Material, wet_share};
use moulder::internals::model::compile::{compile, lay_on};
use moulder::internals::model::figures::Figures;
use moulder::internals::model::weather::weather_for;
use moulder::internals::numeric::interval::Interval;
use moulder::internals::topup::overfill::{allowance, overfill, overfill_intervals};
use moulder::internals::topup::{
    Buying, Package, PooledOrder, TopUpIntervals, TopUpRule, TopUpTrigger, TopUps, nominal_top_ups,
    pooled_orders, top_ups_of_all, top_ups_with_intervals,
};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use moulder::internals::uncertainty::parameter::UncertainParameters;
use moulder::internals::uncertainty::realisation::months_of_realisation;
use moulder::internals::uncertainty::realisation::months_of_sample;
use moulder::internals::uncertainty::sample::Sample;
use moulder_core::bed::stack::Stack;
use moulder_core::bed::state::State;
use moulder_solve::reference::{Tolerance, integrate, integrate_from};
use moulder_solve::schedule::StepSchedule;
use moulder_solve::simulation::Simulation;
use moulder_solve::snapshot::Snapshot;
use moulder_solve::split::Split;
use support::trial::loose_topsoil_settles;
use support::{Counter, assert_close, demo_bag, demo_box, read};

fn material(name: &str) -> Material {
    Library::built_in().find_material(name).unwrap().clone()
}

fn rule(policy: TopUpTrigger) -> TopUpRule {
    TopUpRule {
        trigger: policy,
        material: material("loamy topsoil"),
        package: Package::new("bag", 0.04)
            .price(4.5)
            .delivery(10.0)
            .lead_days(60),
        most_m: None,
        yearly_budget: None,
        from: None,
        months: 36,
    }
}

fn planned(bed: &Bed, rule: &TopUpRule) -> TopUps {
    nominal_top_ups(bed, rule, &unwatched).unwrap()
}

/// The height raised is what is left, what the top-ups lost, and what the fill below lost under
/// them, to 1e-9; and each brings the surface to the rim.
#[test]
fn what_was_laid_on_is_accounted_for() {
    for bed in [demo_bag(), demo_box()] {
        for policy in [
            TopUpTrigger::Months(vec![3, 10]),
            TopUpTrigger::BelowRimM(0.05),
            TopUpTrigger::SoilDepthM(0.18),
        ] {
            let topups = planned(&bed, &rule(policy.clone()));
            let kept = &topups.restored;
            println!(
                "{}, {policy:?}: {} top-ups, raised {:.1} cm, restored {:.1}, own {:.1}, below {:.1}",
                bed.name(),
                topups.top_ups.len(),
                100.0 * kept.raised_m,
                100.0 * kept.restored_m,
                100.0 * kept.own_loss_m,
                100.0 * kept.loss_below_m
            );
            assert!(!topups.top_ups.is_empty());
            let sum = kept.restored_m + kept.own_loss_m + kept.loss_below_m;
            assert_close(kept.raised_m, sum, 0.0, 1e-9);
            let restored = topups.below_without_m - topups.below_at_end_m;
            assert_close(kept.restored_m, restored, 0.0, 1e-9);
            for topup in &topups.top_ups {
                if matches!(policy, TopUpTrigger::Months(_) | TopUpTrigger::BelowRimM(_)) {
                    assert_close(topup.below_after_m, 0.0, 0.0, 1e-7);
                }
                assert!(!topup.is_held_back);
            }
            // All that was bought was added or is left over.
            let bought_m3 = f64::from(topups.bought()) * topups.package.volume_m3;
            let left_m3 = topups.top_ups.last().unwrap().left_over_m3;
            assert_close(bought_m3, topups.laid_m3() + left_m3, 0.0, 1e-9);
            assert!(left_m3 < topups.package.volume_m3);
        }
    }
}

/// Each policy does what it says.
#[test]
fn policies_keep_their_word() {
    let bed = demo_box();
    let months = planned(&bed, &rule(TopUpTrigger::Months(vec![3, 10])));
    for topup in &months.top_ups {
        let date = topup.date;
        assert!([3, 10].contains(&date.month()));
        let order = topup.order_by.unwrap_or(date);
        assert!(topup.bought == 0 || date.since(order).unwrap().get_days() == 60);
    }
    let below = planned(&bed, &rule(TopUpTrigger::BelowRimM(0.05)));
    assert!(
        below
            .top_ups
            .iter()
            .all(|topup| topup.below_before_m > 0.05)
    );
    let mut short = rule(TopUpTrigger::Months(vec![3]));
    short.most_m = Some(0.05);
    let crowns = planned(&bed, &short);
    for topup in &crowns.top_ups {
        assert!(topup.below_before_m - topup.below_after_m < 0.05 + 1e-7);
    }
    assert!(crowns.top_ups[0].is_held_back);
    let mut poor = rule(TopUpTrigger::Months(vec![3, 10]));
    poor.yearly_budget = Some(25.0);
    let spent = planned(&bed, &poor);
    for year in 2025..2030 {
        let of_year = spent
            .top_ups
            .iter()
            .filter(|topup| topup.date.year() == year);
        let money: f64 = of_year.map(|topup| topup.cost.unwrap()).sum();
        assert!(money <= 25.0, "{year}: {money}");
    }
    assert!(spent.top_ups.iter().any(|topup| topup.is_held_back));
    assert!(spent.below_at_end_m > months.below_at_end_m);
}

/// Without settlement, fines migration or decay, no top-up is ever due.
#[test]
fn what_does_not_sink_needs_no_topping_up() {
    let mut bed = read(
        "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\nshape = \"box\"\n\
         width = \"1 m\"\nlength = \"1 m\"\nrim = \"50 cm\"\n\
         [[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"50 cm\" }]\n",
    );
    let still = &mut bed.edit().layers[0].put[0].material;
    still.compression.best = 0.0;
    still.collapse_tipped.best = 0.0;
    still.collapse_trodden.best = 0.0;
    for pool in &mut still.pools {
        for rate in &mut pool.rates {
            rate.rate.best = 1e-12;
        }
    }
    for policy in [
        TopUpTrigger::Months((1..=12).collect()),
        TopUpTrigger::BelowRimM(0.01),
        TopUpTrigger::SoilDepthM(0.49),
    ] {
        let topups = planned(&bed, &rule(policy));
        assert_eq!(topups.top_ups, Vec::new());
        assert!(topups.below_at_end_m.abs() < 1e-6 && topups.refill_from.is_none());
    }
}

fn added(on: &str, material: &Material, volume_m3: f64) -> Addition {
    Addition {
        on: on.parse().unwrap(),
        ingredient: Ingredient {
            amount: Amount::VolumeM3(volume_m3),
            placement: Placement::Loose,
            particle_size_m: material.particle_size.best,
            moisture_wet: wet_share(&material.moisture),
            rotten: 0.0,
            material: material.clone(),
        },
    }
}

/// A document with the additions gives the bed that the plan forecast.
#[test]
fn a_plan_carried_out_is_as_it_was_planned() {
    let bed = demo_bag();
    let planned = planned(&bed, &rule(TopUpTrigger::Months(vec![3])));
    let mut done = bed.clone();
    let soil = material("loamy topsoil");
    *done.edit().additions = planned
        .top_ups
        .iter()
        .map(|topup| added(&topup.date.to_string(), &soil, topup.laid_m3))
        .collect();
    let told = forecast(&done, 36, &unwatched).unwrap();
    let end = told.months.last().unwrap();
    assert_close(end.below_rim_m.unwrap(), planned.below_at_end_m, 0.0, 1e-9);
    assert_close(end.added_m, planned.restored.raised_m, 0.0, 1e-9);
    assert_eq!(
        told.layers.len(),
        bed.layers().len() + planned.top_ups.len()
    );
    for row in &told.months {
        assert_eq!(row.layers.len(), told.layers.len());
        assert_close(row.parts.sum_m(), row.settlement_m, 0.0, 1e-9);
    }
}

/// Additions of one day are made in the order of the file; one load or two halves of it is the
/// same to a third of a millimetre, and additions before the first row count as filled.
#[test]
fn the_order_of_a_day_is_that_of_the_file() {
    let soil = material("loamy topsoil");
    let compost = material("garden compost");
    let with = |list: Vec<Addition>| {
        let mut bed = demo_box();
        *bed.edit().additions = list;
        forecast(&bed, 24, &unwatched).unwrap()
    };
    let day = "2026-04-20";
    let whole = with(vec![added(day, &soil, 0.2)]);
    let halves = with(vec![added(day, &soil, 0.1), added(day, &soil, 0.1)]);
    let end_m = |told: &moulder::internals::forecast::Forecast| told.months[24].height_m;
    assert_close(end_m(&whole), end_m(&halves), 0.0, 3e-4);
    let one = with(vec![added(day, &soil, 0.1), added(day, &compost, 0.1)]);
    let other = with(vec![added(day, &compost, 0.1), added(day, &soil, 0.1)]);
    assert!(one.layers[5].starts_with("loamy") && other.layers[5].starts_with("garden"));
    assert_close(one.months[7].added_m, other.months[7].added_m, 0.0, 1e-9);
    let first = with(vec![added("2025-10-18", &soil, 0.1)]);
    assert!(first.months[0].added_m > 0.03 && first.months[0].settlement_m.abs() < 1e-9);
}

/// Overfilled as advised, a bed is level at the given time.
#[test]
fn a_heaped_bed_is_level_in_time() {
    let soil = material("loamy topsoil");
    for (bed, months) in [(demo_box(), 12), (demo_bag(), 6)] {
        let heaped = overfill(&bed, &soil, months).unwrap().unwrap();
        let mut more = bed.clone();
        *more.edit().additions = vec![added(&bed.filled().to_string(), &soil, heaped.more_m3)];
        let told = forecast(&more, months, &unwatched).unwrap();
        let end_m = told.months.last().unwrap().below_rim_m.unwrap();
        println!(
            "{}: {:.1} cm more, {:.2} mm off",
            bed.name(),
            100.0 * heaped.more_m,
            1e3 * end_m
        );
        assert!(end_m.abs() < 1e-3);
        assert_close(
            heaped.above_rim_m,
            -told.months[0].below_rim_m.unwrap(),
            0.0,
            1e-9,
        );
    }
}

/// Deliveries on given days gather what is needed until the next; what a budget leaves out is wanted
/// with the next order; two ways to buy cost no more than either alone.
#[test]
fn orders_wait_for_the_lorry() {
    let bags = Package::new("bag", 0.04).price(5.98);
    let loads = Package::new("load", 0.5).price(30.0).delivery(20.0);
    let plans = [demo_bag(), demo_box()].map(|bed| {
        let rule = rule(TopUpTrigger::BelowRimM(0.05));
        planned(
            &bed,
            &TopUpRule {
                package: bags.clone(),
                ..rule
            },
        )
    });
    let needed = |plan: &TopUps| {
        plan.top_ups
            .iter()
            .map(|topup| topup.needed_m3)
            .sum::<f64>()
    };
    let all_m3: f64 = plans.iter().map(needed).sum();
    let buy = |ways: &[&Package], deliver_on: &[(i8, i8)], yearly_budget| {
        let ways = ways.iter().map(|way| (*way).clone()).collect();
        let buying = Buying {
            deliver_on: deliver_on.to_vec(),
            yearly_budget,
            ..Buying::in_one_of(ways)
        };
        pooled_orders(&plans, &buying).unwrap()
    };
    let laid = |orders: &[PooledOrder]| orders.iter().map(|order| order.laid_m3).sum::<f64>();
    let as_needed = buy(&[&bags, &loads], &[], None);
    let twice = buy(&[&bags, &loads], &[(2, 31), (9, 1)], None);
    for orders in [&as_needed, &twice] {
        assert_close(laid(orders), all_m3, 1e-9, 0.0);
    }
    assert!(
        twice.len() < as_needed.len(),
        "{} {}",
        twice.len(),
        as_needed.len()
    );
    // The last day of a month that has no 31st.
    let mut days = twice
        .iter()
        .map(|order| (order.date.month(), order.date.day()));
    assert!(days.all(|day| day == (9, 1) || day.0 == 2 && day.1 >= 28));
    // Nothing comes after it is needed.
    let due = plans
        .iter()
        .flat_map(|plan| &plan.top_ups)
        .map(|topup| topup.date);
    assert!(twice[0].date <= due.min().unwrap());
    for one in [&bags, &loads] {
        let alone = buy(&[one], &[], None);
        assert!(as_needed[0].cost.unwrap() <= alone[0].cost.unwrap() + 1e-9);
    }
    let poor = buy(&[&bags, &loads], &[], Some(30.0));
    assert!(poor[0].is_held_back && laid(&poor) < all_m3);
    let spent = |year: i16| {
        let of_year = poor.iter().filter(|order| order.date.year() == year);
        of_year.filter_map(|order| order.cost).sum::<f64>()
    };
    assert!((2025..2030).all(|year| spent(year) <= 30.0));
    // What the orders of a year leave out is wanted with those of the next.
    let of_year = |orders: &[PooledOrder], year: i16| {
        let of_year = orders.iter().filter(|order| order.date.year() == year);
        of_year.map(|order| order.laid_m3).sum::<f64>()
    };
    let (plenty, tight) = (buy(&[&bags], &[], None), buy(&[&bags], &[], Some(60.0)));
    let years: Vec<_> = (2026..2029)
        .map(|year| (of_year(&plenty, year), of_year(&tight, year)))
        .collect();
    let [first, second, _] = years.as_slice() else {
        panic!("{years:?}");
    };
    assert!(first.1 < first.0 && second.1 > second.0, "{years:?}");
    assert_close(first.1 + second.1, first.0 + second.0, 1e-9, 0.0);
    let refused = |ways| pooled_orders(&plans, &Buying::in_one_of(ways)).is_err();
    assert!(refused(vec![bags.clone(), Package::new("load", 1.0)]));
    assert!(refused(Vec::new()));
    assert!(refused(vec![Package {
        least: 5,
        most: Some(2),
        ..bags.clone()
    }]));
}

/// A cube of 0.9 m filled to the brim is 729 L (geometry); the allowance and the saving are
/// shares of the bed's content.
#[test]
fn allowances_and_savings_are_within_the_bed() {
    let bed = demo_bag();
    assert_close(
        bed.shape().area_m2() * bed.rim_m().unwrap(),
        0.729,
        0.0,
        1e-12,
    );
    let as_filled = forecast(&bed, 36, &unwatched).unwrap();
    let allowed = allowance(&bed, &as_filled);
    let all_m3 = allowed.tipping_m3 + allowed.first_season_m3 + allowed.later_m3;
    assert_close(all_m3, as_filled.months[36].settlement_m * 0.81, 0.0, 1e-12);
    assert!(allowed.tipping_m3 > allowed.later_m3 && all_m3 < 0.753);
    let topups = planned(&bed, &rule(TopUpTrigger::Months(vec![3])));
    let book = ledger(&bed, 36, &unwatched).unwrap();
    let saved = saving(&bed, &as_filled, &topups).unwrap();
    assert!(saved.held_co2_kg > 0.0 && saved.held_co2_kg < saved.burnt_co2_kg);
    // The ledger says the same.
    assert_close(saved.burnt_co2_kg, book.burning.unwrap().co2_kg, 1e-9, 0.0);
    let share = book.rows.last().unwrap().wood_share.unwrap();
    assert_close(saved.held_co2_kg / saved.burnt_co2_kg, share, 1e-3, 0.0);
    assert_close(saved.net_m3, saved.mix_m3 - topups.laid_m3(), 0.0, 1e-12);
    assert!(saved.mix_m3 < 0.729 && saved.kept_m3 > saved.mix_m3 && saved.trips > 0);
}

/// Re-settling of loose topsoil is bounded by the bulking of dug soil, 9-29 % of its loose
/// volume (UFC 3-220-20, a transcription): a top-up's own settlement in its first year stays
/// below that, without decay and fines migration.
#[test]
fn loose_topsoil_settles_within_its_bulking() {
    let share = loose_topsoil_settles();
    println!("loose topsoil settles by {:.1} %", 100.0 * share);
    assert!((0.09..0.29).contains(&share), "{share}");
}

/// The fast path across an addition is within 1 mm and 0.1 % of carbon of the reference path
/// with the same addition.
#[test]
fn an_addition_is_as_the_reference_has_it() {
    let bed = demo_box();
    let (on, end) = (180.0, 400.0);
    let layer = added("2026-04-16", &material("loamy topsoil"), 0.15).layer();
    let compiled = compile(&bed, weather_for(&bed, end), Figures::nominal()).unwrap();
    let laid = |state: &State, stack: &Stack| {
        lay_on(
            &bed,
            stack,
            state,
            on,
            &layer,
            bed.layers().len(),
            Figures::nominal(),
        )
        .unwrap()
    };
    let mut simulation = Simulation::new(
        &compiled.stack,
        compiled.state.clone(),
        StepSchedule::default(),
    );
    simulation.advance_to(on);
    let mut checkpoint = simulation.checkpoint();
    let more = laid(&checkpoint.state, &compiled.stack);
    checkpoint.state = more.state;
    let mut simulation = Simulation::resume(&more.stack, checkpoint);
    simulation.advance_to(end);
    let fast = simulation.snapshot();

    let tolerance = Tolerance::new(1e-7);
    let before = integrate(&compiled.stack, &compiled.state, &[on], tolerance).unwrap();
    let more = laid(&before.states[0], &compiled.stack);
    let after = integrate_from(&more.stack, &more.state, on, &[end], tolerance).unwrap();
    let exact = Snapshot::take(&more.stack, &after.states[0], &Split::default(), end);
    let off_mm = 1e3 * (fast.height_m - exact.height_m).abs();
    let off_carbon = (fast.carbon_kg() / exact.carbon_kg() - 1.0).abs();
    println!(
        "an addition: {off_mm:.3} mm, {:.4} % of carbon",
        100.0 * off_carbon
    );
    assert!(off_mm < 1.0 && off_carbon < 1e-3);
    let nitrogen = |now: &Snapshot| now.organic_nitrogen_kg() + now.mineral_nitrogen_kg();
    assert_close(nitrogen(&fast), nitrogen(&exact), 1e-3, 0.0);
}

/// A budget below the delivery cost buys nothing, and says so; soil is not replaced by chips; a
/// mulch covers no soil; a mound is topped up to its peak at most.
#[test]
fn the_edges_of_a_wish_hold() {
    let bed = demo_box();
    for price in [0.0, 5.0] {
        let mut poor = rule(TopUpTrigger::Months(vec![3]));
        poor.package.price = Some(price);
        poor.package.delivery = 50.0;
        poor.yearly_budget = Some(10.0);
        let topups = planned(&bed, &poor);
        assert_eq!(topups.bought(), 0);
        assert!(topups.top_ups.len() == 3 && topups.top_ups.iter().all(|topup| topup.is_held_back));
        assert_close(topups.below_at_end_m, topups.below_without_m, 0.0, 1e-12);
    }
    let mut chips = rule(TopUpTrigger::SoilDepthM(0.2));
    chips.material = material("wood chips");
    let refused = nominal_top_ups(&bed, &chips, &unwatched).unwrap_err();
    assert!(refused.to_string().contains("soil"));

    let mut mulched = demo_box();
    *mulched.edit().additions = vec![added("2026-03-01", &material("wood chips"), 0.15)];
    let soil = planned(&mulched, &rule(TopUpTrigger::SoilDepthM(0.19)));
    let most_m3 = soil
        .top_ups
        .iter()
        .map(|topup| topup.laid_m3)
        .fold(0.0, f64::max);
    assert!(most_m3 < 0.15, "{most_m3}");

    let mound = read(
        "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n[bed]\nshape = \"mound\"\n\
         width = \"1.5 m\"\nlength = \"3 m\"\nslope = \"45 deg\"\n\
         [[layer]]\nput = [{ material = \"deciduous leaves\", amount = \"30 cm\" }]\n\
         [[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"15 cm\" }]\n",
    );
    let high = planned(&mound, &rule(TopUpTrigger::SoilDepthM(2.0)));
    assert!(high.top_ups.iter().all(|topup| topup.is_held_back));
    let level = planned(&mound, &rule(TopUpTrigger::Months(vec![3])));
    let as_filled = forecast(&mound, 36, &unwatched).unwrap();
    let saved = saving(&mound, &as_filled, &level).unwrap();
    assert!(saved.mix_m3 <= 1.001 * saved.kept_m3, "{saved:?}");
    let allowed = allowance(&mound, &as_filled);
    let filled_m3 = mound.shape().volume_m3(0.0, as_filled.months[0].height_m);
    assert!(allowed.tipping_m3 + allowed.first_season_m3 + allowed.later_m3 < filled_m3);
}

/// A ledger with additions counts each once, and has no more wood than was put in.
#[test]
fn a_ledger_counts_what_is_laid_on_once() {
    let mut bed = demo_box();
    let (log, soil) = (material("birch log"), material("loamy topsoil"));
    let on = bed.filled().to_string();
    *bed.edit().additions = vec![added(&on, &soil, 0.1), added("2026-06-01", &log, 0.3)];
    let book = ledger(&bed, 24, &unwatched).unwrap();
    let bare = ledger(&demo_box(), 24, &unwatched).unwrap();
    assert!(book.rows[0].put_in_kg > bare.rows[0].put_in_kg);
    for row in &book.rows {
        assert_close(row.put_in_kg, row.left.all_kg + row.released_kg, 1e-9, 0.0);
        assert!(row.wood_share.unwrap() <= 1.0);
    }
    let dry_kg = |book: Ledger| book.burning.unwrap().wood_dry_kg;
    assert_close(dry_kg(book), dry_kg(bare), 0.0, 1e-12);
}

/// A bed that is quick to run.
fn small_bed() -> Bed {
    read(
        "format = 1\nfilled = 2026-03-14\nclimate = \"Cambridge UK\"\n\
         [bed]\nshape = \"round\"\nacross = \"1.2 m\"\nrim = \"50 cm\"\n\
         [[layer]]\nput = [{ material = \"deciduous leaves\", amount = \"300 L\" }]\n\
         [[layer]]\nput = [{ material = \"loamy topsoil\", amount = \"20 cm\" }]\n",
    )
}

fn draws(count: u32, seed: u64) -> Realisations {
    Realisations {
        ensemble_size: count,
        seed,
        deeper_than_m: None,
    }
}

fn bands(bed: &Bed, rule: &TopUpRule, draws: Realisations) -> TopUpIntervals {
    let topups = top_ups_with_intervals(bed, rule, draws, &unwatched).unwrap();
    topups.intervals.unwrap()
}

fn bands_of_beds(beds: &[Bed], rules: &[TopUpRule], draws: Realisations) -> Vec<TopUpIntervals> {
    let told = top_ups_of_all(beds, rules, draws, &unwatched).unwrap();
    told.into_iter()
        .map(|topups| topups.intervals.unwrap())
        .collect()
}

fn holds(band: Interval, figure: f64) -> bool {
    band.lower <= figure && figure <= band.upper
}

/// On the demo beds the nominal run lies within the intervals of the sums, and of each top-up
/// within a tenth of their width, the standard error of the ends of 32 realisations. The box's
/// third top-up lies at the upper end.
#[test]
fn bands_of_topups_hold_the_middle_line() {
    for bed in [demo_bag(), demo_box()] {
        let rule = rule(TopUpTrigger::Months(vec![3]));
        let topups = top_ups_with_intervals(&bed, &rule, draws(32, 1), &unwatched).unwrap();
        let told = topups.intervals.as_ref().unwrap();
        assert_eq!((told.ensemble_size, told.seed), (32, 1));
        for topup in &topups.top_ups {
            let line = told
                .top_ups
                .iter()
                .find(|line| line.date.lower == topup.date);
            let line = line.unwrap();
            assert_eq!(line.date.lower, line.date.upper);
            assert_eq!(Some(line.order_by.lower), topup.order_by);
            for (band, figure) in [(line.laid_m3, topup.laid_m3), (line.laid_kg, topup.laid_kg)] {
                let stray = 0.1 * (band.upper - band.lower);
                let wider = Interval {
                    lower: band.lower - stray,
                    upper: band.upper + stray,
                    ..band
                };
                assert!(holds(wider, figure), "{figure} {line:?}");
            }
            assert!(line.chance > 0.5 && line.chance <= 1.0);
        }
        assert!(holds(told.all.laid_m3, topups.laid_m3()));
        assert!(holds(told.all.bought, f64::from(topups.bought())));
        assert!(holds(told.all.cost.unwrap(), topups.cost().unwrap()));
        assert!(told.all.laid_m3.lower < told.all.laid_m3.upper);
        let mut years: Vec<String> = told.years.iter().map(|y| y.year.to_string()).collect();
        years.dedup();
        assert_eq!(years.len(), told.years.len());
    }
}

/// A realisation is topped up by the surface that a forecast shows of it, which includes the
/// discrepancy of the laws, and the top-up brings that surface to the rim.
#[test]
fn draws_are_topped_up_by_the_surface_that_is_seen() {
    let bed = small_bed();
    let uncertain = UncertainParameters::new(&bed);
    let mut strayed_m = 0.0_f64;
    for number in 0..8 {
        let rows = months_of_realisation(&bed, &uncertain, 1, number, 12).unwrap();
        let by_laws = months_of_sample(&Sample::new(&bed, &uncertain, 1, number), 12).unwrap();
        strayed_m = strayed_m.max((rows[12].height_m - by_laws[12].height_m).abs());
        if number == 0 {
            let told = bands(&bed, &one_year(), draws(1, 1));
            let [first] = told.top_ups.as_slice() else {
                panic!("one top-up a year: {told:?}");
            };
            let below_m = rows[12].below_rim_m.unwrap();
            assert_close(first.below_before_m.median, below_m, 0.0, 1e-9);
            assert_close(told.below_at_end_m.median, 0.0, 0.0, 1e-7);
        }
    }
    // Else nothing was tested.
    assert!(strayed_m > 0.01, "{strayed_m}");
}

/// A low reading gives a larger top-up than a high one, and each a narrower interval than an
/// unmeasured bed; nothing is planned before it, and an impossible reading is a surprise.
#[test]
fn a_tape_decides_what_is_laid_on() {
    let read_at = |below_m: f64| {
        let mut bed = small_bed();
        *bed.edit().readings = vec![Reading {
            on: "2026-10-20".parse().unwrap(),
            height_m: bed.rim_m().unwrap() - below_m,
            give_or_take_m: Some(0.005),
            note: None,
        }];
        let rule = TopUpRule {
            months: 18,
            ..rule(TopUpTrigger::Months(vec![9, 3]))
        };
        top_ups_with_intervals(&bed, &rule, draws(40, 1), &unwatched).unwrap()
    };
    let expected = forecast_with_intervals(&small_bed(), 7, draws(200, 1), &unwatched).unwrap();
    let below_m = expected.intervals[7].below_rim_m.unwrap();
    let plans = [below_m.lower, below_m.upper].map(read_at);
    for (plan, settlement_m) in plans.iter().zip([below_m.lower, below_m.upper]) {
        let told = plan.intervals.as_ref().unwrap();
        println!(
            "{settlement_m:.3} m below of {below_m:?}: {:?}, then {:?}",
            told.all.laid_m3, told.top_ups[0].below_before_m
        );
        assert_eq!((told.readings, told.readings_surprise), (1, false));
        // September comes before the reading.
        assert!(
            plan.top_ups
                .iter()
                .all(|topup| topup.date > date(2026, 10, 20))
        );
        assert_eq!(told.top_ups[0].date.lower, date(2027, 3, 14));
        // Five months on it lies about where it was read, or a little deeper.
        let before_m = told.top_ups[0].below_before_m;
        assert!(before_m.upper - before_m.lower < 0.7 * (below_m.upper - below_m.lower));
        assert!(before_m.median > settlement_m - 0.02 && before_m.median < settlement_m + 0.07);
        assert!(holds(told.all.laid_m3, plan.laid_m3()));
    }
    let [high, low] = plans.map(|plan| plan.intervals.unwrap().all.laid_m3);
    assert!(
        high.median < low.lower && high.upper < low.median,
        "{high:?} {low:?}"
    );
    let odd = read_at(-0.4).intervals.unwrap();
    assert_eq!((odd.readings, odd.readings_surprise), (1, true));
}

/// Once a year, in the month of filling.
fn one_year() -> TopUpRule {
    TopUpRule {
        months: 12,
        ..rule(TopUpTrigger::Months(vec![3]))
    }
}

/// Without realisations it is the nominal run alone, in JSON as well.
#[test]
fn without_draws_there_is_the_middle_line_alone() {
    let (bed, rule) = (demo_bag(), rule(TopUpTrigger::BelowRimM(0.05)));
    let alone = top_ups_with_intervals(&bed, &rule, draws(0, 1), &unwatched).unwrap();
    let middle = planned(&bed, &rule);
    assert_eq!(alone, middle);
    let with = top_ups_with_intervals(&bed, &rule, draws(4, 1), &unwatched).unwrap();
    assert!(with.intervals.is_some());
    assert_eq!(serde_json::to_value(&alone).unwrap().get("intervals"), None);
}

/// A bed topped up by its depth has dates that differ between realisations.
#[test]
fn dates_are_ranges_where_they_differ() {
    let told = bands(
        &demo_box(),
        &rule(TopUpTrigger::BelowRimM(0.05)),
        draws(24, 1),
    );
    println!(
        "{:#?}",
        told.top_ups
            .iter()
            .map(|line| &line.date)
            .collect::<Vec<_>>()
    );
    assert!(
        told.top_ups
            .iter()
            .any(|line| line.date.lower < line.date.upper)
    );
    let mut before = 1.0;
    for (number, line) in (1..).zip(&told.top_ups) {
        assert_eq!(line.number, number);
        assert!(line.date.lower <= line.date.median && line.date.median <= line.date.upper);
        // The next turn comes in no realisation in which this one did not.
        assert!(line.chance <= before && line.chance > 0.0);
        before = line.chance;
    }
    assert!(told.chance_of_any >= told.top_ups[0].chance);
    assert!(told.times.lower <= told.times.upper);
}

/// Totals over several beds are sums within each realisation, each bed counted as often as
/// given: with a single realisation every quantile is its figure. Two equal beds vary together,
/// so that both ends are twice one's.
#[test]
fn beds_add_up_within_a_draw() {
    let mut first = small_bed();
    *first.edit().count = 3;
    let mut second = small_bed();
    second.edit().layers.remove(0);
    let beds = [first, second];
    let mut short = rule(TopUpTrigger::Months(vec![3]));
    short.months = 12;
    let rules = [short.clone(), short.clone()];
    for seed in 1..6 {
        let told = bands_of_beds(&beds, &rules, draws(1, seed));
        assert_eq!(told[0].together, told[1].together);
        let together = &told[0].together;
        assert_eq!(together.beds, 4);
        let sum = |of: &dyn Fn(&TopUpIntervals) -> f64| 3.0 * of(&told[0]) + of(&told[1]);
        for (all, sum) in [
            (together.all.laid_m3, sum(&|bed| bed.all.laid_m3.lower)),
            (together.all.bought, sum(&|bed| bed.all.bought.lower)),
            (
                together.all.cost.unwrap(),
                sum(&|bed| bed.all.cost.unwrap().lower),
            ),
        ] {
            assert!(sum > 0.0);
            assert_close(all.lower, sum, 1e-12, 0.0);
            assert_close(all.upper, sum, 1e-12, 0.0);
        }
    }
    let twins = [small_bed(), small_bed()];
    let told = bands_of_beds(&twins, &rules, draws(20, 1));
    assert_eq!(told[0].all, told[1].all);
    let (one, both) = (told[0].all.laid_m3, told[0].together.all.laid_m3);
    assert!(one.lower < one.upper);
    assert_close(both.lower, 2.0 * one.lower, 1e-12, 0.0);
    assert_close(both.upper, 2.0 * one.upper, 1e-12, 0.0);
}

/// The ends of 40 realisations are those of 200 within a third of the interval: the standard
/// error of an end of 40 normal realisations is a tenth of the width.
#[test]
fn forty_draws_come_near_two_hundred() {
    let bed = small_bed();
    let mut short = rule(TopUpTrigger::Months(vec![9]));
    short.months = 6;
    let [few, many] = [draws(40, 1), draws(200, 2)].map(|draws| bands(&bed, &short, draws));
    let (few, many) = (few.all.laid_m3, many.all.laid_m3);
    println!("40 draws {few:?}, 200 draws {many:?}");
    let width = many.upper - many.lower;
    for (few, many) in [
        (few.lower, many.lower),
        (few.median, many.median),
        (few.upper, many.upper),
    ] {
        assert!((few - many).abs() < 0.33 * width, "{few} {many}");
    }
}

/// The same bytes in any number of threads; the output follows the schema; and progress may
/// stop it.
#[test]
fn bands_of_topups_keep_the_promises() {
    let bed = small_bed();
    let mut short = rule(TopUpTrigger::BelowRimM(0.03));
    short.months = 6;
    let text = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        let told = pool
            .build()
            .unwrap()
            .install(|| top_ups_with_intervals(&bed, &short, draws(20, 5), &unwatched).unwrap());
        serde_json::to_string(&told).unwrap()
    };
    assert_eq!(text(1), text(2));
    let schema = serde_json::to_value(schemars::schema_for!(TopUps)).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let value: serde_json::Value = serde_json::from_str(&text(2)).unwrap();
    if let Err(error) = validator.validate(&value) {
        panic!("{error}");
    }
    let alone = serde_json::to_value(planned(&bed, &short)).unwrap();
    assert!(validator.is_valid(&alone));

    let stopped = top_ups_with_intervals(&bed, &short, draws(40, 1), &|done, _| {
        if done >= 16 {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    });
    assert_eq!(stopped.unwrap_err(), Error::Stopped);
}

/// The overfill of the nominal run lies within its interval, and no realisation has a negative
/// one.
#[test]
fn bands_of_a_heap_hold_the_middle_line() {
    let (bed, soil) = (small_bed(), material("loamy topsoil"));
    let heaped = overfill(&bed, &soil, 4).unwrap().unwrap();
    let told = overfill_intervals(&bed, &soil, &heaped, draws(24, 1), &unwatched);
    let told = told.unwrap().unwrap();
    println!("{heaped:?} {told:?}");
    assert!(holds(told.more_m3, heaped.more_m3) && holds(told.more_m, heaped.more_m));
    assert!(holds(told.above_rim_m, heaped.above_rim_m));
    assert!(told.more_m3.lower >= 0.0 && told.more_m3.lower < told.more_m3.upper);
    let none = overfill_intervals(&bed, &soil, &heaped, draws(0, 1), &unwatched);
    assert_eq!(none.unwrap(), None);
}

/// The small bed with that many daily readings in the tail of the prior, so that few
/// realisations agree.
fn closely_read(days: i8) -> Bed {
    let mut bed = small_bed();
    let expected = forecast(&bed, 1, &unwatched).unwrap();
    let height_m = expected.months[1].height_m - 0.075;
    let each = (0..days).map(|day| Reading {
        on: date(2026, 4, 14).saturating_add(jiff::Span::new().days(day)),
        height_m,
        give_or_take_m: Some(0.0),
        note: None,
    });
    *bed.edit().readings = each.collect();
    bed
}

/// However few realisations agree with readings, at most sixteen times the usual number are
/// weighed, however many are asked for; a bed without readings takes none.
#[test]
fn work_with_readings_is_bounded() {
    let beds = [closely_read(40), small_bed()];
    let rules = beds.clone().map(|_| TopUpRule {
        months: 6,
        ..rule(TopUpTrigger::Months(vec![9]))
    });
    let counter = Counter::default();
    let told = top_ups_of_all(&beds, &rules, draws(4, 1), &|done, of| {
        counter.count(done, of)
    })
    .unwrap();
    println!("{} runs", counter.done());
    assert!(counter.done() <= 4 + 16 * 128, "{}", counter.done());
    let bands = told[0].intervals.as_ref().unwrap();
    assert_eq!((bands.readings, bands.readings_surprise), (40, false));
    let other = told[1].intervals.as_ref().unwrap();
    assert_eq!(other.readings, 0);
}
