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
use moulder::internals::uncertainty::sensitivity::{
    ParameterSensitivity, Sensitivity, sensitivity,
};
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

fn list(topups: &TopUps) -> String {
    drawn(&|look| topups::svg(topups, look))
}

/// Greens over soil settle fast enough to be topped up.
fn sinking() -> Bed {
    let more = "[[layer]]\nput = [{ material = \"mixed green waste\", amount = \"600 L\" }]\n";
    bed(&small("box", "Cambridge UK", more))
}

#[test]
fn topups_are_rows_with_date_packs_and_cost() {
    let bed = sinking();
    let mut rule = rule(TopUpTrigger::Months(vec![3, 10]), 24);
    rule.package = rule.package.price(5.98);
    let found = top_ups_with_intervals(&bed, &rule, draws(8), &unwatched).unwrap();
    let text = list(&found);
    insta::assert_snapshot!("topups", text);
    let intervals = &found.intervals.as_ref().unwrap().top_ups;
    let rows = text.matches("<g class=\"topup\">").count();
    assert_eq!(rows, intervals.len());
    for order in &found.top_ups {
        let cost = order.cost.unwrap();
        let packs = format!(">{} bags for {cost:.2}<", order.bought);
        assert!(text.contains(&packs), "{packs}");
    }
    let all = format!(">{} bags for {:.2}<", found.bought(), found.cost().unwrap());
    assert!(text.contains(&all), "{all}");
}

#[test]
fn a_top_up_that_is_not_certain_says_so() {
    let bed = sinking();
    let rule = rule(TopUpTrigger::BelowRimM(0.05), 24);
    let found = top_ups_with_intervals(&bed, &rule, draws(8), &unwatched).unwrap();
    let all = &found.intervals.as_ref().unwrap().top_ups;
    let rare = all.iter().filter(|one| found.order(one).is_none()).count();
    let dated = all.iter().any(|one| one.date.lower != one.date.upper);
    assert!(rare > 0 && dated);
    let text = list(&found);
    assert_eq!(text.matches(">perhaps ").count(), rare);
    assert_eq!(text.matches("-second-band)").count(), rare);
    assert!(text.contains("of 10 such beds") && text.contains(" 2026 to "));
}

#[test]
fn lists_at_the_ends_of_what_there_is() {
    let bed = sinking();
    let plan = |policy, months| nominal_top_ups(&bed, &rule(policy, months), &unwatched).unwrap();
    // None at all.
    let text = list(&plan(TopUpTrigger::BelowRimM(5.0), 12));
    assert!(text.contains("No top-up is due"));
    // One month.
    list(&plan(TopUpTrigger::Months(vec![3]), 1));
    // Every month, in a unit with a name that does no harm.
    let mut all = plan(TopUpTrigger::Months((1..=12).collect()), 24);
    for name in hostile() {
        all.name.clone_from(&name);
        all.package.name.clone_from(&name);
        all.material.clone_from(&name);
        all.top_ups[0].cost = Some(123_456_789.0);
        for units in [Units::Metric, Units::Us] {
            all.units = units;
            let text = list(&all);
            assert!(!text.contains("<script") && !text.contains('\u{202e}'));
        }
    }
    // What the budget does not buy is needed all the same.
    all.top_ups[1].bought = 0;
    all.top_ups[1].is_held_back = true;
    assert!(list(&all).contains(">needed, but not bought<"));
}

fn found() -> Sensitivity {
    sensitivity(&sinking(), 2, 8, 1, &unwatched).unwrap()
}

#[test]
fn unknowns_are_bars_of_what_knowing_them_gains() {
    let mut found = found();
    // Some can be measured, some not, and some gain nothing.
    let width_m = found.width_m();
    for (at, one) in found.groups.iter_mut().enumerate() {
        let share = [0.6, 0.4, 0.0][at % 3];
        one.first_order.share = share;
        one.width_if_known_m = width_m * (1.0 - share).sqrt();
    }
    let text = drawn(&|look| unknowns::svg(&found, look));
    insta::assert_snapshot!("unknowns", text);
    let rows = text.matches("<g class=\"unknown\">").count();
    // Half a centimetre reads as one.
    let gains = |one: &ParameterSensitivity| found.width_m() - one.width_if_known_m >= 0.005;
    let (can, cannot): (Vec<&ParameterSensitivity>, Vec<_>) = found
        .groups
        .iter()
        .filter(|one| gains(one))
        .partition(|one| one.measurable);
    assert!(!can.is_empty() && !cannot.is_empty());
    assert_eq!(rows, can.len() + cannot.len());
    assert_eq!(text.matches(">you can measure this").count(), can.len());
    assert_eq!(
        text.matches(">you cannot measure this").count(),
        cannot.len()
    );
    for name in hostile() {
        found.name = name;
        let text = drawn(&|look| unknowns::svg(&found, look));
        assert!(!text.contains("<script"));
    }
    // Estimates may lie below 0 and above 1.
    found.groups[0].first_order.share = 1.4;
    found.groups[0].first_order.standard_error = 0.9;
    found.groups[1].first_order.share = -0.3;
    drawn(&|look| unknowns::svg(&found, look));
    found.groups.clear();
    let text = drawn(&|look| unknowns::svg(&found, look));
    assert!(text.contains("Nothing that is uncertain"));
}

#[test]
fn nothing_is_worth_measuring_for_less_than_two_centimetres() {
    let mut found = found();
    let wide = |found: &Sensitivity| unknowns::svg(found, &Look::new(4000, "task")).inline();
    for one in &mut found.groups {
        one.first_order.share = if one.measurable { 0.01 } else { 0.9 };
    }
    assert!(wide(&found).contains("Nothing but a tape is worth it"));
    for one in &mut found.groups {
        one.first_order.share = 1.0;
    }
    assert!(found.width_m() > 0.02);
    let text = wide(&found);
    assert!(!text.contains("Nothing but a tape") && text.contains("Most worth measuring"));
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
            feeding: None,
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
    // An interval each, and one for the difference, in the inks of their lines.
    assert_eq!(text.matches("-first-band)").count(), 1);
    assert_eq!(text.matches("-second-band)").count(), 2);
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
        assert!(!text.contains("<script") && !text.contains("-band)"));
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
