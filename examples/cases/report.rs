//! The printed report: a table for each class, then the classes side by side.

use moulder::internals::numeric::quantile::of_sorted;

use crate::files::PARTLY;
use crate::forecasts::Told;
use crate::observed::{Case, Reading};
use crate::range::Range;
use crate::score::Score;

/// A reading with its forecast and score.
pub(crate) struct Row<'a> {
    pub(crate) case: &'a Case,
    pub(crate) reading: &'a Reading,
    /// Height of the central bed on the day of filling; cm.
    pub(crate) height_cm: f64,
    /// Those of all beds of the case; cm.
    pub(crate) heights_cm: Range,
    pub(crate) told: Told,
    pub(crate) score: Score,
}

/// Prints the report.
pub(crate) fn print(cases: &[Case], rows: &[Row<'_>], draws: u32) {
    println!("What moulder forecasts of the open observed cases, whose sources are in");
    println!("examples/cases/open.json. A report: nothing here passes or fails.");
    println!();
    println!("low, mid,   the band that four in five draws lie in, and the middle of the");
    println!("high        draws: {draws} of each bed of the case, which all count alike, over");
    println!("            all that is uncertain and the months and heights left open");
    println!("line        the middle line of the bed as chosen, middle height and month");
    println!("months      since filling; from an age to another where both stand");
    println!("set ... wo  settling, sifting, soft rot, wood rot: per cent of line;");
    println!("            of the whole bed even where a layer alone was read");
    println!("wid         width of the band in per cent of mid");
    println!("sc%         interval score (Gneiting & Raftery 2007, eq. 43, alpha 0.2)");
    println!("            against the middle of the observed range, in per cent of it");
    println!("in, ov      mid inside the observed range (- where that is one figure);");
    println!("            the band meets the observed range");
    let classes = classes(cases);
    for class in &classes {
        println!();
        println!("{class}{}", partly(class));
        println!(
            "{:9}{:>7} {:2}{:>7}{:>6}{:>6}{:>6}{:>6}{:>4}{:>4}{:>4}{:>4}{:>4}{:>5}{:>4}{:>4}",
            "case",
            "months",
            "",
            "seen",
            "low",
            "mid",
            "high",
            "line",
            "set",
            "sif",
            "so",
            "wo",
            "wid",
            "sc%",
            "in",
            "ov"
        );
        for row in rows.iter().filter(|row| row.case.class == *class) {
            print_row(row);
        }
        for case in cases.iter().filter(|case| case.class == *class) {
            let row = rows.iter().find(|row| row.case.id == case.id);
            if let (Some(row), None) = (row, case.height_cm) {
                println!(
                    "{}: no height given; chosen {:.0} cm, from {:.0} to {:.0}",
                    case.id, row.height_cm, row.heights_cm.low, row.heights_cm.high
                );
            }
        }
        for case in cases.iter().filter(|case| case.class == *class) {
            if let Some(reason) = &case.not_scored {
                println!(
                    "{}",
                    wrapped(&format!("{}: out of scope: {reason}", case.id))
                );
            }
        }
    }
    println!();
    println!("By class; width is the median. The aim: four in five overlap, width under 40.");
    println!("No mean over classes is a verdict: \"all\" is there for its counts.");
    println!(
        "{:21}{:>8}{:>9}{:>9}{:>8}{:>8}{:>8}{:>8}",
        "", "readings", "inside", "overlap", "width %", "score %", "error %", "|error|"
    );
    for class in &classes {
        let of_class = rows.iter().filter(|row| row.case.class == *class);
        print_sum(class, &of_class.collect::<Vec<_>>());
    }
    let all: Vec<&Row<'_>> = rows.iter().collect();
    print_sum("all", &all);
    let ready: Vec<&Row<'_>> = rows
        .iter()
        .filter(|row| partly(&row.case.class).is_empty())
        .collect();
    print_sum("all but stacked wood", &ready);
}

fn print_row(row: &Row<'_>) {
    let Row {
        case,
        reading,
        told,
        score,
        ..
    } = row;
    let band = told.pool.band();
    let share = |index: usize| format!("{:.0}", 100.0 * told.shares[index]);
    println!(
        "{:9}{:>7} {:2}{:>7}{:>6.1}{:>6.1}{:>6.1}{:>6.1}{:>4}{:>4}{:>4}{:>4}{:>4.0}{:>5.0}{:>4}{:>4}",
        case.id,
        reading.months,
        reading.unit.sign(),
        reading.sink,
        band.low,
        told.pool.median(),
        band.high,
        told.line,
        share(0),
        share(1),
        share(2),
        share(3),
        100.0 * score.width,
        100.0 * score.relative,
        score.is_inside.map_or("-", yes_no),
        yes_no(score.overlaps)
    );
}

/// One line for many rows: counts, the median width of their intervals as per cent of the
/// median, and means as per cent of the observed settlement.
fn print_sum(name: &str, rows: &[&Row<'_>]) {
    if rows.is_empty() {
        println!("{name:21}{:>8}", 0);
        return;
    }
    let mean = |of: fn(&Score) -> f64| {
        let count = f64::from(u32::try_from(rows.len()).unwrap_or(u32::MAX));
        100.0 * rows.iter().map(|row| of(&row.score)).sum::<f64>() / count
    };
    let of_range: Vec<bool> = rows.iter().filter_map(|row| row.score.is_inside).collect();
    let inside = of_range.iter().filter(|is_inside| **is_inside).count();
    let overlaps = rows.iter().filter(|row| row.score.overlaps).count();
    let mut widths: Vec<f64> = rows.iter().map(|row| row.score.width).collect();
    widths.sort_by(f64::total_cmp);
    println!(
        "{name:21}{:>8}{:>9}{:>9}{:>8.0}{:>8.0}{:>+8.0}{:>8.0}",
        rows.len(),
        format!("{inside} of {}", of_range.len()),
        format!("{overlaps} of {}", rows.len()),
        100.0 * of_sorted(&widths, 0.5),
        mean(|score| score.relative),
        mean(|score| score.error),
        mean(|score| score.error.abs())
    );
}

/// The classes, in the order of the cases.
fn classes(cases: &[Case]) -> Vec<&str> {
    let mut classes: Vec<&str> = Vec::new();
    for case in cases {
        if !classes.contains(&case.class.as_str()) {
            classes.push(&case.class);
        }
    }
    classes
}

/// The causes outside the model of a class, as a remark.
fn partly(class: &str) -> String {
    let found = PARTLY.iter().find(|(partly, _)| *partly == class);
    found.map_or_else(String::new, |(_, why)| format!(" ({why})"))
}

fn yes_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

/// A text wrapped at 80 columns.
fn wrapped(text: &str) -> String {
    let mut lines = String::new();
    let mut column = 0;
    for word in text.split(' ') {
        if column > 0 && column + 1 + word.len() > 80 {
            lines.push_str("\n  ");
            column = 2;
        } else if column > 0 {
            lines.push(' ');
            column += 1;
        }
        lines.push_str(word);
        column += word.len();
    }
    lines
}
