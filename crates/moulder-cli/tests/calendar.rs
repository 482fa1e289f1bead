//! A calendar of beds is read back by another library as it was meant, whatever their names.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use calcard::icalendar::{
    ICalendar, ICalendarComponent, ICalendarComponentType, ICalendarProperty, ICalendarValue,
};

const BED: &str = "../../examples/beds/bulk-bag.toml";
/// The day on which that bed was filled.
const FILLED: &str = "2026-03-14";
const MEASURED: &str = "../../examples/beds/measured-bag.toml";
const DECK: &str = "tests/beds/deck-box.toml";
const INCHES: &str = "tests/beds/inches.toml";
const MOUND: &str = "tests/cmd/tape.in/mound.toml";

fn run(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_moulder"))
        .args(words)
        .output()
        .unwrap()
}

fn moulder(words: &[&str]) -> String {
    let output = run(words);
    let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{words:?}: {complaint}");
    String::from_utf8(output.stdout).unwrap()
}

/// An entry of the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Day {
    on: String,
    stamp: String,
    uid: String,
    title: String,
    text: String,
}

fn day_of(component: &ICalendarComponent) -> Day {
    let value = |name| {
        let entry = component.property(&name).unwrap();
        assert_eq!(entry.values.len(), 1, "{entry:?}");
        &entry.values[0]
    };
    let text = |name| value(name).as_text().unwrap().to_owned();
    let date = |name| match value(name) {
        ICalendarValue::PartialDateTime(day) => {
            let date = format!(
                "{:04}-{:02}-{:02}",
                day.year.unwrap(),
                day.month.unwrap(),
                day.day.unwrap()
            );
            (date, day.hour)
        }
        other => panic!("{other:?}"),
    };
    let (on, hour) = date(ICalendarProperty::Dtstart);
    assert_eq!(hour, None, "a whole day");
    let (stamp, hour) = date(ICalendarProperty::Dtstamp);
    assert_eq!(hour, Some(0));
    Day {
        on,
        stamp,
        uid: text(ICalendarProperty::Uid),
        title: text(ICalendarProperty::Summary),
        text: text(ICalendarProperty::Description),
    }
}

/// The days of a calendar, whose lines are as RFC 5545 has them (section 3.1).
fn read(text: &str) -> Vec<Day> {
    assert!(text.ends_with("END:VCALENDAR\r\n"), "{text}");
    for line in text.split_terminator("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(!line.contains(['\r', '\n']), "{line:?}");
    }
    let calendar = ICalendar::parse(text).unwrap();
    let events = calendar.components.iter();
    let events = events.filter(|found| found.component_type == ICalendarComponentType::VEvent);
    let days: Vec<Day> = events.map(day_of).collect();
    assert_eq!(days.len(), text.matches("BEGIN:VEVENT").count());
    let uids: BTreeSet<&str> = days.iter().map(|day| day.uid.as_str()).collect();
    assert_eq!(
        uids.len(),
        days.len(),
        "each has a name of its own: {days:?}"
    );
    assert!(days.is_sorted_by_key(|day| &day.on), "{days:?}");
    days
}

/// The calendar on the screen.
fn calendar(words: &[&str]) -> Vec<Day> {
    read(&moulder(
        &[&["topup"], words, &["--calendar", "-"]].concat(),
    ))
}

/// Days and the first words of their titles.
fn outline(days: &[Day]) -> Vec<(&str, &str)> {
    let outline = days.iter().map(|day| {
        let word = day.title.split(' ').next().unwrap();
        (day.on.as_str(), word)
    });
    outline.collect()
}

#[test]
fn a_calendar_has_the_days_of_the_list() {
    let asked = [
        BED,
        "--years",
        "2",
        "--lead-days",
        "10",
        "--price",
        "4.5",
        "--draws",
        "4",
        "--today",
        FILLED,
    ];
    let days = calendar(&asked);
    assert_eq!(days, calendar(&asked), "the same input gives the same days");
    assert_eq!(
        outline(&days),
        [
            ("2026-04-01", "Measure"),
            ("2026-04-11", "Measure"),
            ("2026-10-01", "Measure"),
            ("2027-02-25", "Measure"),
            ("2027-03-04", "Order"),
            ("2027-03-14", "Top"),
            ("2027-04-01", "Measure"),
            ("2027-10-01", "Measure"),
            ("2028-02-26", "Measure"),
            ("2028-03-04", "Order"),
            ("2028-03-14", "Top"),
        ]
    );
    assert!(days.iter().all(|day| day.stamp == "2026-03-14"));
    let json = moulder(&[&["topup"], &asked[..], &["--json"]].concat());
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let name = json["name"].as_str().unwrap();
    let orders = days.iter().filter(|day| day.title.starts_with("Order"));
    for (order, told) in orders.zip(json["top_ups"].as_array().unwrap()) {
        assert_eq!(order.on, told["order_by"]);
        let title = format!("Order {} bags of loamy topsoil for {name}", told["bought"]);
        assert_eq!(order.title, title);
        let cost = format!("{:.2}", told["cost"].as_f64().unwrap());
        assert!(order.text.contains(&cost), "{} {cost}", order.text);
    }
    for day in days.iter().filter(|day| !day.title.starts_with("Order")) {
        assert!(day.text.contains("xpect about"), "{}", day.text);
        // What is laid on is no longer as planned, and has no range.
        let is_known = day.on.as_str() <= "2027-03-14" || day.on.starts_with("2028");
        assert_eq!(day.text.contains("(8 in 10"), is_known, "{}", day.text);
        assert!(day.text.contains("cm below the rim"), "{}", day.text);
    }
}

#[test]
fn figures_are_in_the_units_of_the_bed() {
    let inches = calendar(&[INCHES, "--years", "1", "--draws", "0", "--today", FILLED]);
    assert!(
        inches
            .iter()
            .any(|day| day.text.contains(" in below the rim"))
    );
    assert!(inches.iter().any(|day| day.text.contains("cu ft")));
    let other = calendar(&[
        INCHES, "--years", "1", "--draws", "0", "--units", "metric", "--today", FILLED,
    ]);
    assert!(
        other
            .iter()
            .any(|day| day.text.contains(" cm below the rim"))
    );
    let mound = calendar(&[MOUND, "--years", "1", "--draws", "0", "--today", FILLED]);
    assert!(
        mound[0].text.starts_with("Measure its height"),
        "{}",
        mound[0].text
    );
    assert!(
        mound[0].text.contains("lower than when built"),
        "{}",
        mound[0].text
    );
}

#[test]
fn what_was_seen_is_past() {
    let last = "2026-09-19";
    let asked = [MEASURED, "--years", "1", "--draws", "0", "--today"];
    let days = calendar(&[&asked[..], &[last]].concat());
    assert!(days.iter().all(|day| day.on.as_str() > last), "{days:?}");
    let filled = calendar(&[&asked[..], &[last, "--as-filled"]].concat());
    assert!(filled.iter().any(|day| day.on.as_str() < last));
    // Months gone by are not offered, by nobody.
    let today = "2027-03-10";
    let days = calendar(&[&asked[..], &[today, "--lead-days", "30"]].concat());
    assert!(days.iter().all(|day| day.on.as_str() >= today), "{days:?}");
    let titled = |word: &str| days.iter().find(|day| day.title.starts_with(word)).unwrap();
    let on = |word: &str| titled(word).on.parse::<moulder::Date>().unwrap();
    assert_eq!(on("Order").until(on("Top")).unwrap().get_days(), 30);
}

#[test]
fn dangers_come_first_where_weight_is_added() {
    let days = calendar(&[DECK, "--years", "2", "--draws", "0", "--today", FILLED]);
    let adds = |day: &&Day| !day.title.starts_with("Measure");
    assert!(days.iter().filter(adds).count() >= 2);
    for day in days.iter().filter(adds) {
        assert!(day.text.starts_with("Danger: "), "{}", day.text);
    }
    // As for every answer that is no words, they are told on the side as well.
    let output = run(&["topup", DECK, "--draws", "0", "--calendar", "-"]);
    let aside = String::from_utf8(output.stderr).unwrap();
    assert!(aside.starts_with("Danger: "), "{aside}");
}

#[test]
fn beds_share_orders_or_buy_for_themselves() {
    let orders = |words: &[&str]| {
        let days = calendar(words);
        let orders = days.iter().filter(|day| day.title.starts_with("Order"));
        orders.map(|day| day.title.clone()).collect::<Vec<_>>()
    };
    let beds = [BED, BED, "--years", "1", "--draws", "0"];
    let together = orders(&beds);
    assert!(
        together.len() == 1 && together[0].ends_with(" for 2 beds"),
        "{together:?}"
    );
    let apart = orders(&[&beds[..], &["--each"]].concat());
    assert_eq!(apart.len(), 2, "{apart:?}");
}

#[test]
fn hostile_names_are_only_names() {
    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(BED).unwrap();
    let line = text.lines().find(|line| line.starts_with("name")).unwrap();
    for name in [
        "a, b; c: d \\ \\n e \"f\" END:VEVENT",
        &"ö".repeat(200),
        &"学".repeat(200),
        "=1+2 💧, DTSTART:20200101",
    ] {
        let path = folder.path().join("bed.toml");
        let named = format!("name = {}", toml::Value::from(name));
        fs::write(&path, text.replacen(line, &named, 1)).unwrap();
        let days = calendar(&[path.to_str().unwrap(), "--years", "1", "--draws", "0"]);
        assert_eq!(days[0].title, format!("Measure {name}"));
        assert!(days.iter().all(|day| day.title.contains(name)), "{days:?}");
    }
}

/// Writes a calendar with these options.
fn writes(file: &Path, options: &[&str]) -> Output {
    let file = file.to_str().unwrap();
    let words = [
        "topup",
        BED,
        "--years",
        "1",
        "--draws",
        "0",
        "--calendar",
        file,
    ];
    run(&[&words[..], options].concat())
}

#[test]
fn a_file_that_is_there_stays() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("bed.ics");
    let output = writes(&file, &[]);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.contains("bed.ics is written"), "{said}");
    let written = fs::read_to_string(&file).unwrap();
    assert!(!read(&written).is_empty());
    fs::write(&file, "notes").unwrap();
    let output = writes(&file, &[]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(said.contains("--force"), "{said}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "notes");
    assert_eq!(writes(&file, &["--force"]).status.code(), Some(0));
    assert_eq!(fs::read_to_string(&file).unwrap(), written);
    // It is an answer of its own.
    for other in [&["--csv"][..], &["--json"], &["-o", "other.txt"]] {
        assert_eq!(writes(&file, other).status.code(), Some(2), "{other:?}");
    }
}
