//! Readings that are pooled, and their table.

use moulder::internals::numeric::quantile::of_sorted;

use crate::draws::Pool;
use crate::marks::{Scores, width_eta};
use crate::paired::{by_source, mean};
use crate::report::{fine, short};
use crate::row::Row;
use crate::subject::{Set, Subject};

/// Some rows under a name.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Part<'a> {
    pub(crate) name: String,
    pub(crate) extent: Extent,
    pub(crate) rows: Vec<&'a Row<'a>>,
}

/// How much a part takes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Extent {
    /// A class of one set, where both sets have it.
    Half,
    /// A class.
    Class,
    /// All heights, of a set or of both.
    Whole,
}

/// The classes by their sets, then sums.
pub(crate) fn parts<'a>(rows: &'a [Row<'a>]) -> Vec<Part<'a>> {
    let mut parts = Vec::new();
    let mut add = |name: String, extent, of: &dyn Fn(&Subject<'_>) -> bool| {
        let rows: Vec<&Row<'_>> = rows.iter().filter(|row| of(row.subject)).collect();
        if !rows.is_empty() {
            parts.push(Part { name, extent, rows });
        }
    };
    for class in classes(rows) {
        let of_class = |subject: &Subject<'_>| subject.case.class == class;
        let has = |set| {
            rows.iter()
                .any(|row| of_class(row.subject) && row.subject.set == set)
        };
        let sets = Set::ALL.into_iter().filter(|set| has(*set));
        if sets.clone().count() > 1 {
            for set in sets {
                let name = format!("{class}, {}", set.name());
                add(name, Extent::Half, &|subject| {
                    of_class(subject) && subject.set == set
                });
            }
        }
        add(class.to_owned(), Extent::Class, &of_class);
    }
    for set in Set::ALL {
        add(
            format!("heights, {}", set.name()),
            Extent::Whole,
            &|subject| subject.is_of_height() && subject.set == set,
        );
    }
    add("heights, all".to_owned(), Extent::Whole, &|subject| {
        subject.is_of_height()
    });
    parts
}

/// The classes, in the order of the cases; dry mass last.
pub(crate) fn classes<'a>(rows: &'a [Row<'_>]) -> Vec<&'a str> {
    let mut classes: Vec<&str> = Vec::new();
    for is_of_height in [true, false] {
        for row in rows {
            let class = row.subject.case.class.as_str();
            if row.subject.is_of_height() == is_of_height && !classes.contains(&class) {
                classes.push(class);
            }
        }
    }
    classes
}

/// Prints the pooled scores.
pub(crate) fn print_pooled(parts: &[Part<'_>]) {
    println!();
    println!("Pooled. Scores are means over sources of the means over their readings; widths are");
    println!("medians over readings, in per cent of mid and in eta. n: readings, s: sources.");
    println!(
        "{:24}{:>4}{:>4}{:>9}{:>9}{:>6}{:>6}{:>6}{:>6}{:>6}{:>7}{:>6}{:>6}",
        "",
        "n",
        "s",
        "overlap",
        "inside",
        "told%",
        "open%",
        "told",
        "open",
        "IS cm",
        "IS",
        "CR cm",
        "CR"
    );
    for Part { name, rows, .. } in parts {
        let overlaps = rows.iter().filter(|row| row.ours.overlaps).count();
        let inside: Vec<bool> = rows.iter().filter_map(|row| row.ours.is_inside).collect();
        let median = |of: &dyn Fn(&Subject<'_>) -> f64| {
            let mut all: Vec<f64> = rows.iter().map(|row| of(row.subject)).collect();
            all.sort_by(f64::total_cmp);
            of_sorted(&all, 0.5)
        };
        let pooled = |of: &dyn Fn(&Row<'_>) -> Option<f64>| {
            let values = rows
                .iter()
                .filter_map(|row| Some((row.subject.case.group.as_str(), of(row)?)));
            let sources = by_source(values);
            (!sources.is_empty()).then(|| mean(&sources))
        };
        let cm = |of: fn(&Scores) -> f64| {
            let pooled = pooled(&|row| row.ours.cm.as_ref().map(of));
            pooled.map_or("-".to_owned(), short)
        };
        let eta = |of: fn(&Scores) -> f64| {
            let pooled = pooled(&|row| Some(of(&row.ours.eta)));
            pooled.map_or("-".to_owned(), fine)
        };
        println!(
            "{name:24}{:>4}{:>4}{:>9}{:>9}{:>6.0}{:>6.0}{:>6.2}{:>6.2}{:>6}{:>7}{:>6}{:>6}",
            rows.len(),
            by_source(
                rows.iter()
                    .map(|row| (row.subject.case.group.as_str(), 0.0))
            )
            .len(),
            format!("{overlaps} of {}", rows.len()),
            format!(
                "{} of {}",
                inside.iter().filter(|is| **is).count(),
                inside.len()
            ),
            100.0 * median(&|subject| relative(&subject.told)),
            100.0 * median(&|subject| relative(&subject.open)),
            median(&|subject| width_eta(subject, &subject.members_told())),
            median(&|subject| width_eta(subject, &subject.members())),
            cm(|scores| scores.interval),
            eta(|scores| scores.interval),
            cm(|scores| scores.crps),
            eta(|scores| scores.crps),
        );
    }
}

/// Width as a share of the median.
fn relative(pool: &Pool) -> f64 {
    let band = pool.band();
    (band.high - band.low) / pool.median().abs()
}
