//! How much wider the bands would have to be, told by other sources: no reading is scored by a
//! width that its own source had a part in.

use moulder::internals::numeric::quantile::of_weighted;

use crate::observed::Side;
use crate::proper::ALPHA;
use crate::row::Row;
use crate::subject::{Scale, Subject};

/// Prints the widening that the other sources tell, and how many readings it would hold.
pub(crate) fn print(rows: &[Row<'_>]) {
    let known =
        |row: &&Row<'_>| row.subject.is_of_height() && row.subject.reading.side == Side::Both;
    let misses: Vec<(&str, f64)> = rows
        .iter()
        .filter(known)
        .map(|row| (row.subject.case.group.as_str(), miss(row.subject)))
        .collect();
    let widenings: Vec<f64> = misses
        .iter()
        .map(|(group, _)| of_others(&misses, group))
        .collect();
    let pairs = misses.iter().zip(&widenings);
    let held = pairs.filter(|((_, miss), widening)| miss <= widening);
    let least = widenings.iter().copied().fold(f64::INFINITY, f64::min);
    let most = widenings.iter().copied().fold(0.0, f64::max);
    println!();
    println!(
        "Were the bands of heights wider by what four in five of the other sources' misses take,"
    );
    println!(
        "{least:.1} to {most:.1} times in eta, {} of {} middles would lie in them.",
        held.count(),
        misses.len()
    );
}

/// How many half widths of its band a reading lies off the middle of its realisations.
fn miss(subject: &Subject<'_>) -> f64 {
    let members = subject.members();
    let at = |share| subject.on(Scale::Eta, of_weighted(&members, share));
    let off = subject.on(Scale::Eta, subject.truth()) - at(0.5);
    let end = if off < 0.0 {
        0.5 * ALPHA
    } else {
        1.0 - 0.5 * ALPHA
    };
    off / (at(end) - at(0.5))
}

/// The 80 % quantile of the misses of other sources, each source with equal weight.
fn of_others(misses: &[(&str, f64)], group: &str) -> f64 {
    let others: Vec<&(&str, f64)> = misses.iter().filter(|(of, _)| *of != group).collect();
    let raw: Vec<(f64, f64)> = others
        .iter()
        .map(|(of, miss)| {
            let alike = others.iter().filter(|(other, _)| other == of).count();
            (
                *miss,
                1.0 / f64::from(u32::try_from(alike).unwrap_or(u32::MAX)),
            )
        })
        .collect();
    let all: f64 = raw.iter().map(|(_, weight)| weight).sum();
    let weighted: Vec<(f64, f64)> = raw
        .into_iter()
        .map(|(miss, weight)| (miss, weight / all))
        .collect();
    of_weighted(&weighted, 0.8)
}
