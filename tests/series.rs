//! The published series: does every bed read, and are the scores those that are said? How the
//! forecasts score is a report (`examples/series`), not a test.
#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "the report uses the rest; a test fails by panicking"
)]

#[path = "../examples/cases/draws.rs"]
mod draws;
#[path = "../examples/cases/files.rs"]
mod files;
#[path = "../examples/series/marks.rs"]
mod marks;
#[path = "../examples/cases/observed.rs"]
mod observed;
#[path = "../examples/series/options.rs"]
mod options;
#[path = "../examples/series/paired.rs"]
mod paired;
#[path = "../examples/cases/proper.rs"]
mod proper;
#[path = "../examples/cases/range.rs"]
mod range;
#[path = "../examples/cases/scaled.rs"]
mod scaled;
#[path = "../examples/series/subject.rs"]
mod subject;
mod support;
#[path = "../examples/series/thumb.rs"]
mod thumb;

use draws::{Open, Pool};
use files::CaseBed;
use marks::{Scores, marks};
use moulder::Library;
use moulder::internals::library::calibration::Calibration;
use observed::{Case, Quantity};
use options::Options;
use paired::{Comparison, Pair};
use range::Range;
use subject::{Set, Subject, eta};
use support::assert_close;
use thumb::Rule;

fn all() -> (Vec<Case>, Vec<CaseBed>) {
    let text = include_str!("../examples/series/series.json");
    let beds = files::beds("series", &Library::built_in())
        .unwrap_or_else(|faults| panic!("{}", faults.join("\n")));
    (observed::cases(text).unwrap(), beds)
}

/// Every bed file reads without a fault, every series has a bed or a stated reason, and those
/// that start loose have that state.
#[test]
fn every_series_has_a_bed_or_a_reason() {
    let (cases, beds) = all();
    assert_eq!(files::misfits(&cases, &beds), Vec::<String>::new());
    let scored = cases.iter().filter(|case| case.not_scored.is_none());
    assert_eq!((cases.len(), scored.count()), (46, 22));
    let without: Vec<CaseBed> = beds.iter().filter(|bed| !bed.is_loose()).cloned().collect();
    assert!(
        files::misfits(&cases, &without).contains(&"playground: no bed of its loose state".into())
    );
}

/// Where a series gives a height, its beds have it on the day of filling within a tenth, before
/// what is trodden is trodden.
#[test]
fn beds_are_as_high_as_the_series_says() {
    let (cases, beds) = all();
    let mut compared = 0;
    for mut case in cases {
        let (Some(given), None) = (case.height_cm, &case.not_scored) else {
            continue;
        };
        case.readings.truncate(1);
        case.readings[0].from_months = Range {
            low: 0.0,
            high: 0.0,
        };
        case.readings[0].months = Range {
            low: 1.0,
            high: 1.0,
        };
        let pools = draws::drawn(&case, &beds, 4, Open::Middle, Calibration::kept()).unwrap();
        assert_close(pools[0].height_cm, given.middle(), 0.1, 0.0);
        compared += 1;
    }
    assert_eq!(compared, 14);
}

/// Densities and masses are read as the sinks they stand for: 78 to 104 kg/m3 is a quarter, and
/// 0.933 of the mass left is 6.7 % lost.
#[test]
fn densities_and_masses_are_read_as_sinks() {
    let (cases, _) = all();
    let first = |id: &str| cases.iter().find(|case| case.id == id).unwrap().readings[0];
    assert_eq!(first("hay-1846").quantity, Quantity::Density);
    assert_close(first("hay-1846").sink.low, 25.0, 1e-12, 0.0);
    assert_eq!(first("sydney-branches").quantity, Quantity::DryMass);
    assert_close(first("sydney-branches").sink.high, 6.7, 1e-12, 0.0);
}

/// What cannot be a reading is refused.
#[test]
fn faulty_series_are_refused() {
    let with = |reading: &str| {
        let case = format!(
            r#"{{"id": "a", "cls": "c", "group": "g", "quality": "measured", "points": [{reading}]}}"#
        );
        observed::cases(&format!(r#"{{"count": 1, "cases": [{case}]}}"#))
    };
    assert!(with(r#"{"months": 6, "sink_percent": 20}"#).is_ok());
    for faulty in [
        r#"{"months": 6}"#,
        r#"{"sink_percent": 20}"#,
        r#"{"months": {"low": 6, "high": 3}, "sink_percent": 20}"#,
        r#"{"months": 6, "sink_percent": {"low": 30, "high": 20}}"#,
        r#"{"months": 6, "sink_percent": 120}"#,
        r#"{"from_months": 6, "months": 6, "sink_percent": 20}"#,
        r#"{"months": 6, "sink_percent": 20, "side": "about"}"#,
        "",
    ] {
        assert!(with(faulty).is_err(), "{faulty}");
    }
}

/// Cases of one reading each, of the sources `a`, `b`, .., 100 cm high.
fn made(readings: &[&str]) -> Vec<Case> {
    let cases: Vec<String> = readings
        .iter()
        .zip(["a", "b", "c", "d"])
        .map(|(reading, id)| {
            format!(
                r#"{{"id": "{id}", "cls": "c", "group": "{id}", "quality": "measured", "points": [{reading}]}}"#
            )
        })
        .collect();
    let text = format!(
        r#"{{"count": {}, "cases": [{}]}}"#,
        cases.len(),
        cases.join(",")
    );
    observed::cases(&text).unwrap()
}

fn subjects<'a>(cases: &'a [Case], sinks: &[f64]) -> Vec<Subject<'a>> {
    let pool = Pool {
        sinks: sinks.to_vec(),
        height_cm: 50.0,
    };
    cases
        .iter()
        .map(|case| Subject {
            set: Set::Series,
            case,
            reading: &case.readings[0],
            number: 1,
            open: pool.clone(),
            told: pool.clone(),
        })
        .collect()
}

/// Members of 10, 20, .. 50 % of 50 cm with 30 to 40 % seen: their 10 % and 90 % quantiles are
/// 14 and 46 %. By hand: interval score 16 cm; `E|X - 17.5 cm|` is (12.5 + 7.5 + 2.5 + 2.5 + 7.5) / 5
/// and `E|X - X'|` is 8.
#[test]
fn scores_are_in_centimetres_and_eta() {
    let cases = made(&[r#"{"months": 12, "sink_percent": {"low": 30, "high": 40}}"#]);
    let subjects = subjects(&cases, &[10.0, 20.0, 30.0, 40.0, 50.0]);
    let marks = marks(&subjects[0], &subjects[0].members());
    assert!(marks.overlaps && marks.is_inside == Some(true));
    let Scores { interval, crps } = marks.cm.unwrap();
    assert_close(interval, 16.0, 1e-12, 0.0);
    assert_close(crps, 6.5 - 4.0, 1e-12, 0.0);
    let members: Vec<f64> = [0.1, 0.2, 0.3, 0.4, 0.5].map(eta).to_vec();
    let low = members[0] + 0.4 * (members[1] - members[0]);
    let high = members[4] - 0.4 * (members[4] - members[3]);
    assert_close(marks.eta.interval, high - low, 1e-12, 0.0);
    assert_close(eta(0.5), core::f64::consts::LN_2, 1e-15, 0.0);
}

/// A bound is met by all that lies beyond it, and missed by the rest: of members at 10 and 30 %
/// against at least 20 %, one counts as 20 %. By hand, in cm of 50: `(5 + 0)/2 - 5/4`.
#[test]
fn a_bound_asks_for_nothing_beyond_it() {
    let at_least = r#"{"months": 12, "sink_percent": 20, "side": "at least"}"#;
    let at_most = r#"{"months": 12, "sink_percent": 20, "side": "at most"}"#;
    let cases = made(&[at_least, at_most]);
    let scored = |sinks: &[f64], place: usize| {
        let subject = &subjects(&cases, sinks)[place];
        marks(subject, &subject.members())
    };
    for (sinks, place) in [([30.0, 60.0], 0), ([5.0, 15.0], 1)] {
        let good = scored(&sinks, place);
        assert!(good.overlaps && good.is_inside.is_none());
        assert_eq!(
            good.eta,
            Scores {
                interval: 0.0,
                crps: 0.0
            }
        );
        assert!(!scored(&sinks, 1 - place).overlaps);
    }
    assert_close(scored(&[10.0, 30.0], 0).cm.unwrap().crps, 1.25, 1e-12, 0.0);
    assert_close(scored(&[10.0, 30.0], 1).cm.unwrap().crps, 1.25, 1e-12, 0.0);
}

/// A rule is scored by its errors with other sources alone: what the source itself says does
/// not move its forecast, and moves that of the others.
#[test]
fn a_rule_knows_its_errors_with_other_sources_alone() {
    let reading = |percent: u32| format!(r#"{{"months": 6, "sink_percent": {percent}}}"#);
    let forecast = |first: u32, of: usize| {
        let texts = [reading(first), reading(20), reading(30)];
        let cases = made(&texts.each_ref().map(String::as_str));
        let subjects = subjects(&cases, &[10.0, 20.0]);
        Rule::Third.members(&subjects[of], &subjects).unwrap()
    };
    assert_eq!(forecast(10, 0), forecast(60, 0));
    assert_ne!(forecast(10, 1), forecast(60, 1));
    // At the same age, it forecasts what the others said.
    let strains: Vec<f64> = forecast(10, 0)
        .into_iter()
        .map(|(strain, _)| strain)
        .collect();
    assert_close(strains[0], 0.20, 1e-12, 0.0);
    assert_close(strains[1], 0.30, 1e-12, 0.0);
    // From half a year, where a sixth was said and a fifth seen, to a year, where it says a third.
    let year = r#"{"months": 12, "sink_percent": 50}"#;
    let cases = made(&[year, &reading(20)]);
    let subjects = subjects(&cases, &[10.0, 20.0]);
    let forecast = Rule::Third.members(&subjects[0], &subjects).unwrap();
    assert_eq!(forecast.len(), 1);
    assert_close(
        1.0 - forecast[0].0,
        (2.0 / 3.0) * 0.8 / (5.0 / 6.0),
        1e-12,
        0.0,
    );
    let forecast = Rule::Fifteen.members(&subjects[0], &subjects).unwrap();
    assert_close(1.0 - forecast[0].0, 0.8, 1e-12, 0.0);
}

/// A source counts once however many readings it has, the interval holds the mean difference,
/// and under five sources nothing is said.
#[test]
fn sources_count_once_and_few_say_nothing() {
    const GROUPS: [&str; 6] = ["a", "b", "c", "d", "e", "a"];
    let pairs = |theirs: [f64; 6], sources: usize| -> Vec<Pair<'_>> {
        let places = (0..6).filter(|place| *place < sources || *place == 5);
        places
            .map(|place| Pair {
                group: GROUPS[place],
                ours: 1.0,
                theirs: theirs[place],
            })
            .collect()
    };
    let compared = |theirs, sources| Comparison::of(&pairs(theirs, sources)).unwrap();
    let better = compared([2.0, 3.0, 4.0, 5.0, 6.0, 4.0], 5);
    assert_eq!((better.readings, better.sources), (6, 5));
    assert_close(
        better.theirs,
        (3.0 + 3.0 + 4.0 + 5.0 + 6.0) / 5.0,
        1e-12,
        0.0,
    );
    assert!(better.difference.holds(better.ours - better.theirs));
    assert!(better.difference.low < better.difference.high);
    assert_eq!(better.verdict(), "better");
    assert_eq!(compared([0.5; 6], 5).verdict(), "worse");
    assert_eq!(
        compared([0.0, 2.0, 0.0, 2.0, 1.0, 0.0], 5).verdict(),
        "open"
    );
    assert_eq!(compared([2.0; 6], 4).verdict(), "too few sources");
    assert_eq!(better, compared([2.0, 3.0, 4.0, 5.0, 6.0, 4.0], 5));
    assert_eq!(Comparison::of(&[]), None);
}

/// Words that are not known are refused with those that are.
#[test]
fn options_are_checked() {
    let read = |words: &[&str]| Options::read(words.iter().map(|word| (*word).to_owned()));
    assert_eq!(read(&[]).unwrap().draws, 200);
    assert!(read(&["--small"]).unwrap().draws < 200);
    assert_eq!(read(&["--small", "--draws", "3"]).unwrap().draws, 3);
    for faulty in [
        &["--draws"][..],
        &["--draws", "1"],
        &["--draw", "3"],
        &["--save"],
    ] {
        assert!(read(faulty).is_err(), "{faulty:?}");
    }
}
