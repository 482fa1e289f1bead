//! Forecasts against rules of thumb, and against an earlier run.

use moulder::internals::numeric::quantile::of_sorted;

use crate::marks::Marks;
use crate::paired::{Comparison, FEWEST_SOURCES, Pair};
use crate::part::{Extent, Part};
use crate::range::Range;
use crate::saved::{Saved, SavedReading};
use crate::subject::{Scale, Set};
use crate::thumb::RULES;

/// Prints the comparison with rules of thumb.
pub(crate) fn print_rules(parts: &[Part<'_>]) {
    println!();
    println!(
        "Against rules of thumb: a third of the height in the first year (in proportion until"
    );
    println!(
        "then, nothing after), and 15 %; each with an interval from its errors with all other"
    );
    println!(
        "sources. Difference: ours less theirs, with its 90 % interval over sources (bootstrap);"
    );
    println!("a verdict only from {FEWEST_SOURCES} sources on.");
    print_comparison_head("ours", "rule");
    for Part { name, extent, rows } in parts {
        for (place, rule) in RULES.iter().enumerate() {
            for score in scores(*extent) {
                let pairs: Vec<Pair<'_>> = rows
                    .iter()
                    .filter_map(|row| {
                        let theirs = row.rules[place]?;
                        Some(Pair {
                            group: &row.subject.case.group,
                            ours: score.of(&row.ours)?,
                            theirs: score.of(&theirs)?,
                        })
                    })
                    .collect();
                print_comparison(name, rule.name(), score, &pairs);
            }
        }
    }
}

/// A reading now and before.
type Both<'a> = (&'a SavedReading, SavedReading);

/// Prints a run beside an earlier one.
pub(crate) fn print_against(now: &Saved, before: &Saved, file: &str) {
    println!();
    println!("Against {file} ({} draws; now {})", before.draws, now.draws);
    let find = |of: &Saved, reading: &SavedReading| {
        let same = |one: &&SavedReading| one.key == reading.key && one.group == reading.group;
        of.readings.iter().find(same).cloned()
    };
    for (who, one, other) in [("now", now, before), ("before", before, now)] {
        for reading in &one.readings {
            if find(other, reading).is_none() {
                println!("{}: {who} alone, not compared", reading.key);
            }
        }
    }
    let both: Vec<Both<'_>> = now
        .readings
        .iter()
        .filter_map(|reading| Some((reading, find(before, reading)?)))
        .collect();
    let mut names: Vec<(String, Extent, Vec<&Both<'_>>)> = Vec::new();
    let mut add = |name: String, extent, of: &dyn Fn(&SavedReading) -> bool| {
        let chosen: Vec<_> = both.iter().filter(|(reading, _)| of(reading)).collect();
        if !chosen.is_empty() {
            names.push((name, extent, chosen));
        }
    };
    let mut classes: Vec<&str> = Vec::new();
    for (reading, _) in &both {
        if !classes.contains(&reading.class.as_str()) {
            classes.push(&reading.class);
        }
    }
    for class in classes {
        add(class.to_owned(), Extent::Class, &|reading| {
            reading.class == class
        });
    }
    let is_height = |reading: &SavedReading| reading.crps_cm.is_some();
    for set in Set::ALL {
        add(
            format!("heights, {}", set.name()),
            Extent::Whole,
            &|reading| is_height(reading) && reading.set == set.name(),
        );
    }
    add("heights, all".to_owned(), Extent::Whole, &is_height);
    println!(
        "{:24}{:>6}{:>16}{:>16}{:>16}{:>16}",
        "before, now", "n", "overlap", "inside", "told", "open"
    );
    for (name, _, pairs) in &names {
        let counted = |of: &dyn Fn(&SavedReading) -> bool| {
            let now = pairs.iter().filter(|(now, _)| of(now)).count();
            let before = pairs.iter().filter(|(_, before)| of(before)).count();
            format!("{before}, {now}")
        };
        let widths = |of: fn(&SavedReading) -> f64| {
            let median = |mut widths: Vec<f64>| {
                widths.sort_by(f64::total_cmp);
                of_sorted(&widths, 0.5)
            };
            let before = median(pairs.iter().map(|(_, before)| of(before)).collect());
            let now = median(pairs.iter().map(|(now, _)| of(now)).collect());
            format!("{before:.2}, {now:.2}")
        };
        println!(
            "{name:24}{:>6}{:>16}{:>16}{:>16}{:>16}",
            pairs.len(),
            counted(&|reading| reading.overlaps),
            counted(&|reading| reading.is_inside == Some(true)),
            widths(|reading| reading.width_told_eta),
            widths(|reading| reading.width_open_eta),
        );
    }
    println!();
    print_comparison_head("now", "before");
    for (name, extent, pairs) in &names {
        for score in scores(*extent) {
            let pairs: Vec<Pair<'_>> = pairs
                .iter()
                .filter_map(|(now, before)| {
                    Some(Pair {
                        group: &now.group,
                        ours: score.of_saved(now)?,
                        theirs: score.of_saved(before)?,
                    })
                })
                .collect();
            print_comparison(name, "before", score, &pairs);
        }
    }
}

/// The scores that parts are compared by: classes in eta alone, so that the table stays short.
fn scores(extent: Extent) -> &'static [Score] {
    match extent {
        Extent::Half => &[],
        Extent::Class => &SCORES[..2],
        Extent::Whole => &SCORES,
    }
}

/// A score that forecasters are compared by.
#[derive(Debug, Clone, Copy)]
struct Score {
    name: &'static str,
    scale: Scale,
    is_interval: bool,
}

static SCORES: [Score; 4] = {
    const fn score(name: &'static str, scale: Scale, is_interval: bool) -> Score {
        Score {
            name,
            scale,
            is_interval,
        }
    }
    [
        score("CRPS", Scale::Eta, false),
        score("IS", Scale::Eta, true),
        score("CRPS cm", Scale::Cm, false),
        score("IS cm", Scale::Cm, true),
    ]
};

impl Score {
    fn of(&self, marks: &Marks) -> Option<f64> {
        let scores = match self.scale {
            Scale::Cm => marks.cm?,
            Scale::Eta => marks.eta,
        };
        Some(if self.is_interval {
            scores.interval
        } else {
            scores.crps
        })
    }

    fn of_saved(&self, reading: &SavedReading) -> Option<f64> {
        match (self.scale, self.is_interval) {
            (Scale::Eta, false) => Some(reading.crps_eta),
            (Scale::Eta, true) => Some(reading.interval_eta),
            (Scale::Cm, false) => reading.crps_cm,
            (Scale::Cm, true) => reading.interval_cm,
        }
    }
}

fn print_comparison_head(ours: &str, theirs: &str) {
    println!(
        "{:18}{:8}{:8}{:>4}{:>4}{ours:>8}{theirs:>8}{:>9}{:>17}",
        "", "", "", "n", "s", "diff", "90 %"
    );
}

fn print_comparison(name: &str, against: &str, score: &Score, pairs: &[Pair<'_>]) {
    let Some(all) = Comparison::of(pairs) else {
        return;
    };
    let digits = match score.scale {
        Scale::Cm => 2,
        Scale::Eta => 3,
    };
    let Range { low, high } = all.difference;
    println!(
        "{name:18}{against:8}{:8}{:>4}{:>4}{:>8.digits$}{:>8.digits$}{:>+9.digits$}{:>17} {}",
        score.name,
        all.readings,
        all.sources,
        all.ours,
        all.theirs,
        all.ours - all.theirs,
        if all.sources < FEWEST_SOURCES {
            "-".to_owned()
        } else {
            format!("{low:+.digits$} {high:+.digits$}")
        },
        all.verdict()
    );
}
