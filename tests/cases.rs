//! The observed cases: does every bed read, and is the score the published one? The comparison
//! with forecasts is a report (`examples/cases`), not a test.
#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "the report uses the rest; a test fails by panicking"
)]

#[path = "../examples/cases/draws.rs"]
mod draws;
#[path = "../examples/cases/files.rs"]
mod files;
#[path = "../examples/cases/forecasts.rs"]
mod forecasts;
#[path = "../examples/cases/observed.rs"]
mod observed;
#[path = "../examples/cases/proper.rs"]
mod proper;
#[path = "../examples/cases/range.rs"]
mod range;
#[path = "../examples/cases/scaled.rs"]
mod scaled;
#[path = "../examples/cases/score.rs"]
mod score;
mod support;

use draws::Open;
use files::CaseBed;
use moulder::internals::library::Library;
use moulder::internals::library::calibration::Calibration;
use moulder::internals::numeric::quantile::of_sorted;
use moulder::internals::uncertainty::parameter::UncertainParameters;
use moulder::internals::uncertainty::realisation::months_of_realisation;
use observed::{Case, Unit};
use range::Range;
use support::assert_close;

fn all() -> (Vec<Case>, Vec<CaseBed>) {
    let text = include_str!("../examples/cases/open.json");
    let beds = files::beds("cases", &Library::built_in())
        .unwrap_or_else(|faults| panic!("{}", faults.join("\n")));
    (observed::cases(text).unwrap(), beds)
}

fn range(low: f64, high: f64) -> Range {
    Range { low, high }
}

/// Every bed file reads without a fault, and every case has a bed or a stated reason.
#[test]
fn every_case_has_a_bed_or_a_reason() {
    let (cases, beds) = all();
    assert_eq!(files::misfits(&cases, &beds), Vec::<String>::new());
    assert!(beds.iter().any(|bed| bed.variant.is_some()));
}

/// The central bed of a case comes before its variants, since the nominal forecast is that of
/// the first.
#[test]
fn the_middle_bed_comes_first() {
    let (cases, beds) = all();
    for case in cases {
        let first = beds.iter().find(|bed| bed.id == case.id);
        if let Some(first) = first {
            assert_eq!(first.variant, None, "{}", case.id);
        }
    }
}

/// A missing bed, a missing case, and a reason beside a bed are reported.
#[test]
fn misfits_are_told() {
    let (cases, beds) = all();
    let told = |cases: &[Case], beds: &[CaseBed]| files::misfits(cases, beds).join("; ");
    let without: Vec<CaseBed> = beds.iter().filter(|b| b.id != "bed-03").cloned().collect();
    assert_eq!(
        told(&cases, &without),
        "bed-03: neither a bed nor a reason for none"
    );
    let fewer: Vec<Case> = cases
        .iter()
        .filter(|case| case.id != "wood-02")
        .cloned()
        .collect();
    assert!(told(&fewer, &beds).contains("wood-02: no such case"));
    let mut more = beds.clone();
    more.push(CaseBed {
        id: "peat-02".to_owned(),
        ..beds[0].clone()
    });
    more.last_mut().unwrap().variant = None;
    assert_eq!(told(&cases, &more), "peat-02: a bed, and a reason for none");
}

/// Where a case gives a height, its beds have it: the central bed its midpoint, and all
/// together no more than its range, within 1 cm.
#[test]
fn beds_are_as_high_as_the_case_says() {
    let (cases, beds) = all();
    let mut compared = 0;
    for case in &cases {
        let Some(given) = case.height_cm else {
            continue;
        };
        if case.not_scored.is_some() {
            continue;
        }
        let (middle_cm, all_cm) = forecasts::heights_cm(case, &beds).unwrap();
        assert_close(middle_cm, given.middle(), 0.0, 1.0);
        assert_close(all_cm.low, given.low, 0.0, 1.0);
        assert_close(all_cm.high, given.high, 0.0, 1.0);
        compared += 1;
    }
    assert!(compared > 0);
}

/// Cases are read in their own unit, with all of their points.
#[test]
fn readings_are_read_as_they_stand() {
    let (cases, _) = all();
    let readings = |id: &str| {
        let case = cases.iter().find(|case| case.id == id);
        case.unwrap().readings.clone()
    };
    let bed = readings("bed-03");
    assert_eq!((bed.len(), bed[0].unit), (1, Unit::Cm));
    assert_eq!(bed[0].sink, range(20.0, 30.0));
    let heap = readings("heap-01");
    assert_eq!((heap.len(), heap[1].unit), (2, Unit::Percent));
    assert!(heap[0].sink.is_one_figure() && heap[0].sink.holds(33.0));
    assert_eq!(heap[1].months, range(6.0, 7.0));
}

/// The interval score is Gneiting & Raftery 2007, eq. 43: at alpha 0.2 the width, and ten for
/// each unit outside (computed by hand).
#[test]
fn the_interval_score_is_the_published_one() {
    let told = range(2.0, 5.0);
    for (truth, expected) in [(3.0, 3.0), (2.0, 3.0), (1.0, 13.0), (7.0, 23.0)] {
        let score = proper::interval_score(told, truth, proper::ALPHA);
        assert_close(score, expected, 1e-12, 0.0);
    }
}

/// The score of an ensemble is that of its distribution function, the integral of
/// `(F(x) - 1{x >= y})^2` (Gneiting & Raftery 2007, eq. 20), done by hand: two members at 0 and 2
/// with the observation at 1 leave a quarter over a length of two, at 3 a quarter over two and
/// one over one; thirds at 0, 1 and 3 with the observation at 1 leave 1/9 over one and 1/9 over
/// two; weights of 3/4 and 1/4 leave 9/16 where they lie below it and 1/16 where above. One
/// member is its distance.
#[test]
fn the_score_of_an_ensemble_is_the_published_one() {
    let equal = |members: &[f64]| -> Vec<(f64, f64)> {
        let share = 1.0 / f64::from(u32::try_from(members.len()).unwrap());
        members.iter().map(|member| (*member, share)).collect()
    };
    for (members, truth, expected) in [
        (equal(&[2.0, 0.0]), 1.0, 0.5),
        (equal(&[0.0, 2.0]), 3.0, 0.5 + 1.0),
        (equal(&[3.0, 0.0, 1.0]), 1.0, 1.0 / 9.0 + 2.0 / 9.0),
        (vec![(0.0, 0.75), (1.0, 0.25)], 1.0, 9.0 / 16.0),
        (vec![(0.0, 0.75), (1.0, 0.25)], 0.0, 1.0 / 16.0),
        (equal(&[4.0]), 1.5, 2.5),
    ] {
        assert_close(proper::crps(&members, truth), expected, 1e-12, 1e-12);
    }
}

/// The interval of a case contains its own median, is wider where the case leaves the months
/// open, and the causes of the nominal run are shares of the whole.
#[test]
fn a_band_spans_what_the_case_leaves_open() {
    const DRAWS: u32 = 12;
    let (mut cases, beds) = all();
    let case = cases.iter_mut().find(|case| case.id == "soil-01").unwrap();
    let open = forecasts::told(case, &beds, DRAWS).unwrap().remove(0);
    assert!(open.pool.band().holds(open.pool.median()), "{open:?}");
    assert_eq!(open, forecasts::told(case, &beds, DRAWS).unwrap().remove(0));
    assert_close(open.shares.iter().sum(), 1.0, 1e-9, 0.0);
    let middle = case.readings[0].months.middle();
    case.readings[0].months = range(middle, middle);
    let fixed = forecasts::told(case, &beds, DRAWS).unwrap().remove(0);
    assert_close(fixed.line, open.line, 1e-12, 0.0);
    let (open, fixed) = (open.pool.band(), fixed.pool.band());
    assert!(fixed.low > open.low, "{fixed:?} in {open:?}");
    assert!(open.overlaps(fixed));
}

/// Realisations of one bed of a case with whole months are those of the bed.
#[test]
fn draws_are_those_of_the_bed() {
    let (mut cases, beds) = all();
    let case = cases.iter_mut().find(|case| case.id == "bed-08").unwrap();
    assert_eq!((case.height_cm, case.readings[0].unit), (None, Unit::Cm));
    case.readings[0].months = range(6.0, 6.0);
    let alone: Vec<CaseBed> = beds
        .iter()
        .filter(|bed| bed.id == case.id && bed.variant.is_none())
        .cloned()
        .collect();
    let drawn = &draws::drawn(case, &alone, 12, Open::Spread, Calibration::kept()).unwrap()[0];
    let bed = &alone[0].bed;
    let uncertain = UncertainParameters::new(bed);
    let mut sunk_cm: Vec<f64> = (0..12)
        .map(|number| months_of_realisation(bed, &uncertain, 1, number, 6).unwrap()[6].settlement_m)
        .map(|sunk_m| 100.0 * sunk_m)
        .collect();
    sunk_cm.sort_by(f64::total_cmp);
    assert_close(drawn.band().low, of_sorted(&sunk_cm, 0.1), 1e-9, 0.0);
    assert_close(drawn.median(), of_sorted(&sunk_cm, 0.5), 1e-9, 0.0);
    assert_close(drawn.band().high, of_sorted(&sunk_cm, 0.9), 1e-9, 0.0);
}
