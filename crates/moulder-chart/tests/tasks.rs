//! Charts of other answers: top-ups, sensitivities, fits, comparisons.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod support;

use moulder::internals::bed::Bed;
use moulder::internals::compare::height_differences;
use moulder::internals::fit::ensemble::LEAST_REALISATIONS;
use moulder::internals::fit::{Fitting, fit};
use moulder::internals::forecast::Forecast;
use moulder::internals::library::Library;
use moulder::internals::numeric::interval::Interval;
use moulder::internals::quantity::units::Units;
use moulder::internals::topup::{
    Package, TopUpRule, TopUpTrigger, TopUps, nominal_top_ups, top_ups_with_intervals,
};
use moulder::internals::uncertainty::ensemble::Realisations;
use moulder::internals::uncertainty::sensitivity::{Sensitivity, sensitivity};
use moulder::months::unwatched;
use moulder_chart::Svg;
use moulder_chart::internals::chart::comparison::{self, BEDS_LIMIT, Comparison};
use moulder_chart::internals::chart::fit;
use moulder_chart::internals::chart::topups;
use moulder_chart::internals::chart::unknowns;
use moulder_chart::internals::plot::look::Look;
use moulder_chart::internals::subject::Subject;
use support::{bed, forecast, small, sound};

/// At the widths of a telephone, a page, a screen and a wall.
const WIDTHS: [u32; 5] = [320, 360, 800, 1280, 4000];

/// Names that must do no harm.
fn hostile() -> [String; 5] {
    [
        "</title><script>alert(1)</script>".to_owned(),
        "\u{202e}\u{2066}\u{0}\u{1b}[31m\u{fffe} box\n\n\tof mine".to_owned(),
        "\u{5d2}\u{5d9}\u{5e0}\u{5d4} \u{2069}\u{62d}\u{62f}\u{64a}".to_owned(),
        "w".repeat(10_000),
        String::new(),
    ]
}

/// Sound at every width, the same each time, and the one 360 wide.
fn drawn(draw: &dyn Fn(&Look) -> Svg) -> String {
    for width in WIDTHS {
        let look = Look::new(width, "task");
        let svg = draw(&look);
        sound(&svg);
        assert_eq!(svg.file(), draw(&look).file());
    }
    let text = draw(&Look::new(360, "task")).inline();
    assert!(text.len() < 200_000, "{}", text.len());
    text
}

fn draws(count: u32) -> Realisations {
    Realisations {
        ensemble_size: count,
        ..Realisations::default()
    }
}

fn rule(policy: TopUpTrigger, months: u32) -> TopUpRule {
    TopUpRule {
        trigger: policy,
        material: Library::built_in()
            .find_material("loamy topsoil")
            .unwrap()
            .clone(),
        package: Package::new("bag", 0.04),
        most_m: None,
        yearly_budget: None,
        from: None,
        months,
    }
}

fn calendar(topups: &TopUps, latitude_deg: f64) -> String {
    drawn(&|look| topups::svg(topups, latitude_deg, look))
}

/// Greens over soil settle fast enough to be topped up.
fn sinking() -> Bed {
    let more = "[[layer]]\nput = [{ material = \"mixed green waste\", amount = \"600 L\" }]\n";
    bed(&small("box", "Cambridge UK", more))
}

#[test]
fn a_calendar_has_a_dot_for_each_topup_and_its_amount() {
    let bed = sinking();
    let rule = rule(TopUpTrigger::Months(vec![3, 10]), 24);
    let found = top_ups_with_intervals(&bed, &rule, draws(8), &unwatched).unwrap();
    let text = calendar(&found, 52.0);
    insta::assert_snapshot!("topups", text);
    let dots = text.matches("<circle class=\"first-area\"").count();
    assert_eq!(dots, found.intervals.as_ref().unwrap().top_ups.len());
    assert!(text.contains("bags") && text.contains(">filled<"));
    let wide = topups::svg(&found, 52.0, &Look::new(800, "task")).inline();
    assert!(wide.contains(">spring<"));
    // Nothing is called spring in the tropics.
    let wide = topups::svg(&found, 1.3, &Look::new(800, "task")).inline();
    assert!(!wide.contains(">spring<"));
}

#[test]
fn a_day_that_is_not_certain_has_a_bar() {
    let bed = sinking();
    let rule = rule(TopUpTrigger::BelowRimM(0.05), 24);
    let found = top_ups_with_intervals(&bed, &rule, draws(8), &unwatched).unwrap();
    let list = &found.intervals.as_ref().unwrap().top_ups;
    assert!(
        list.iter()
            .any(|topup| topup.date.lower != topup.date.upper)
    );
    let bars = calendar(&found, 52.0)
        .matches("<g class=\"range\">")
        .count();
    let ranged = list
        .iter()
        .filter(|topup| topup.date.lower != topup.date.upper);
    assert!(bars >= ranged.count());
}

#[test]
fn calendars_at_the_ends_of_what_there_is() {
    let bed = sinking();
    let plan = |policy, months| nominal_top_ups(&bed, &rule(policy, months), &unwatched).unwrap();
    // None at all.
    let text = calendar(&plan(TopUpTrigger::BelowRimM(5.0), 12), 52.0);
    assert!(text.contains("No top-up is due"));
    // One month.
    calendar(&plan(TopUpTrigger::Months(vec![3]), 1), 52.0);
    // Every month, in a unit with a name that does no harm.
    let mut all = plan(TopUpTrigger::Months((1..=12).collect()), 24);
    for name in hostile() {
        all.name.clone_from(&name);
        all.package.name.clone_from(&name);
        all.material.clone_from(&name);
        for units in [Units::Metric, Units::Us] {
            all.units = units;
            let text = calendar(&all, -37.0);
            assert!(!text.contains("<script") && !text.contains('\u{202e}'));
        }
    }
    // A hundred years.
    let mut long = plan(TopUpTrigger::Months(vec![3]), 12);
    long.months = 1200;
    let text = topups::svg(&long, 52.0, &Look::new(800, "task"));
    sound(&text);
    assert!(text.inline().contains(">2126<"));
}

fn found() -> Sensitivity {
    sensitivity(&sinking(), 2, 8, 1, &unwatched).unwrap()
}

#[test]
fn unknowns_are_bars_with_their_errors() {
    let mut found = found();
    let text = drawn(&|look| unknowns::svg(&found, look));
    insta::assert_snapshot!("unknowns", text);
    let rows = text.matches("<g class=\"unknown\">").count();
    let large = found
        .groups
        .iter()
        .filter(|one| one.total.share >= 0.03 || one.first_order.share >= 0.03);
    assert_eq!(rows, large.count());
    for name in hostile() {
        found.name = name;
        let text = drawn(&|look| unknowns::svg(&found, look));
        assert!(!text.contains("<script"));
    }
    // Estimates may lie below 0 and above 1.
    found.groups[0].total.share = 1.4;
    found.groups[0].total.standard_error = 0.9;
    found.groups[1].first_order.share = -0.3;
    drawn(&|look| unknowns::svg(&found, look));
    found.groups.clear();
    let text = drawn(&|look| unknowns::svg(&found, look));
    assert!(text.contains("Nothing that is uncertain"));
}

fn compared(beds: &[Bed], forecasts: &[Forecast], differences: &[Vec<Interval>]) -> String {
    let subjects: Vec<Subject<'_>> = beds
        .iter()
        .zip(forecasts)
        .map(|(bed, forecast)| Subject {
            bed,
            forecast,
            readings: &[],
            days: &[],
        })
        .collect();
    drawn(&|look| {
        let comparison = Comparison {
            beds: &subjects,
            differences,
        };
        comparison::svg(&comparison, look)
    })
}

#[test]
fn beds_stand_in_one_frame_with_their_difference() {
    let beds = [bed(&small("box", "Cambridge UK", "")), sinking()];
    let forecasts = beds.each_ref().map(|bed| forecast(bed, 6, 4));
    let differences = height_differences(&beds, &draws(4).for_months(6), &unwatched).unwrap();
    let text = compared(&beds, &forecasts, &differences);
    insta::assert_snapshot!("comparison", text);
    // An interval each, and one for the difference.
    assert_eq!(text.matches("class=\"band\"").count(), 3);
    // A line above, with a stroke in the key and one before its label. The first does not
    // differ from itself, and has no line below.
    assert_eq!(text.matches("class=\"first\"").count(), 3);
    assert_eq!(text.matches("class=\"second\"").count(), 5);
    // Edges of the intervals are drawn like their lines.
    assert_eq!(text.matches("class=\"first-edge\"").count(), 2);
    assert_eq!(text.matches("class=\"second-edge\"").count(), 4);
}

#[test]
fn differences_are_paired() {
    let bed = sinking();
    let beds = [bed.clone(), bed];
    let rows = height_differences(&beds, &draws(4).for_months(3), &unwatched).unwrap();
    assert_eq!((rows.len(), rows[0].len()), (1, 4));
    assert!(
        rows[0]
            .iter()
            .all(|band| band.lower == 0.0 && band.upper == 0.0)
    );
}

#[test]
fn comparisons_at_the_ends_of_what_there_is() {
    let one = bed(&small("mound", "Hobart AU", ""));
    let beds = vec![one; BEDS_LIMIT + 1];
    let long: Vec<Forecast> = beds.iter().map(|bed| forecast(bed, 1200, 0)).collect();
    for months in [0, 1, 24, 1200] {
        let mut short = long.clone();
        for (forecast, name) in short.iter_mut().zip(hostile()) {
            forecast.months.truncate(months + 1);
            forecast.name = name;
            forecast.units = Units::Us;
        }
        let text = compared(&beds, &short, &[]);
        assert!(!text.contains("<script") && !text.contains("class=\"band"));
    }
    // An interval of no width.
    let still = [forecast(&beds[0], 3, 0), forecast(&beds[0], 3, 0)];
    let nothing = Interval::known(0.0);
    compared(&beds[..2], &still, &[vec![nothing; 4]]);
    compared(&[], &[], &[]);
}

/// The demo bag with readings.
const MEASURED: &str = include_str!("../../../examples/beds/measured-bag.toml");

#[test]
fn a_fit_has_a_dot_for_each_reading_and_a_range_before_and_after() {
    let bed = bed(MEASURED);
    let asked = Fitting {
        months: Some(7),
        ensemble_size: LEAST_REALISATIONS,
        seed: 1,
    };
    let mut found = fit(&bed, asked, &unwatched).unwrap();
    let text = drawn(&|look| fit::svg(&bed, &found, look));
    insta::assert_snapshot!("fit", text);
    let dots = text.matches("<circle class=\"second-area\"").count();
    assert_eq!(dots, bed.readings().len());
    assert_eq!(text.matches("class=\"band\"").count(), 1);
    // Two edges, and a stroke before their label.
    assert_eq!(text.matches("class=\"third\"").count(), 3);
    // What is doubted is a ring.
    assert!(!text.contains("<circle class=\"paper\""));
    found.readings[0].is_doubted = true;
    found.agreement.is_surprising = true;
    let text = drawn(&|look| fit::svg(&bed, &found, look));
    assert_eq!(text.matches("<circle class=\"paper\"").count(), 1);
    for name in hostile() {
        found.name = name;
        found.units = Units::Us;
        let text = drawn(&|look| fit::svg(&bed, &found, look));
        assert!(!text.contains("<script"));
    }
    // Day zero alone.
    found.months.truncate(1);
    drawn(&|look| fit::svg(&bed, &found, look));
}
