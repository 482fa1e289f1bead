//! Designs compared under the same realisations.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test fails by panicking and prints what it measured"
)]

mod support;

use moulder::ForecastOptions;
use moulder::internals::bed::Bed;
use moulder::internals::compare::{Comparison, compare, compare_with_top_ups};
use moulder::internals::forecast::progress::unwatched;
use moulder::internals::library::Library;
use moulder::internals::topup::{Package, TopUpRule, TopUpTrigger, top_ups_with_intervals};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::ensemble_forecast::forecast_with_intervals;
use support::{assert_close, demo_box, read};

fn options(months: u32, ensemble_size: u32) -> ForecastOptions {
    ForecastOptions::default()
        .months(months)
        .ensemble_size(ensemble_size)
}

fn draws(count: u32) -> Realisations {
    Realisations {
        ensemble_size: count,
        ..Realisations::default()
    }
}

fn bases() -> [Bed; 2] {
    [
        read(include_str!("../examples/beds/hardwood-base.toml")),
        read(include_str!("../examples/beds/softwood-base.toml")),
    ]
}

/// A bed compared with itself differs by nothing in every realisation.
#[test]
fn a_bed_is_as_itself() {
    let beds = [demo_box(), demo_box()];
    let compared = compare(&beds, &options(12, 20), &unwatched).unwrap();
    let second = &compared.designs[1];
    let less = second.less_the_first.unwrap();
    for band in [less.settlement_m, less.carbon_kg, less.short_months] {
        assert_close(band.lower, 0.0, 0.0, 0.0);
        assert_close(band.upper, 0.0, 0.0, 0.0);
    }
    assert_close(second.chance_it_sinks_less.unwrap(), 0.0, 0.0, 0.0);
    assert_eq!(second.is, compared.designs[0].is);
    // They have one name, and are told apart.
    let name = beds[0].name();
    assert_eq!(compared.designs[0].name, name);
    assert_eq!(second.name, format!("{name} (2)"));
}

/// The first design has the intervals of its own forecast; shared uncertainty cancels in the
/// difference, which is narrower than either settlement; the same realisations give the same
/// bytes.
#[test]
fn shared_draws_make_a_surer_difference() {
    let beds = bases();
    let compared = compare(&beds, &options(24, 60), &unwatched).unwrap();
    let alone = forecast_with_intervals(&beds[0], 24, draws(60), &unwatched).unwrap();
    assert_eq!(
        compared.designs[0].is.settlement_m,
        alone.intervals[24].settlement_m
    );
    let width = |band: moulder::internals::numeric::interval::Interval| band.upper - band.lower;
    let [first, second] = [0, 1].map(|index| width(compared.designs[index].is.settlement_m));
    let less = width(compared.designs[1].less_the_first.unwrap().settlement_m);
    println!(
        "sinks lie within {:.1} and {:.1} cm, their difference within {:.1} cm",
        100.0 * first,
        100.0 * second,
        100.0 * less
    );
    assert!(less < 0.6 * first.min(second), "{less} {first} {second}");
    let again = compare(&beds, &options(24, 60), &unwatched).unwrap();
    assert_eq!(compared, again);
    // The difference of the means is the mean difference.
    let [first, second] = [0, 1].map(|index| compared.designs[index].is.settlement_m.mean);
    let less_m = compared.designs[1]
        .less_the_first
        .unwrap()
        .settlement_m
        .mean;
    assert_close(less_m, second - first, 0.0, 1e-12);
}

#[test]
fn a_comparison_without_draws_is_refused() {
    assert!(compare(&bases(), &options(12, 0), &unwatched).is_err());
}

fn rule(months: u32) -> TopUpRule {
    let library = Library::built_in();
    TopUpRule {
        trigger: TopUpTrigger::before_spring(52.0),
        material: library.find_material("loamy topsoil").unwrap().clone(),
        package: Package::new("bag", 0.04).price(4.5),
        most_m: None,
        yearly_budget: None,
        from: None,
        months,
    }
}

/// Top-ups change nothing else in the comparison; the first design's are those of its own plan;
/// a bed compared with itself needs no more and no less; and the result follows the schema.
#[test]
fn topups_are_compared_within_the_draws() {
    let mut beds = bases().to_vec();
    beds.push(beds[0].clone());
    let rules = vec![rule(0); 3];
    let with = compare_with_top_ups(&beds, 14, &rules, draws(12), &unwatched).unwrap();
    let without = compare(&beds, &options(14, 12), &unwatched).unwrap();
    let schema = serde_json::to_value(schemars::schema_for!(Comparison)).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for compared in [&with, &without] {
        assert!(validator.is_valid(&serde_json::to_value(compared).unwrap()));
    }
    let mut stripped = with.clone();
    stripped.topped_up_with = None;
    for design in &mut stripped.designs {
        design.is.topups = None;
        if let Some(less) = &mut design.less_the_first {
            less.topups = None;
        }
    }
    assert_eq!(stripped, without);
    let alone = top_ups_with_intervals(&beds[0], &rule(14), draws(12), &unwatched).unwrap();
    let alone = alone.intervals.unwrap().all;
    let first = with.designs[0].is.topups.unwrap();
    assert_eq!((first.laid_m3, first.bought), (alone.laid_m3, alone.bought));
    assert_eq!(first.cost, alone.cost);
    assert!(first.laid_m3.lower > 0.0);
    let same = with.designs[2].less_the_first.unwrap().topups.unwrap();
    for band in [same.laid_m3, same.bought, same.cost.unwrap()] {
        assert_close(band.lower, 0.0, 0.0, 0.0);
        assert_close(band.upper, 0.0, 0.0, 0.0);
    }
    let other = with.designs[1].less_the_first.unwrap().topups.unwrap();
    assert!(other.laid_m3.lower < other.laid_m3.upper);
}
